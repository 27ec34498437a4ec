package ready

import (
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/kit"
)

// weir is the invented site that has joints of several pipes and factory joints,
// its table read back.
func weir(t *testing.T, plan string) *van {
	t.Helper()
	table := text(t, "tables/weir.toml")
	v := &van{crew.Empty(t)}
	v.H.At, v.H.By = morning, ona
	v.Opens(plan, table)
	v.Do(acts.ReadBack(v.H, logbook.Hash(table)))
	return v
}

// Every end is held against the fitting, and what came fused from a works is no
// joint to weld.
func TestEndsAndFactoryJoints(t *testing.T) {
	k, err := kit.Parse([]byte(text(t, "kits/weir.toml")))
	if err != nil {
		t.Fatal(err)
	}
	lines := weir(t, text(t, "plans/weir.toml")).check(Given{Expect: mild, Kit: &k})
	wantLines(t, lines, "fits")
	wantLines(t, lines, "stubs")
	wantLines(t, lines, "factory",
		"in order: P1-foot, foot of probe P1, 93 m down: a factory joint, not ours to weld; certificate RG-5512 (invented)",
		"not known: W-rail, rail from ground, middle seam: a factory joint, not ours to weld; certificate not given")
	for _, l := range lines {
		if l.Slug == "pick" && l.About == "reducer 40/32" && l.String() != "short: reducer 40/32: 4 needed, 3 in the van: 1 short" {
			t.Errorf("got %s", l)
		}
	}
}

// Where the plan does not say what the stubs are, that is said, a line for all.
func TestStubsNotStated(t *testing.T) {
	plan := swap(t, text(t, "plans/weir.toml"), "stub_od_mm  = 40          # of every port that does not say otherwise\n", "", "stub_sdr    = 11\n", "", ", od_mm = 32}", "}")
	wantLines(t, weir(t, plan).check(Given{Expect: mild}), "stubs",
		"not known: the stubs of W: the plan does not state their size and SDR, so the fittings of 6 joints are compared with the pipe alone")
	lines := weir(t, swap(t, plan, "name        = \"W\"", "name = \"W\"\nstub_sdr = 11")).check(Given{Expect: mild})
	wantLines(t, lines, "stubs")
	wantLines(t, lines, "fits",
		"not known: whether reducer 40/32 fits at 1A, 2A, 1B, 2B: the plan does not state size and SDR of all that meets there",
		"not known: whether coupler 32 fits at 3A, 3B: the plan does not state size and SDR of all that meets there")
}
