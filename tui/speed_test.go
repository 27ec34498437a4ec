package tui

import (
	"fmt"
	"testing"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/shell"
)

// halfMade is the board of a site of so many joints, ten a chamber and four of
// those welded, before any key.
func halfMade(b testing.TB, joints int) *driver {
	b.Helper()
	var chambers []string
	for i := range joints / 10 {
		chambers = append(chambers, fmt.Sprintf("C%d", i))
	}
	log := siteOf(b, 4, chambers...)
	fillLegs(b, log, 4*len(chambers))
	if n := len(log.Memory.Book.Joints(log.Memory.Book.Sites()[0].ID)); n != joints {
		b.Fatalf("%d joints, want %d", n, joints)
	}
	return drive(b, log, monday, 80, 24)
}

// fillLegs has the legs A of so many circuits welded and released, and says where.
func fillLegs(t testing.TB, log *memLog, n int) (made []string) {
	t.Helper()
	return weldLegs(t, log, n, time.Hour)
}

// weldLegs is fillLegs with a release so long after the start; 0: they are held.
func weldLegs(t testing.TB, log *memLog, n int, release time.Duration) (made []string) {
	t.Helper()
	site := log.Memory.Book.Sites()[0]
	h := acts.Head{At: monday, By: "Ona Brill", Site: site.ID, Shift: site.Shift}
	c, _ := fusion.ParseCelsius("9")
	seconds, began := 40, monday.Local().Add(-3*time.Hour)
	for _, j := range log.Memory.Book.Joints(site.ID) {
		if j.Leg != "A" || len(made) == n {
			continue
		}
		h.ID = "made in " + j.Label
		l := acts.LateWeld{
			Joint: j.Label, Operator: "Ona Brill", Unit: "CU-1", Corrects: logbook.No, Mode: logbook.ModeKeyed, Ambient: c,
			Answers:      []logbook.Answer{{Item: logbook.ItemFitting, V: "reducer 40x32"}, {Item: logbook.ItemBatch, V: "W-1"}},
			SecondsShown: seconds, Run: &seconds, Started: began, Ended: began.Add(40 * time.Second),
			Outcome: logbook.Completed, Why: "laptop in the van",
		}
		if release > 0 {
			l.Released = began.Add(release)
		}
		if _, err := log.Append(t.Context(), acts.EnterLater(h, l)); err != nil {
			t.Fatal(err)
		}
		made = append(made, j.Label)
	}
	return made
}

func perSize(b *testing.B, do func(*driver)) {
	b.Helper()
	for _, n := range []int{10, 100, 500} {
		b.Run(fmt.Sprintf("joints=%d", n), func(b *testing.B) {
			d := halfMade(b, n)
			b.ReportAllocs()
			for b.Loop() {
				do(d)
			}
		})
	}
}

// The first arrow after the start: until then the board chooses a joint itself.
func BenchmarkFirstArrow(b *testing.B) {
	perSize(b, func(d *driver) { d.m.Update(tea.KeyMsg{Type: tea.KeyDown}) })
}

func BenchmarkView(b *testing.B) {
	perSize(b, func(d *driver) { _ = d.m.View() })
}

// A frame of which nothing has changed costs the same on a large site, but for the rows
// of its list.
func TestAFrameDoesNotGrowWithTheSite(t *testing.T) {
	of := func(joints int) float64 {
		d := halfMade(t, joints)
		return testing.AllocsPerRun(5, func() { _ = d.m.View() })
	}
	few, many := of(10), of(200)
	if many > 1.5*few || few > 800 {
		t.Errorf("%v allocations for a frame of 10 joints, %v for one of 200", few, many)
	}
}

// The first frame of each second, for which what is ahead is made anew.
func BenchmarkSecond(b *testing.B) {
	perSize(b, func(d *driver) {
		*d.now = d.now.Add(time.Second)
		d.m, _ = d.m.Update(shell.Tick())
		_ = d.m.View()
	})
}
