package ahead_test

import (
	"slices"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

func TestBatchOffer(t *testing.T) {
	c := crew.OnSite(t)
	first := c.Begin("1A")
	c.Do(acts.AnswerStep(c.H, first, logbook.StepFitting, []logbook.Answer{
		crew.Say(logbook.ItemFitting, "coupler 40"), crew.Say(logbook.ItemBatch, "W-1"), crew.Say(logbook.ItemPipeBatch, "coil 1"), crew.Say(logbook.ItemStubBatch, "stub 1"),
	}))
	second := c.Begin("2A")
	c.Do(acts.AnswerStep(c.H, second, logbook.StepFitting, []logbook.Answer{
		crew.Say(logbook.ItemFitting, "elbow 40"), crew.Say(logbook.ItemBatch, "W-2"), crew.Say(logbook.ItemPipeBatch, "coil 2"), crew.Say(logbook.ItemStubBatch, "stub 2"),
	}))
	tests := []struct{ label, fitting, item, want string }{
		{"1B", "coupler 40", logbook.ItemBatch, "W-1"},
		{"1B", "elbow 40", logbook.ItemBatch, "W-2"},
		{"1B", "cap 40", logbook.ItemBatch, ""},
		{"1B", "coupler 40", logbook.ItemPipeBatch, "coil 1"}, // the other end of the same pipe
		{"2B", "coupler 40", logbook.ItemPipeBatch, "coil 2"},
		{"E1", "elbow 40", logbook.ItemPipeBatch, "coil 1"}, // on the pipe of 1A
		{"FG", "coupler 63", logbook.ItemPipeBatch, ""},     // another size
		{"FG", "coupler 63", logbook.ItemStubBatch, "stub 2"},
		{"E1", "elbow 40", logbook.ItemStubBatch, ""},
		{"1B", "coupler 40", logbook.ItemPlace, ""},
	}
	for _, tt := range tests {
		w := logbook.Weld{Site: c.H.Site, Joint: tt.label, Answers: map[string]logbook.Answer{logbook.ItemFitting: crew.Say(logbook.ItemFitting, tt.fitting)}}
		if got := ahead.BatchOffer(c.Book, w, tt.item); got != tt.want {
			t.Errorf("%s at %s, %s: offered %q, want %q", tt.fitting, tt.label, tt.item, got, tt.want)
		}
	}
}

// On a pipe of which nothing is said yet, the coil in use is offered for the size:
// the one that a weld on any other pipe of that size named last.
func TestTheCoilInUseIsOfferedForTheSize(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.AddJoint(c.H, plan.Joint{Label: "X1", Fitting: "coupler 40", OdMM: 40, SDR: 11}, "needed"))
	for _, tt := range []struct{ at, coil, on2B, onX1, onFG string }{
		{"FG", "coil 63", "", "", "coil 63"},
		{"1A", "coil 1", "coil 1", "coil 1", "coil 63"},
		{"2A", "coil 2", "coil 2", "coil 2", "coil 63"},
		{"1B", "coil 3", "coil 2", "coil 3", "coil 63"}, // 2B is on the pipe of 2A
	} {
		c.Do(acts.AnswerStep(c.H, c.Begin(tt.at), logbook.StepFitting, []logbook.Answer{crew.Say(logbook.ItemPipeBatch, tt.coil)}))
		for label, want := range map[string]string{"2B": tt.on2B, "X1": tt.onX1, "FG": tt.onFG} {
			if got := ahead.BatchOffer(c.Book, logbook.Weld{Site: c.H.Site, Joint: label}, logbook.ItemPipeBatch); got != want {
				t.Errorf("after %s at %s, %s is offered %q, want %q", tt.coil, tt.at, label, got, want)
			}
		}
	}
}

func TestFreshAmbient(t *testing.T) {
	tests := []struct {
		name string
		do   func(*crew.Crew)
		want bool
	}{
		{"at once", func(*crew.Crew) {}, true},
		{"just under 30 min", func(c *crew.Crew) { c.Wait(30*time.Minute - time.Millisecond) }, true},
		{"30 min", func(c *crew.Crew) { c.Wait(30 * time.Minute) }, false},
		{"weather changed", func(c *crew.Crew) {
			c.Wait(time.Minute)
			c.Do(acts.ChangeWeather(c.H, logbook.Weather{Sky: "wind", Shelter: "none"}))
		}, false},
		{"machine restarted", func(c *crew.Crew) { c.Boot("boot two", time.Minute, time.Second) }, false},
		{"wall put back", func(c *crew.Crew) { c.Wait(40 * time.Minute); c.H.At.Wall = c.H.At.Wall.Add(-39 * time.Minute) }, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			c.Wait(time.Minute)
			id := c.Fitted("1A")
			c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()), acts.ReadAmbient(c.H, id, 9_00, logbook.Typed, nil))
			tt.do(c)
			got, _, fresh := ahead.FreshAmbient(c.Site(), c.H.At, fusion.Stamp{})
			if fresh != tt.want || got.C != 9_00 {
				t.Errorf("fresh %v, want %v; %+v", fresh, tt.want, got)
			}
		})
	}
	if _, _, fresh := ahead.FreshAmbient(logbook.Site{}, crew.Morning, fusion.Stamp{}); fresh {
		t.Error("no reading is fresh")
	}
}

// A reading that is confirmed does not become younger by it.
func TestConfirmedAmbientKeepsItsAge(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	taken := c.Site().Ambient.At
	c.Wait(20 * time.Minute)
	c.Do(acts.ReadAmbient(c.H, id, 9_00, logbook.Offered, &taken))
	c.Wait(11 * time.Minute)
	if _, age, fresh := ahead.FreshAmbient(c.Site(), c.H.At, fusion.Stamp{}); fresh || age != 31*time.Minute {
		t.Errorf("fresh %v at age %v", fresh, age)
	}
}

func TestForecast(t *testing.T) {
	c := crew.OnSite(t)
	if f := ahead.ForecastOf(c.Book, c.H.Site, nil, c.H.At, fusion.Stamp{}); f.Open != 6 || !f.LastHold.IsZero() || !f.Wait.Over.IsZero() || f.NoWait != nil {
		t.Errorf("before any weld %+v", f)
	}
	var want time.Time
	later := func(d time.Duration) {
		if at := c.H.At.Local().Add(d); at.After(want) {
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
		id := c.Fused(tt.label)
		later(tt.wait)
		if got, ok := c.Weld(id).WaitOver(); !ok || !got.Equal(c.H.At.Local().Add(tt.wait)) {
			t.Errorf("%s: %v, want %v on", tt.label, got, tt.wait)
		}
		if f := ahead.ForecastOf(c.Book, c.H.Site, nil, c.H.At, fusion.Stamp{}); !f.Wait.Over.Equal(want) {
			t.Errorf("after %s the wait is over at %v, want %v", tt.label, f.Wait.Over, want)
		}
	}
	capped := c.Begin("1B")
	c.Do(acts.AnswerStep(c.H, capped, logbook.StepFitting, crew.Fitting("cap 40", "W-8")), acts.ReadBag(c.H, capped, true), acts.AnswerStep(c.H, capped, logbook.StepPrep, crew.Card()))
	c.Settle(capped)
	c.Do(acts.StartFusion(c.H, capped, 0))
	c.Wait(40 * time.Second)
	c.Do(acts.EndFusion(c.H, capped, logbook.FusionEnded{Outcome: logbook.Completed}))
	f := ahead.ForecastOf(c.Book, c.H.Site, nil, c.H.At, fusion.Stamp{})
	if f.Open != 2 || !slices.Equal(f.NoWait, []string{"cap 40"}) || !f.Wait.Over.Equal(want) {
		t.Errorf("forecast %+v", f)
	}
	if hold, _ := c.Weld(capped).HoldUntil(); f.LastHold.Before(hold) {
		t.Errorf("last hold %v, want no earlier than %v", f.LastHold, hold)
	}
	c.Wait(time.Hour)
	if f = ahead.ForecastOf(c.Book, c.H.Site, nil, c.H.At, fusion.Stamp{}); !f.LastHold.IsZero() {
		t.Errorf("an hour later a hold runs to %v", f.LastHold)
	}
}

func TestNextJoint(t *testing.T) {
	c := crew.OnSite(t)
	next := func() string {
		j, _ := c.Offered()
		return j.Label
	}
	want := func(label, why string) {
		t.Helper()
		if got := next(); got != label {
			t.Errorf("%s: next is %q, want %q", why, got, label)
		}
	}
	var order []string
	for _, j := range ahead.OpenJoints(c.Book, c.H.Site) {
		if j.Chamber != "" {
			order = append(order, j.Label)
		}
	}
	if want := []string{"2A", "2B", "1A", "1B", "FG"}; !slices.Equal(order, want) {
		t.Errorf("order %q, want %q", order, want)
	}
	c.Do(acts.StrikeJoint(c.H, "E1", "not needed"))
	want("2A", "low row first, since no ambient temperature is known")
	c.Fused("2A")
	want("FG", "the pipe of 2B is held; of the rest the header cools longest")
	c.Fused("FG")
	want("1A", "the pipe of 2B is held")
	c.Begin("1A")
	want("1B", "a walk is open in 1A")
	c.Fused("1B")
	want("1A", "nothing else is free")
	if line, held := ahead.PipeHeld(c.Book, c.Joint("2B"), c.H.At, fusion.Stamp{}); !held || line.Weld.Joint != "2A" {
		t.Errorf("2B is held by %q", line.Weld.Joint)
	}
	if _, held := ahead.PipeHeld(c.Book, c.Joint("2A"), c.H.At, fusion.Stamp{}); held {
		t.Error("a weld holds its own joint")
	}
	c.Wait(6 * time.Minute)
	want("2B", "the hold is over")
	c.Fused("2B")
	want("1A", "only an open walk is left")
	c.Do(acts.AbandonWalk(c.H, c.Joint("1A").Walk, "rain"), acts.StrikeJoint(c.H, "1A", "not needed"))
	if j, ok := c.Offered(); ok {
		t.Errorf("nothing is left, but %s", j.Label)
	}
}
