package ahead_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

// told is a section as one line: its joints, then its pipes with what is stated.
func told(t ahead.TestSection) string {
	var parts []string
	for _, j := range t.Joints {
		parts = append(parts, j.Label)
	}
	for _, p := range t.Pipes {
		parts = append(parts, p.Name)
	}
	for _, f := range t.Factory {
		parts = append(parts, "("+f.Label+")")
	}
	return strings.Join(parts, " ")
}

func wantSections(t *testing.T, c *crew.Crew, want [][2]string) {
	t.Helper()
	got := ahead.TestSections(c.Book, c.H.Site)
	for i, s := range got {
		if i >= len(want) || s.Name != want[i][0] || told(s) != want[i][1] {
			t.Errorf("section %d is %q with %q", i, s.Name, told(s))
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d sections, want %d", len(got), len(want))
	}
}

// planned is a crew on the site of a plan in testdata.
func planned(t *testing.T, plan, table string) *crew.Crew {
	t.Helper()
	text := func(name string) string {
		b, err := os.ReadFile("../../testdata/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	c := crew.Empty(t)
	c.Opens(text("plans/"+plan), text("tables/"+table))
	return c
}

// A section is a circuit, a header, a chamber or all of it, with what hangs on its
// pipes outside the chamber.
func TestASectionToTest(t *testing.T) {
	c := crew.OnSite(t)
	wantSections(t, c, [][2]string{
		{"circuit 1", "1A 1B E1 A/1"},
		{"circuit 2", "2A 2B A/2"},
		{"header from ground", "FG A/FG"},
		{"chamber A", "1A 1B 2A 2B FG E1 A/1 A/2 A/FG"},
		{"all", "1A 1B 2A 2B FG E1 A/1 A/2 A/FG"},
	})
	s := ahead.TestSectionNamed(c.Book, c.H.Site, "Circuit 1")
	if len(s) != 1 || s[0].Pipes[0] != (ahead.TestPipe{Name: "A/1", OdMM: 40, SDR: 11, LengthM: 200}) || len(s[0].Unstated()) > 0 {
		t.Errorf("circuit 1: %+v", s)
	}
}

// What is not being built is in none, a make-up piece is where its joint was.
func TestASectionFollowsThePlan(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.StrikeJoint(c.H, "2A", "one loop fewer"), acts.StrikeJoint(c.H, "2B", "one loop fewer"), acts.SplitJoint(c.H, "1B", "a bridge of pipe", acts.Piece{}))
	s := ahead.TestSections(c.Book, c.H.Site)
	if told(s[0]) != "1A E1 1B.1 1B.2 A/1 1B:piece" || s[1].Name != "header from ground" {
		t.Errorf("%q, then %q", told(s[0]), s[1].Name)
	}
	if got := s[0].Unstated(); len(got) != 1 || got[0] != "1B:piece" {
		t.Errorf("no length is stated of %q", got)
	}
}

// Circuits of one number in two chambers are told apart by chamber, what is only once
// is not; a person need not say more than that.
func TestSectionsOfTwoChambers(t *testing.T) {
	c := planned(t, "orchard.toml", "valley.toml")
	wantSections(t, c, [][2]string{
		{"circuit 1 of chamber A", "A-1A A-1B A/1"},
		{"circuit 1 of chamber B", "B-1A B-1B B/1"},
		{"circuit 3", "B-3A B-3B B/3"},
		{"header from ground", "A-FG A/FG"},
		{"header to ground", "B-TG B/TG"},
		{"chamber A", "A-1A A-1B A-FG A/1 A/FG"},
		{"chamber B", "B-1A B-1B B-3A B-3B B-TG B/1 B/3 B/TG"},
		{"all", "A-1A A-1B A-FG B-1A B-1B B-3A B-3B B-TG T.1 T.1-cap A/1 A/FG B/1 B/3 B/TG T.1 T.1-cap"},
	})
	for said, want := range map[string]int{"circuit 1": 2, "circuit 3": 1, "circuit 3 of chamber B": 1, "circuit 1 of chamber b": 1, "TG": 1, "header FG": 1, "A/FG": 1, "all": 1, "circuit 4": 0} {
		if got := ahead.TestSectionNamed(c.Book, c.H.Site, said); len(got) != want {
			t.Errorf("%q means %d sections, want %d", said, len(got), want)
		}
	}
}

// A tee brings its branch with it, a step the other size; a foot from a works that two
// circuits name joins no two of them.
func TestASectionWithATee(t *testing.T) {
	c := planned(t, "weir.toml", "weir.toml")
	wantSections(t, c, [][2]string{
		{"circuit 1", "1A 1B W/1 (P1-foot)"},
		{"circuit 2", "2A 2B W/2 (P1-foot)"},
		{"circuit 3", "3A 3B W/3"},
		{"header from ground", "FG T1 K1 S1 M1 W/FG T1:2 T1:3 S1:2 M1:2"},
		{"header to ground", "TG W/TG"},
		{"chamber W", "1A 1B 2A 2B 3A 3B FG TG T1 K1 S1 M1 W/1 W/2 W/3 W/FG W/TG T1:2 T1:3 S1:2 M1:2 (P1-foot) (W-rail)"},
		{"all", "1A 1B 2A 2B 3A 3B FG TG T1 K1 S1 M1 W/1 W/2 W/3 W/FG W/TG T1:2 T1:3 S1:2 M1:2 (P1-foot) (W-rail)"},
	})
	if in := ahead.TestSectionsOf(c.Book, c.H.Site, "M1"); len(in) != 3 || in[0].Name != "header from ground" {
		t.Errorf("M1 is in %+v", in)
	}
}

func planJoint(label, fitting, pipe string) plan.Joint {
	return plan.Joint{Label: label, Fitting: fitting, Pipe: pipe}
}

// What the sections of a site cost grows as its joints: they are looked at with every
// answer, by the audit.
func TestSectionsGrowAsTheJoints(t *testing.T) {
	of := func(chambers int) float64 {
		head, rest, _ := strings.Cut(crew.PlanText, "[[chamber]]")
		chamber, _, _ := strings.Cut(rest, "[[joint]]")
		for i := range chambers {
			head += "[[chamber]]" + strings.Replace(chamber, `name = "A"`, fmt.Sprintf(`name = "C%d"`, i), 1)
		}
		c := crew.Empty(t)
		c.Opens(head, crew.TableText)
		if n := len(ahead.TestSections(c.Book, c.H.Site)); n != 4*chambers+1 {
			t.Fatalf("%d sections", n)
		}
		return testing.AllocsPerRun(1, func() { ahead.TestSections(c.Book, c.H.Site) })
	}
	if few, many := of(5), of(50); many > 12*few {
		t.Errorf("%.0f allocations for 25 joints, %.0f for 250", few, many)
	}
}
