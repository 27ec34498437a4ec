package ready

import (
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// morning is where every test begins. People and figures are invented, except
// those that trade tables name beside them.
var morning = fusion.Stamp{Wall: time.Date(2026, 3, 9, 7, 0, 0, 0, time.UTC), Offset: 3600, Boot: time.Hour, BootID: "boot", Machine: "laptop"}

const ona = "Ona Brill"

// van is a crew that stands still at that time.
type van struct{ *crew.Crew }

// put is Do for what a walk would have asked much more for.
func (v *van) put(b logbook.Body) {
	v.T.Helper()
	v.Do(crew.Raw(v.H, "", "", b))
}

func text(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile("../../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// arrived is the invented Hillfoot site with its table taken and not read back.
func arrived(t *testing.T, table string) *van {
	t.Helper()
	v := &van{crew.Empty(t)}
	v.H.At, v.H.By = morning, ona
	v.Opens(text(t, "plans/hillfoot.toml"), table)
	return v
}

// day is a shift of one operator and the unit of the invented kit.
func day() logbook.ShiftStarted {
	return logbook.ShiftStarted{
		Day:       "2026-03-09",
		Operators: []logbook.Operator{{Name: ona, Mark: "OB", Expiry: "2027-01-31"}},
		Units:     []logbook.Unit{{Serial: "CU-208", Calibrated: "2025-08-01", Corrects: logbook.No}},
		Weather:   logbook.Weather{Sky: "dry", Shelter: "none"},
	}
}

// outfitted is the site with everything in order: table read back, kit taken,
// shift started.
func outfitted(t *testing.T) *van {
	t.Helper()
	valley := text(t, "tables/valley.toml")
	v := arrived(t, valley)
	v.Do(acts.ReadBack(v.H, logbook.Hash(valley)))
	v.Do(acts.TakeKit(v.H, acts.File{Name: "brookside.toml", Text: text(t, "kits/brookside.toml")}))
	v.Do(acts.StartShift(v.H, day()))
	return v
}

func (v *van) check(o Given) []Comparison {
	if o.Now.IsZero() {
		o.Now = morning
	}
	return Check(v.Book, v.H.Site, o)
}

var mild = &Range{5_00, 14_00}

// said are the lines of a slug, each as it is printed.
func said(lines []Comparison, slug string) []string {
	var out []string
	for _, l := range lines {
		if l.Slug == slug {
			out = append(out, l.String())
		}
	}
	return out
}

func wantLines(t *testing.T, lines []Comparison, slug string, want ...string) {
	t.Helper()
	if got := said(lines, slug); !reflect.DeepEqual(got, want) {
		t.Errorf("%s: got\n  %s\nwant\n  %s", slug, strings.Join(got, "\n  "), strings.Join(want, "\n  "))
	}
}

// With everything there, no line is short, open or not known; those about
// power are never in order.
func TestAllInOrder(t *testing.T) {
	lines := outfitted(t).check(Given{Expect: mild})
	wantLines(t, lines, "row",
		`in order: reducer 40x32: in table "Valley Fittings, all sizes (invented)", read back by Ona Brill; fits 1A, 2A, 3A, 4A, 1B, 2B, 3B, 4B`,
		`in order: coupler 63: in table "Valley Fittings, all sizes (invented)", read back by Ona Brill; fits FG, TG`,
		`in order: elbow 63: in table "Valley Fittings, all sizes (invented)", read back by Ona Brill; fits E1`)
	wantLines(t, lines, "ambient",
		"in order: reducer 40x32: 5…14 °C lies in its bands, -10…40 °C",
		"in order: coupler 63: 5…14 °C lies in its bands, -10…40 °C",
		"in order: elbow 63: 5…14 °C lies in its bands, -10…40 °C")
	wantLines(t, lines, "pins", "in order: CU-208: its leads take the pins of reducer 40x32 (4 mm), coupler 63 (4 mm), elbow 63 (4 mm)")
	wantLines(t, lines, "volts", "in order: CU-208: its output of 8…48 V covers 39.5 V")
	wantLines(t, lines, "time", "in order: CU-208: it can be set to 900 s, the longest time needed is 90 s (elbow 63)")
	// P = 39.5²/1.4 is derived; 1.4 Ω is invented.
	wantLines(t, lines, "power", "no shortage found: elbow 63 takes 1114 W, the generator gives 6 kVA")
	wantLines(t, lines, "plate", "no shortage found: CU-208: its plate input is 3.5 kVA, the generator gives 6 kVA")
	// 16 A · 0.0172 · 2 · 25 m / 2.5 mm² = 5.504 V, derived.
	wantLines(t, lines, "extension", "no shortage found: CU-208: 25 m of 2.5 mm² lose 5.50 V at 16 A, 2.4 % of 230 V; 224.5 V are left, its instructions ask for 195 V")
	wantLines(t, lines, "qualification", "in order: the qualification of Ona Brill is valid to 2027-01-31")
	wantLines(t, lines, "calibration", "in order: the calibration of CU-208 is valid to 2026-08-01")
	wantLines(t, lines, "pick", "in order: reducer 40x32: 8 needed, 10 in the van", "in order: coupler 63: 2 needed, 2 in the van", "in order: elbow 63: 1 needed, 1 in the van")
	if !Settled(lines) || len(lines) != 25 {
		t.Errorf("%d lines, settled: %t", len(lines), Settled(lines))
	}
}

// What an assumption stands behind is marked as one, and every line has a
// ground.
func TestAssumptionsAreShown(t *testing.T) {
	assumed := map[string]bool{"ambient": true, "time": true, "calibration": true, "extension": true}
	for _, l := range outfitted(t).check(Given{Expect: mild}) {
		if l.Assumed != assumed[l.Slug] || l.Basis == "" {
			t.Errorf("%s is assumed: %t (%s)", l, l.Assumed, l.Basis)
		}
		if word, _, _ := strings.Cut(l.Ground(), ":"); (word == "assumed") != l.Assumed {
			t.Errorf("%s stands on %q", l, l.Ground())
		}
	}
}

// With nothing there, what is needed is asked for.
func TestNothingDeclared(t *testing.T) {
	lines := arrived(t, text(t, "tables/valley.toml")).check(Given{})
	for slug, want := range map[string][]string{
		"row": {
			`open: reducer 40x32: its table "Valley Fittings, all sizes (invented)" is not read back against its print yet`,
			`open: coupler 63: its table "Valley Fittings, all sizes (invented)" is not read back against its print yet`,
			`open: elbow 63: its table "Valley Fittings, all sizes (invented)" is not read back against its print yet`,
		},
		"ambient":       {"not known: today's ambient temperature: read it in the shade beside the joint, or give the range that you expect"},
		"kit":           {"not known: control units, leads, adapters, generator and extension: declare them in a kit file"},
		"power":         {"not known: what the generator gives in kVA; elbow 63 takes 1114 W"},
		"qualification": {"not known: who welds and with which control unit: start the shift"},
		"pick":          {"not known: what is in the van; needed are 8 × reducer 40x32, 2 × coupler 63, 1 × elbow 63"},
	} {
		wantLines(t, lines, slug, want...)
	}
	if len(lines) != 8 || Settled(lines) {
		t.Errorf("%d lines, settled: %t", len(lines), Settled(lines))
	}
	if got := (&van{crew.Empty(t)}).check(Given{}); got != nil {
		t.Errorf("lines without a site: %v", got)
	}
}

func TestWorstFirst(t *testing.T) {
	var mixed []Comparison
	for i, s := range []State{InOrder, NotKnown, Short, NoShortage, Open, Short} {
		mixed = append(mixed, Comparison{State: s, Says: string(rune('a' + i))})
	}
	got := ""
	for _, l := range WorstFirst(mixed) {
		got += l.Says
	}
	if got != "cfebda" || mixed[0].Says != "a" {
		t.Errorf("got %s, the lines given are %v", got, mixed)
	}
	for state, want := range map[State]bool{Short: false, Open: false, NotKnown: false, NoShortage: true, InOrder: true} {
		if Settled([]Comparison{{State: InOrder}, {State: state}}) != want {
			t.Errorf("%s: settled should be %t", state, want)
		}
	}
}
