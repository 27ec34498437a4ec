package register

import (
	"fmt"
	"slices"
	"testing"
)

// Each look stands in the register as it was said, and each section with what its plan
// wants and what of it is recorded; one taken back counts no more.
func TestLooksInTheRegister(t *testing.T) {
	doc := written(t, Looked(t))
	var got []string
	for _, g := range doc["ground"].([]any) {
		g := g.(map[string]any)
		_, back := g["taken_back"]
		got = append(got, fmt.Sprint(g["stage"], " ", back, ": ", g["said"]))
	}
	want := []string{
		"welding false: chamber A looked at before welding: lid height: yes, 102.51 m",
		"cover false: chamber A looked at before the cover: cover level: yes, 0.8 m; marker tape: could not look; 4.35 m from house corner to lid; 7.1 m from gate post to lid",
		"cover true: chamber A looked at before the cover: loop routes: 1 and 2 to the hedge",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%q\nwant\n%q", got, want)
	}
	got = nil
	for _, p := range doc["ground_sections"].([]any) {
		p := p.(map[string]any)
		for _, l := range p["lines"].([]any) {
			l := l.(map[string]any)
			got = append(got, fmt.Sprint(p["part"], ", ", l["stage"], ", ", l["line"], " ", l["required"], " ", l["lack"], " ", l["m"], " ", l["want_m"]))
		}
	}
	want = []string{
		"chamber A, welding, lid true <nil> 102.51 102.5",
		"chamber A, cover, bed true missing <nil> <nil>", "chamber A, cover, cover true short 0.8 0.9", "chamber A, cover, tape false unseen <nil> <nil>",
		"chamber A, cover, offsets true <nil> <nil> <nil>", "chamber A, cover, photo true missing <nil> <nil>",
	}
	if got = slices.DeleteFunc(got, func(l string) bool { return l[:9] != "chamber A" }); !slices.Equal(got, want) {
		t.Errorf("got\n%q\nwant\n%q", got, want)
	}
	if said := fmt.Sprint(doc["covers"].([]any)[0].(map[string]any)["not_looked_at"]); said != "[bed photo]" {
		t.Errorf("covered without %s", said)
	}
}
