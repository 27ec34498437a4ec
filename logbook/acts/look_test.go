package acts_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// wholeLook says everything that another look is asked.
func wholeLook() logbook.Look {
	return logbook.Look{
		Indicators: []string{logbook.Up, logbook.Up}, Melt: "none", Wire: "none", Marks: "inplace", Straight: logbook.Yes, Felt: "firm", How: logbook.Typed,
	}
}

func lookOf(change func(*logbook.IndicatorsRead)) logbook.IndicatorsRead {
	b := logbook.IndicatorsRead{Look: wholeLook()}
	if change != nil {
		change(&b)
	}
	return b
}

// released is a weld out of its hold.
func released(c *crew.Crew) string {
	c.T.Helper()
	id := c.Fused("1A")
	c.Wait(10 * time.Minute)
	c.Do(acts.Release(c.H, id, crew.Look(logbook.LookRelease), c.H.At))
	return id
}

// At any weld that stands, whoever it is and whenever: nothing else is asked for.
func TestLookAgain(t *testing.T) {
	c := crew.OnSite(t)
	id := released(c)
	c.Do(acts.CloseShift(c.H))
	h := c.H
	h.By, h.Shift = "Hedda Invented", ""
	c.Wait(48 * time.Hour)
	h.At = c.H.At
	c.Do(acts.LookAgain(h, id, lookOf(nil)))
	l := c.Weld(id).Looks[len(c.Weld(id).Looks)-1]
	if l.When != logbook.LookAgain || l.Who() != "Hedda Invented" || l.Stated != nil || l.Felt != "firm" {
		t.Errorf("%+v", l)
	}
	if want := "at another look: indicators up, up; melt none; no wire; marks in place; straight yes; felt firm, cool"; l.Line() != want {
		t.Errorf("says %q, want %q", l.Line(), want)
	}
	on := h.At.Local().Add(-20 * time.Hour).Truncate(time.Minute)
	c.Do(acts.LookAgain(h, id, lookOf(func(b *logbook.IndicatorsRead) { b.Stated, b.DayOnly, b.How = &on, true, logbook.Later })))
	l = c.Weld(id).Looks[len(c.Weld(id).Looks)-1]
	if !l.DayOnly || !l.Stated.Equal(on) || !strings.HasPrefix(l.Line(), "at another look, "+on.Format(time.DateOnly)+" as stated: ") {
		t.Errorf("%+v says %q", l, l.Line())
	}
}

// What cannot be so, and what was asked and not said.
func TestLookAgainIsRefused(t *testing.T) {
	at := func(by time.Duration, dayOnly bool) func(*crew.Crew) func(*logbook.IndicatorsRead) {
		return func(c *crew.Crew) func(*logbook.IndicatorsRead) {
			on := c.H.At.Local().Add(by)
			return func(b *logbook.IndicatorsRead) { b.Stated, b.DayOnly = &on, dayOnly }
		}
	}
	without := func(key string) func(*crew.Crew) func(*logbook.IndicatorsRead) {
		return func(*crew.Crew) func(*logbook.IndicatorsRead) {
			return func(b *logbook.IndicatorsRead) { b.Look = logbook.LookValue(key).Set(b.Look, "") }
		}
	}
	for _, tt := range []struct {
		name, says string
		b          func(*crew.Crew) func(*logbook.IndicatorsRead)
	}{
		{"to come", "is still to come", at(2*time.Minute, false)},
		{"a day to come", "is still to come", at(24*time.Hour, true)},
		{"before its fusion", "was fused", at(-2*time.Hour, false)},
		{"a day before its fusion", "was fused", at(-24*time.Hour, true)},
		{"without indicators", "indicators is not said of KM-0001", without("indicators")},
		{"without melt", "melt is not said", without("melt")},
		{"without wire", "wire is not said", without("wire")},
		{"without marks", "marks is not said", without("marks")},
		{"without straight", "straight is not said", without("straight")},
		{"without felt", "felt is not said of KM-0001: firm, cool, firm, still hot, loose or could not feel", without("felt")},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			id := released(c)
			c.Refused(acts.LookAgain(c.H, id, lookOf(tt.b(c))), logbook.ErrRule, tt.says)
		})
	}
	c := crew.OnSite(t)
	id := released(c)
	h := c.H
	h.By = " "
	c.Refused(acts.LookAgain(h, id, lookOf(nil)), logbook.ErrRule, "a look needs a name")
	c.Refused(acts.LookAgain(c.H, "KM-0099", lookOf(nil)), logbook.ErrUnknown, "KM-0099")
	c.Do(acts.Cut(c.H, id, "crooked"))
	c.Refused(acts.LookAgain(c.H, id, lookOf(nil)), logbook.ErrRule, "does not stand")
}

// Before the hold is over a look is one at a hot joint, and how it feels is not asked.
func TestALookInTheHoldIsHot(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fused("1A")
	c.Wait(time.Minute)
	inHold := c.H.At.Local().Truncate(time.Minute)
	c.Do(acts.LookAgain(c.H, id, lookOf(func(b *logbook.IndicatorsRead) { b.Felt = "" })))
	c.Wait(20 * time.Minute)
	c.Do(acts.Release(c.H, id, crew.Look(logbook.LookRelease), c.H.At))
	c.Do(acts.LookAgain(c.H, id, lookOf(func(b *logbook.IndicatorsRead) { b.Stated, b.Felt = &inHold, "" })))
	c.Do(acts.LookAgain(c.H, id, lookOf(nil)))
	var when []logbook.Occasion
	for _, l := range c.Weld(id).Looks {
		when = append(when, l.When)
	}
	if want := []logbook.Occasion{logbook.LookHot, logbook.LookRelease, logbook.LookHot, logbook.LookAgain}; !slices.Equal(when, want) {
		t.Errorf("looks %q, want %q", when, want)
	}
}
