package logbook

import (
	"slices"
	"testing"
	"time"

	"coolhold/fusion"
)

func TestBatchOffer(t *testing.T) {
	c := onSite(t)
	first := c.begin("1A")
	c.do(AnswerStep(c.h, first, StepFitting, []Answer{
		say(ItemFitting, "coupler 40"), say(ItemBatch, "W-1"), say(ItemPipeBatch, "coil 1"), say(ItemStubBatch, "stub 1"),
	}))
	second := c.begin("2A")
	c.do(AnswerStep(c.h, second, StepFitting, []Answer{
		say(ItemFitting, "elbow 40"), say(ItemBatch, "W-2"), say(ItemPipeBatch, "coil 2"), say(ItemStubBatch, "stub 2"),
	}))
	tests := []struct{ label, fitting, item, want string }{
		{"1B", "coupler 40", ItemBatch, "W-1"},
		{"1B", "elbow 40", ItemBatch, "W-2"},
		{"1B", "cap 40", ItemBatch, ""},
		{"1B", "coupler 40", ItemPipeBatch, "coil 1"}, // the other end of the same pipe
		{"2B", "coupler 40", ItemPipeBatch, "coil 2"},
		{"E1", "elbow 40", ItemPipeBatch, "coil 1"}, // on the pipe of 1A
		{"FG", "coupler 63", ItemPipeBatch, ""},     // another size
		{"FG", "coupler 63", ItemStubBatch, "stub 2"},
		{"E1", "elbow 40", ItemStubBatch, ""},
		{"1B", "coupler 40", ItemPlace, ""},
	}
	for _, tt := range tests {
		w := Weld{Site: c.h.Site, Joint: tt.label, Answers: map[string]Answer{ItemFitting: say(ItemFitting, tt.fitting)}}
		if got := BatchOffer(c.book, w, tt.item); got != tt.want {
			t.Errorf("%s at %s, %s: offered %q, want %q", tt.fitting, tt.label, tt.item, got, tt.want)
		}
	}
}

func TestFreshAmbient(t *testing.T) {
	tests := []struct {
		name string
		do   func(*crew)
		want bool
	}{
		{"at once", func(*crew) {}, true},
		{"just under 30 min", func(c *crew) { c.wait(30*time.Minute - time.Millisecond) }, true},
		{"30 min", func(c *crew) { c.wait(30 * time.Minute) }, false},
		{"weather changed", func(c *crew) { c.wait(time.Minute); c.do(ChangeWeather(c.h, Weather{"wind", "none"})) }, false},
		{"machine restarted", func(c *crew) { c.boot("boot two", time.Minute, time.Second) }, false},
		{"wall put back", func(c *crew) { c.wait(40 * time.Minute); c.h.At.Wall = c.h.At.Wall.Add(-39 * time.Minute) }, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			c.wait(time.Minute)
			id := c.fitted("1A")
			c.do(AnswerStep(c.h, id, StepPrep, card()), ReadAmbient(c.h, id, 9_00, Typed, nil))
			tt.do(c)
			got, _, fresh := FreshAmbient(c.site(), c.h.At, fusion.Stamp{})
			if fresh != tt.want || got.C != 9_00 {
				t.Errorf("fresh %v, want %v; %+v", fresh, tt.want, got)
			}
		})
	}
	if _, _, fresh := FreshAmbient(Site{}, morning, fusion.Stamp{}); fresh {
		t.Error("no reading is fresh")
	}
}

// A reading that is confirmed does not become younger by it.
func TestConfirmedAmbientKeepsItsAge(t *testing.T) {
	c := onSite(t)
	id := c.prepared("1A")
	taken := c.site().Ambient.At
	c.wait(20 * time.Minute)
	c.do(ReadAmbient(c.h, id, 9_00, Offered, &taken))
	c.wait(11 * time.Minute)
	if _, age, fresh := FreshAmbient(c.site(), c.h.At, fusion.Stamp{}); fresh || age != 31*time.Minute {
		t.Errorf("fresh %v at age %v", fresh, age)
	}
}

func TestForecast(t *testing.T) {
	c := onSite(t)
	if f := ForecastOf(c.book, c.h.Site, nil, c.h.At, fusion.Stamp{}); f.Open != 6 || !f.LastHold.IsZero() || !f.Wait.IsZero() || f.NoWait != nil {
		t.Errorf("before any weld %+v", f)
	}
	var want time.Time
	later := func(d time.Duration) {
		if at := c.h.At.Local().Add(d); at.After(want) {
			want = at
		}
	}
	// Waits of the table (invented): 20 min from cooling end, 6 min (common
	// practice, no source) after fusion; 30 min from fusion end; 20 min with
	// nothing said, so from the end of its 7 min of cooling.
	for _, tt := range []struct {
		label string
		wait  time.Duration
	}{{"1A", 26 * time.Minute}, {"FG", 30 * time.Minute}, {"E1", 27 * time.Minute}} {
		id := c.fused(tt.label)
		later(tt.wait)
		if got, ok := c.weld(id).WaitOver(); !ok || !got.Equal(c.h.At.Local().Add(tt.wait)) {
			t.Errorf("%s: %v, want %v on", tt.label, got, tt.wait)
		}
		if f := ForecastOf(c.book, c.h.Site, nil, c.h.At, fusion.Stamp{}); !f.Wait.Equal(want) {
			t.Errorf("after %s the wait is over at %v, want %v", tt.label, f.Wait, want)
		}
	}
	capped := c.begin("1B")
	c.do(AnswerStep(c.h, capped, StepFitting, fitting("cap 40", "W-8")), ReadBag(c.h, capped, true), AnswerStep(c.h, capped, StepPrep, card()))
	c.settle(capped)
	c.do(StartFusion(c.h, capped, 0))
	c.wait(40 * time.Second)
	c.do(EndFusion(c.h, capped, FusionEnded{Outcome: Completed}))
	f := ForecastOf(c.book, c.h.Site, nil, c.h.At, fusion.Stamp{})
	if f.Open != 2 || !slices.Equal(f.NoWait, []string{"cap 40"}) || !f.Wait.Equal(want) {
		t.Errorf("forecast %+v", f)
	}
	if hold, _ := c.weld(capped).HoldUntil(); f.LastHold.Before(hold) {
		t.Errorf("last hold %v, want no earlier than %v", f.LastHold, hold)
	}
	c.wait(time.Hour)
	if f = ForecastOf(c.book, c.h.Site, nil, c.h.At, fusion.Stamp{}); !f.LastHold.IsZero() {
		t.Errorf("an hour later a hold runs to %v", f.LastHold)
	}
}

func TestNextJoint(t *testing.T) {
	c := onSite(t)
	next := func() string {
		j, _ := c.offered()
		return j.Label
	}
	want := func(label, why string) {
		t.Helper()
		if got := next(); got != label {
			t.Errorf("%s: next is %q, want %q", why, got, label)
		}
	}
	var order []string
	for _, j := range OpenJoints(c.book, c.h.Site) {
		if j.Chamber != "" {
			order = append(order, j.Label)
		}
	}
	if want := []string{"2A", "2B", "1A", "1B", "FG"}; !slices.Equal(order, want) {
		t.Errorf("order %q, want %q", order, want)
	}
	c.do(StrikeJoint(c.h, "E1", "not needed"))
	want("2A", "low row first, since no ambient temperature is known")
	c.fused("2A")
	want("FG", "the pipe of 2B is held; of the rest the header cools longest")
	c.fused("FG")
	want("1A", "the pipe of 2B is held")
	c.begin("1A")
	want("1B", "a walk is open in 1A")
	c.fused("1B")
	want("1A", "nothing else is free")
	if line, held := PipeHeld(c.book, c.joint("2B"), c.h.At, fusion.Stamp{}); !held || line.Weld.Joint != "2A" {
		t.Errorf("2B is held by %q", line.Weld.Joint)
	}
	if _, held := PipeHeld(c.book, c.joint("2A"), c.h.At, fusion.Stamp{}); held {
		t.Error("a weld holds its own joint")
	}
	c.wait(6 * time.Minute)
	want("2B", "the hold is over")
	c.fused("2B")
	want("1A", "only an open walk is left")
	c.do(AbandonWalk(c.h, c.joint("1A").Walk, "rain"), StrikeJoint(c.h, "1A", "not needed"))
	if j, ok := c.offered(); ok {
		t.Errorf("nothing is left, but %s", j.Label)
	}
}
