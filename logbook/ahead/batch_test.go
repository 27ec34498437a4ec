package ahead_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// eight is a chamber of four circuits: A legs in the low row, B legs in the high one.
func eight() string {
	plan := crew.PlanText[:strings.Index(crew.PlanText, "[[chamber]]")] + "[[chamber]]\nname = \"A\"\nports = [\n"
	for no := 1; no <= 8; no++ {
		row, rail := "low", "from ground"
		if no > 4 {
			row, rail = "high", "to ground"
		}
		plan += fmt.Sprintf("  {no = %d, row = %q, rail = %q},\n", no, row, rail)
	}
	plan += "]\n"
	for no := 1; no <= 4; no++ {
		plan += fmt.Sprintf("[[chamber.circuit]]\nno = %d\nod_mm = 40\nsdr = 11\nlength_m = 200\nports = [%d, %d]\nfitting = \"coupler 40\"\n", no, no, no+4)
	}
	return plan + "[[joint]]\nlabel = \"E1\"\nfitting = \"elbow 40\"\nwhere = \"bend\"\nod_mm = 40\nsdr = 11\n"
}

func kitOf(sets int) acts.File {
	return acts.File{Name: "kit.toml", Text: fmt.Sprintf("[[clamp]]\nsizes_mm = [40]\ncount = %d\n", sets)}
}

// What is proposed lies within reach of the same leads, moves nothing of another, and
// has clamps.
func TestABatchThatIsProposed(t *testing.T) {
	propose := func(c *crew.Crew) (labels []string) {
		o := ahead.OrderOf(c.Book, logbook.ShelfOf(c.Site()), c.H.Site, ahead.OrderGiven{}, c.H.At, fusion.Stamp{})
		for _, j := range ahead.ProposeBatch(c.Book, c.H.Site, o, c.H.At, fusion.Stamp{}) {
			labels = append(labels, j.Label)
		}
		return labels
	}
	tests := []struct {
		name string
		does func(*crew.Crew)
		want []string
	}{
		{"a row, four of it", func(*crew.Crew) {}, []string{"1A", "2A", "3A", "4A"}},
		{"as many as there are clamps", func(c *crew.Crew) { c.Do(acts.TakeKit(c.H, kitOf(3))) }, []string{"1A", "2A", "3A"}},
		{"one clamp is none of a batch", func(c *crew.Crew) { c.Do(acts.TakeKit(c.H, kitOf(1))) }, nil},
		{"clamps that a hold has", func(c *crew.Crew) { c.Do(acts.TakeKit(c.H, kitOf(3))); c.Fused("1A") }, []string{"2A", "3A"}},
		{"the other leg of a held pipe waits", func(c *crew.Crew) {
			for _, label := range []string{"1A", "2A", "3A", "4A"} {
				c.Fused(label)
				c.Wait(2 * time.Minute) // of 6
			}
		}, []string{"1B", "2B"}},
		{"one that is left goes with the other row", func(c *crew.Crew) {
			for _, label := range []string{"1A", "2A", "3A"} {
				c.Fused(label)
			}
			c.Wait(time.Hour)
		}, []string{"4A", "1B", "2B", "3B"}},
		{"what is begun is none of it", func(c *crew.Crew) { c.Begin("2A") }, []string{"1A", "3A", "4A"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.On(t, eight(), crew.TableText)
			tt.does(c)
			if got := propose(c); !slices.Equal(got, tt.want) {
				t.Errorf("proposed %q, want %q", got, tt.want)
			}
		})
	}
}

// Who stood at other joints meanwhile does not count as preparation.
func TestStandingIsNoPreparation(t *testing.T) {
	c := crew.On(t, eight(), crew.TableText)
	for _, label := range []string{"1A", "2A", "3A"} {
		id := c.Fitted(label)
		c.Wait(5 * time.Minute)
		c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()), acts.SetDown(c.H, id, fusion.Stamp{}))
		c.Wait(20 * time.Minute)
		c.Do(acts.TakeNext(c.H, id, c.H.At.Add(-time.Hour), fusion.Stamp{}))
		c.Settle(id)
		c.Do(acts.StartFusion(c.H, id, 0))
		c.Wait(time.Minute)
		c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	}
	o := ahead.OrderOf(c.Book, logbook.ShelfOf(c.Site()), c.H.Site, ahead.OrderGiven{}, c.H.At, fusion.Stamp{})
	if !slices.ContainsFunc(o.Assumed, func(l string) bool { return strings.HasPrefix(l, "5 min a joint for preparation, the median of 3") }) {
		t.Errorf("built on %q", o.Assumed)
	}
}
