package acts_test

import (
	"slices"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// setDown prepares a joint and sets it down.
func setDown(c *crew.Crew, label string) string {
	c.T.Helper()
	id := c.Fitted(label)
	c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()), acts.SetDown(c.H, id, fusion.Stamp{}))
	return id
}

// Three are prepared, each with an answer of its own, and fused one after the other:
// nothing of their preparation is asked again.
func TestABatchIsNotAskedAgain(t *testing.T) {
	c := crew.OnSite(t)
	began := c.H.At
	var ids []string
	for _, label := range []string{"2A", "1A", "FG"} {
		c.Wait(8 * time.Minute)
		ids = append(ids, setDown(c, label))
	}
	ready := ahead.ReadyOn(c.Book, c.H.Site, began, c.H.At, fusion.Stamp{})
	if len(ready) != 3 || ready[0].Weld.ID != ids[0] || ready[0].Scraped != 16*time.Minute || ready[2].Scraped != 0 || ready[0].Since != nil {
		t.Fatalf("they stand prepared: %+v", ready)
	}
	for _, id := range ids {
		c.Do(acts.TakeNext(c.H, id, began, fusion.Stamp{}))
		c.WantNext(id, logbook.StepAmbient)
		if w := c.Weld(id); w.Ready != nil || w.BreakDue || len(w.Stood) != 1 || w.Stood[0].Until == nil {
			t.Errorf("%s after it was taken up: %+v", id, w.Stood)
		}
		c.Settle(id)
		c.Do(acts.StartFusion(c.H, id, 0))
		c.Wait(3 * time.Minute)
		c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	}
	if line := c.Entries[len(c.Entries)-1]; len(ahead.ReadyOn(c.Book, c.H.Site, began, c.H.At, fusion.Stamp{})) != 0 {
		t.Errorf("something stands prepared still after %s", line.Open().Line())
	}
	c.WantRebuilt()
}

// What may come between, and whom it touches.
func TestABreakAsksOnlyForWhatItTouched(t *testing.T) {
	wet := logbook.Weather{Sky: logbook.SkyWet, Shelter: logbook.ShelterNone}
	dry := logbook.Weather{Sky: "dry", Shelter: logbook.ShelterNone}
	began := crew.Morning
	tests := []struct {
		name  string
		comes func(*crew.Crew)
		since map[string][]string // by joint; E1 lies on the pipe of 1A
	}{
		{"nothing", func(c *crew.Crew) { c.Wait(20 * time.Minute) }, nil},
		{"rain", func(c *crew.Crew) { c.Do(acts.ChangeWeather(c.H, wet)) }, map[string][]string{"E1": {"wet"}, "2A": {"wet"}}},
		{"rain that is over", func(c *crew.Crew) {
			c.Do(acts.ChangeWeather(c.H, wet))
			c.Wait(time.Minute)
			c.Do(acts.ChangeWeather(c.H, dry))
		}, map[string][]string{"E1": {"wet"}, "2A": {"wet"}}},
		{"rain under a tent", func(c *crew.Crew) {
			c.Do(acts.ChangeWeather(c.H, logbook.Weather{Sky: logbook.SkyWet, Shelter: "tent"}))
		}, nil},
		{"the joint on its pipe is cut out", func(c *crew.Crew) { c.Do(acts.Cut(c.H, "KM-0001", "crooked")) }, map[string][]string{"E1": {"pipe"}}},
		{"the joint on its pipe is moved", func(c *crew.Crew) { c.Do(acts.Disturb(c.H, "KM-0001", 2, "", "a boot")) }, map[string][]string{"E1": {"pipe"}}},
		{"half an hour is no absence", func(c *crew.Crew) { c.Wait(ahead.AbsentFor - time.Second) }, nil},
		{"nobody there", func(c *crew.Crew) { c.Wait(ahead.AbsentFor) }, map[string][]string{"E1": {"absence"}, "2A": {"absence"}}},
		{"an hour at work", func(c *crew.Crew) {
			for range 3 {
				c.Wait(20 * time.Minute)
				c.Do(acts.NoteOn(c.H, "KM-0001", "at work"))
			}
		}, nil},
		{"the program was started anew", func(c *crew.Crew) { began = c.H.At.Add(time.Second); c.Wait(time.Minute) }, map[string][]string{"E1": {"program"}, "2A": {"program"}}},
		{"the laptop was", func(c *crew.Crew) { c.Boot("boot two", time.Minute, time.Minute) }, map[string][]string{"E1": {"machine"}, "2A": {"machine"}}},
		{"another laptop", func(c *crew.Crew) { c.H.At.Machine = "office" }, map[string][]string{"E1": {"elsewhere"}, "2A": {"elsewhere"}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			began = c.H.At
			c.Fused("1A")
			c.Wait(10 * time.Minute)
			c.Do(acts.Release(c.H, "KM-0001", crew.Look(logbook.LookRelease), fusion.Stamp{}))
			ids := map[string]string{"E1": setDown(c, "E1"), "2A": setDown(c, "2A")}
			c.Wait(time.Second)
			tt.comes(c)
			for label, id := range ids {
				c.Do(acts.TakeNext(c.H, id, began, fusion.Stamp{}))
				b := crew.Last[logbook.WalkResumed](c)
				if !slices.Equal(b.Since, tt.since[label]) {
					t.Errorf("%s: %q came between, want %q", label, b.Since, tt.since[label])
				}
				want := logbook.StepBreak
				if tt.since[label] == nil {
					want = logbook.StepAmbient
				}
				c.WantNext(id, want)
			}
		})
	}
}

// What is said to have been touched is asked of that joint alone; cut back it is
// prepared anew.
func TestATouchedJointIsAsked(t *testing.T) {
	c := crew.OnSite(t)
	began := c.H.At
	one, other := setDown(c, "1A"), setDown(c, "2A")
	c.Do(acts.TakeNext(c.H, one, began, fusion.Stamp{}, logbook.WasTouched), acts.TakeNext(c.H, other, began, fusion.Stamp{}))
	c.WantNext(one, logbook.StepBreak)
	c.WantNext(other, logbook.StepAmbient)
	c.Refused(acts.StartFusion(c.H, one, 0), logbook.ErrRule, "")
	c.Do(acts.AnswerStep(c.H, one, logbook.StepBreak, []logbook.Answer{crew.Say(logbook.BreakItem(c.Weld(one).Resumed), logbook.CutBack)}))
	c.WantNext(one, logbook.StepPrep)
	c.Refused(acts.SetDown(c.H, one, fusion.Stamp{}), logbook.ErrRule, "not prepared yet: preparation")
	c.Refused(acts.TakeNext(c.H, other, began, fusion.Stamp{}), logbook.ErrRule, "taken up already")
	c.Do(acts.SetDown(c.H, other, fusion.Stamp{}))
	c.Refused(acts.SetDown(c.H, other, fusion.Stamp{}), logbook.ErrRule, "set down prepared already")
	c.Do(acts.AbandonWalk(c.H, other, "no fitting"))
	if w := c.Weld(other); w.Ready != nil || w.Stood[1].Until == nil {
		t.Errorf("given up and prepared still: %+v", w.Stood)
	}
}

// The plan's longest time stops the walk before the current and nowhere else. Without one
// nothing is asked.
func TestScrapedTooLongAgoStopsBeforeTheCurrent(t *testing.T) {
	for _, most := range []int{0, 30} {
		c := crew.OnSite(t)
		if most > 0 {
			opened := c.Site().SiteOpened
			opened.ScrapedMin = most // invented
			c.Do(crew.Raw(c.H, "", "", opened))
		}
		began := c.H.At
		id := setDown(c, "1A")
		c.Wait(30 * time.Minute)
		c.Do(acts.TakeNext(c.H, id, began, fusion.Stamp{}))
		c.WantNext(id, logbook.StepAmbient)
		c.Settle(id)
		c.WantNext(id, logbook.StepStart)
		c.Wait(time.Second)
		if most == 0 {
			c.WantNext(id, logbook.StepStart)
			continue
		}
		c.WantNext(id, logbook.StepScrape)
		c.Do(acts.AnswerStep(c.H, id, logbook.StepScrape, []logbook.Answer{crew.Say(c.Weld(id).ScrapeItem(), logbook.HandAgain)}))
		c.WantNext(id, logbook.StepStart)
		c.Wait(31 * time.Minute)
		c.WantNext(id, logbook.StepScrape)
		if item := c.Weld(id).ScrapeItem(); item != "after_break:001.02" {
			t.Errorf("the second time it is said as %s", item)
		}
		c.Do(acts.StartFusion(c.H, id, 0)) // it is on: that is a fact
		if !c.Weld(id).Fusing() {
			t.Error("a current that was on is not recorded")
		}
	}
}
