package audit_test

import (
	"slices"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// part is a weld of which one query stands: an indicator part up.
func part(c *team) string {
	return c.made("1B", func() manner {
		m := well()
		m.hot.Indicators = []string{logbook.Up, logbook.Part}
		return m
	}())
}

// An acceptance is told as lapsed when its facts change, when it is taken back and when the
// record shows the matter no more; while it counts, and once it is given anew, it is not.
func TestLapsed(t *testing.T) {
	accept := func(c *team) {
		c.Do(acts.Accept(c.foreman(), none, only(c.T, c.run(), "indicator-part").Judged(), "looked at it"))
	}
	for _, tt := range []struct {
		name string
		do   func(c *team, id string)
		want string // how why begins; "": none has lapsed
	}{
		{"counts", func(c *team, id string) { accept(c) }, ""},
		{"facts changed", func(c *team, id string) { accept(c); c.correct(id, hotIndicators, "part, part") }, "the facts changed after it, so it is open again: KM-0001"},
		{"given anew", func(c *team, id string) { accept(c); c.correct(id, hotIndicators, "part, part"); accept(c) }, ""},
		{"gone", func(c *team, id string) { accept(c); c.correct(id, hotIndicators, "up, up") }, "the record shows it no more"},
		{"cut out", func(c *team, id string) { accept(c); c.Do(acts.Cut(c.H, id, "crooked")) }, ""},
		{"taken back", func(c *team, id string) {
			accept(c)
			c.Do(acts.Withdraw(c.foreman(), none, only(c.T, c.run(), "indicator-part").Judged(), "it was another weld"))
		}, "taken back by "},
	} {
		c := onSite(t)
		tt.do(c, part(c))
		got := c.run().Lapsed()
		if tt.want == "" {
			if len(got) != 0 {
				t.Errorf("%s: %+v", tt.name, got)
			}
			continue
		}
		if len(got) != 1 || !strings.HasPrefix(got[0].Now, tt.want) || got[0].Weld != "KM-0001" || got[0].Joint != "1B" || got[0].Why != "looked at it" || !strings.Contains(got[0].Was, "indicator part") {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

// A correction by which something went that was found is named with it: a fail as such, a
// query too; one that takes nothing away is not.
func TestRemovals(t *testing.T) {
	c := onSite(t)
	id := part(c)
	c.correct(id, logbook.ItemPipeBatch, "coil 9")
	c.correct(id, hotIndicators, "flat, up")
	c.correct(id, hotIndicators, "up, up")
	got := c.run().Removals()[id]
	var seqs []uint64
	for _, k := range c.Weld(id).Corrections {
		seqs = append(seqs, k.Seq)
	}
	if len(got) != 2 || got[0].Seq != seqs[1] || got[0].Fail || !slices.ContainsFunc(got[0].Found, func(s string) bool { return strings.Contains(s, "indicator part") }) || got[1].Seq != seqs[2] || !got[1].Fail {
		t.Errorf("%+v of the corrections %v", got, seqs)
	}
}
