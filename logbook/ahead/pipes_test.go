package ahead_test

import (
	"os"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// onWeir is a crew on the site that has joints of several pipes and a fitting of
// two zones.
func onWeir(t *testing.T) *crew.Crew {
	t.Helper()
	var texts []string
	for _, name := range []string{"plans", "tables"} {
		data, err := os.ReadFile("../../testdata/" + name + "/weir.toml")
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, string(data))
	}
	return crew.On(t, texts[0], texts[1])
}

// A tee holds the three pipes that it joins; a weld on any of them holds the tee.
func TestWhatATeeHolds(t *testing.T) {
	for at, held := range map[string][]string{
		"T1": {"FG", "K1", "S1"}, "K1": {"T1"}, "S1": {"T1", "M1"}, "FG": {"T1"}, "M1": {"S1"}, "1A": {"1B"},
	} {
		c := onWeir(t)
		c.Fused(at)
		want := map[string]bool{}
		for _, label := range held {
			want[label] = true
		}
		for _, j := range c.Book.Joints(c.H.Site) {
			if _, got := ahead.PipeHeld(c.Book, j, c.H.At, fusion.Stamp{}); got != want[j.Label] {
				t.Errorf("a hold at %s holds %s: %t", at, j.Label, got)
			}
		}
	}
}

// The coil of a pipe is offered at whatever else is on it.
func TestACoilIsOfferedAcrossATee(t *testing.T) {
	c := onWeir(t)
	c.Do(acts.AnswerStep(c.H, c.Begin("T1"), logbook.StepFitting, []logbook.Answer{crew.Say(logbook.ItemPipeBatch, "coil 63")}))
	for label, want := range map[string]string{"FG": "coil 63", "S1": "coil 63", "K1": "coil 63", "M1": ""} {
		if got := ahead.BatchOffer(c.Book, logbook.Weld{Site: c.H.Site, Joint: label}, logbook.ItemPipeBatch); got != want {
			t.Errorf("%s is offered %q, want %q", label, got, want)
		}
	}
}

// A fitting of two zones keeps its unit for both, and what a tee holds is not
// worked meanwhile.
func TestOrderOfZonesAndTees(t *testing.T) {
	c := onWeir(t)
	o := ahead.OrderOf(c.Book, logbook.ShelfOf(c.Site()), c.H.Site, ahead.OrderGiven{Ambient: new(fusion.Celsius(9_00)), Units: 4}, c.H.At, fusion.Stamp{})
	rows := map[string]ahead.Planned{}
	for _, p := range o.Rows {
		rows[p.Joint.Label] = p
	}
	if took := rows["M1"].Fused.Sub(rows["M1"].Start); took != ahead.AssumedPrepare+2*99*time.Second {
		t.Errorf("two zones of 99 s take %v", took)
	}
	for _, pair := range [][2]string{{"T1", "FG"}, {"T1", "K1"}, {"T1", "S1"}, {"S1", "M1"}} {
		a, b := rows[pair[0]], rows[pair[1]]
		if a.Start.Before(b.Held) && b.Start.Before(a.Held) {
			t.Errorf("%v are worked at once: %v to %v, %v to %v", pair, a.Start, a.Held, b.Start, b.Held)
		}
	}
}

// While no time is known of a hold on a tee, nothing on its pipes has one.
func TestAHoldWithoutATimeOnATee(t *testing.T) {
	c := onWeir(t)
	c.Late(func(l *acts.LateWeld) {
		l.Joint, l.Answers = "T1", append(crew.Fitting("a tee that no table has", "W-1"), crew.Card()...)
	})
	o := ahead.OrderOf(c.Book, logbook.ShelfOf(c.Site()), c.H.Site, ahead.OrderGiven{Ambient: new(fusion.Celsius(9_00))}, c.H.At, fusion.Stamp{})
	for _, p := range o.Rows {
		want := map[string]string{"FG": "its pipe is held by T1, no time known", "K1": "its pipe is held by T1, no time known", "S1": "its pipe is held by T1, no time known"}[p.Joint.Label]
		if p.Why != want {
			t.Errorf("%s: %q, want %q", p.Joint.Label, p.Why, want)
		}
	}
}
