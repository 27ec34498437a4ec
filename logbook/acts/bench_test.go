package acts_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// lateInTheWork is a site of so many joints, five of ten in a chamber: most are
// welded and released, two are held, a tenth is left, and of one the walk stands
// before its start.
func lateInTheWork(b *testing.B, joints int) (c *crew.Crew, ready string) {
	b.Helper()
	head, rest, _ := strings.Cut(crew.PlanText, "[[chamber]]")
	chamber, _, _ := strings.Cut(rest, "[[joint]]")
	for i := range joints / 10 {
		head += "[[chamber]]" + strings.Replace(chamber, `name = "A"`, fmt.Sprintf(`name = "C%d"`, i), 1)
	}
	for i := range joints / 2 {
		head += fmt.Sprintf("[[joint]]\nlabel = \"E%d\"\nfitting = \"elbow 40\"\nwhere = \"bend\"\n", i)
	}
	c = crew.Empty(b)
	c.Do(acts.OpenSite(c.H, acts.File{Name: "plan.toml", Text: head}, []acts.File{{Name: "table.toml", Text: crew.TableText}}))
	c.H.Site = "invented-meadow"
	c.Do(acts.ReadBack(c.H, logbook.Hash(crew.TableText)))
	c.StartShift("2026-03-09")
	all := c.Book.Joints(c.H.Site)
	if len(all) != joints {
		b.Fatalf("%d joints, want %d", len(all), joints)
	}
	done := joints - joints/10 - 3
	for i, j := range all[:done+2] {
		id := c.Fused(j.Label)
		if i < done {
			c.Wait(time.Hour)
			c.Do(acts.Release(c.H, id, crew.Look(logbook.LookRelease), c.H.At))
		}
	}
	return c, c.Prepared(all[done+2].Label)
}

// The current of a weld is on, as decided under the lock of the log.
func BenchmarkStartFusion(b *testing.B) {
	for _, n := range []int{10, 50, 500} {
		b.Run(fmt.Sprintf("joints=%d", n), func(b *testing.B) {
			c, id := lateInTheWork(b, n)
			b.ReportAllocs()
			for b.Loop() {
				if drafts, err := acts.StartFusion(c.H, id, 0)(c.Book); err != nil || len(drafts) != 1 {
					b.Fatal(len(drafts), err)
				}
			}
		})
	}
}
