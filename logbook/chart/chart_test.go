package chart

import (
	"fmt"
	"strings"
	"testing"
)

func TestLook(t *testing.T) {
	for _, d := range Chamber("A", site(4), 100) {
		fmt.Println(strings.Join(d.Text(), "\n"))
	}
	fmt.Println(strings.Join(Runs(site(1), 80).Text(), "\n"))
}

func site(n int) []Place {
	var out []Place
	put := func(label string, f func(p *Place)) {
		p := Place{State: "clear", Weld: fmt.Sprintf("KM-%04d", len(out)+1)}
		p.Label = label
		f(&p)
		out = append(out, p)
	}
	for i := 1; i <= n; i++ {
		for _, leg := range []string{"A", "B"} {
			put(fmt.Sprint(i, leg), func(p *Place) {
				p.Chamber, p.Circuit, p.Leg, p.Joint.Port, p.Row, p.Bar = "A", i, leg, i, "low", "from ground"
				p.OdMM, p.SDR, p.LengthM = 40, 11, 200
				if leg == "B" {
					p.Joint.Port, p.Row, p.Bar = n+i, "high", "to ground"
				}
			})
		}
	}
	for way, bar := range map[string]string{"FG": "from ground", "TG": "to ground"} {
		put(way, func(p *Place) { p.Chamber, p.Way, p.Bar, p.OdMM, p.SDR, p.State = "A", way, bar, 63, 11, "fail" })
	}
	put("E1", func(p *Place) {
		p.Where, p.Fitting, p.OdMM, p.SDR, p.State, p.Weld = "bend in the trench", "elbow 63", 63, 11, "open", ""
	})
	return out
}
