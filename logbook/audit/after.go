package audit

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A sight is what was seen of a weld and at which look.
type sight struct {
	When       logbook.Occasion `json:"when"`
	Indicators []string         `json:"indicators,omitempty"` // of all sides, where it is about them
}

func indicator(state string) Check {
	return CheckOf(
		func(c Case) (sight, bool) {
			for _, l := range c.Weld.Looks {
				if slices.Contains(l.Indicators, state) {
					return sight{l.When, l.Indicators}, true
				}
			}
			return sight{}, false
		},
		sightSays(state),
	)
}

func sightSays(state string) func(string, sight) string {
	return func(weld string, f sight) string {
		return fmt.Sprintf("%s: indicator %s %s", weld, logbook.Indicators.Word(state), f.When)
	}
}

// flat is an indicator that was seen flat, unless every indicator was up at a look
// after the hold: one that rose is up, one that was seen flat when cold stays flat.
func flat(c Case) (sight, bool) {
	for i, l := range c.Weld.Looks {
		if slices.Contains(l.Indicators, logbook.Flat) && (c.atAnyLook || riseAfter(c.Weld.Looks, i) == nil) {
			return sight{l.When, l.Indicators}, true
		}
	}
	return sight{}, false
}

// riseAfter is the look after the hold that saw every indicator up which a look at the
// hot joint saw flat; nil where there is none. One that tells fewer of them does not
// speak of all.
func riseAfter(looks []logbook.Seen, hot int) *logbook.Seen {
	if looks[hot].When != logbook.LookHot {
		return nil
	}
	for i, l := range looks[hot+1:] {
		up := !slices.ContainsFunc(l.Indicators, func(v string) bool { return v != logbook.Up })
		if l.When != logbook.LookHot && up && len(l.Indicators) >= len(looks[hot].Indicators) {
			return &looks[hot+1+i]
		}
	}
	return nil
}

// A rise is an indicator that was flat at one look and up at a later one: one of the two
// was not seen rightly, or it rose late.
type rise struct {
	Flat sight `json:"flat"`
	Up   sight `json:"up"`
}

// flatThenUp is silent where the fail speaks.
func flatThenUp(c Case) (rise, bool) {
	if _, fails := flat(c); fails {
		return rise{}, false
	}
	for i, l := range c.Weld.Looks {
		if slices.Contains(l.Indicators, logbook.Flat) {
			up := riseAfter(c.Weld.Looks, i)
			return rise{sight{l.When, l.Indicators}, sight{up.When, up.Indicators}}, true
		}
	}
	return rise{}, false
}

func riseSays(weld string, f rise) string {
	return fmt.Sprintf("%s: indicator %s %s, %s %s", weld, logbook.Indicators.Word(logbook.Flat), f.Flat.When, logbook.Indicators.Word(logbook.Up), f.Up.When)
}

func seen(what string, is func(logbook.Look) bool) Check {
	return CheckOf(
		func(c Case) (sight, bool) {
			for _, l := range c.Weld.Looks {
				if is(l.Look) {
					return sight{When: l.When}, true
				}
			}
			return sight{}, false
		},
		func(weld string, f sight) string { return fmt.Sprintf("%s: %s %s", weld, what, f.When) },
	)
}

// notSeen asks what the last look that could have seen it saw.
func notSeen(c Case) (items []string, found bool) {
	last := map[string]string{}
	var order []string
	note := func(item, v string) {
		if v == "" {
			return
		}
		if _, had := last[item]; !had {
			order = append(order, item)
		}
		last[item] = v
	}
	for _, l := range c.Weld.Looks {
		if slices.Contains(l.Indicators, logbook.Unseen) {
			note("indicators", logbook.Unseen)
		} else if len(l.Indicators) > 0 {
			note("indicators", logbook.Up) // whatever was seen
		}
		note("melt", l.Melt)
		note("wire", l.Wire)
		note("marks", l.Marks)
		note("straight", l.Straight)
	}
	for _, item := range order {
		if last[item] == logbook.Unseen {
			items = append(items, item)
		}
	}
	return items, len(items) > 0
}

func notSeenSays(weld string, items []string) string {
	items = slices.Clone(items)
	for i := range items {
		if items[i] == "straight" {
			items[i] = "straightness"
		}
	}
	return fmt.Sprintf("%s: could not be looked at: %s", weld, strings.Join(items, ", "))
}

func disturbed(c Case) (logbook.Disturbed, bool) {
	if c.Weld.Disturbed == nil {
		return logbook.Disturbed{}, false
	}
	return *c.Weld.Disturbed, c.Weld.Disturbed.Early
}

// A heldFor is how long a joint was held and how long its table asks for.
type heldFor struct {
	Ran        time.Duration `json:"ran_ns"`
	CoolingMin int           `json:"cooling_min"`
	AtMost     bool          `json:"at_most,omitempty"` // nobody wrote down when the fusion ended
}

func releasedEarly(c Case) (heldFor, bool) {
	w, s := c.Weld, c.keyed()
	if w.LateWhy == "" || w.Released == nil || w.ReleasedStated == nil || s == nil {
		return heldFor{}, false
	}
	ended, atMost := firstEnd(w)
	f := heldFor{w.ReleasedStated.Sub(ended), s.CoolingMin, atMost}
	return f, f.Ran.Minutes() < float64(f.CoolingMin)
}

func releasedSays(weld string, f heldFor) string {
	about := ""
	if f.AtMost {
		about = "at most "
	}
	return fmt.Sprintf("%s was released %s%.0f min after fusion, its cooling time is %d min", weld, about, f.Ran.Minutes(), f.CoolingMin)
}

// firstEnd is when the fusion of a weld entered later ended. Where nobody
// wrote that down it is the earliest end there can be, its start and the
// seconds set, and what follows from it is the most.
func firstEnd(w logbook.Weld) (at time.Time, atMost bool) {
	if at, _ = w.EndedAt(); w.EndedStated != nil || w.StartedStated == nil {
		return at, false
	}
	return w.StartedStated.Add(time.Duration(w.Settings.SecondsShown) * time.Second), true
}

func clockDoubted(c Case) (ask, bool) { return ask{By: c.Weld.Gap}, c.Weld.Gap != "" }

func clockSays(weld string, f ask) string {
	return fmt.Sprintf("%s: its hold counts a gap accepted by %s", weld, f.By)
}

// A word on a hold is how much of it a person stated to have run, by what, and how
// much of it the clocks prove.
type holdWord struct {
	By    string  `json:"by"`
	Watch string  `json:"watch"`
	Began string  `json:"began,omitempty"`
	Ink   string  `json:"cool_until,omitempty"`
	RanS  float64 `json:"ran_s"`
	SureS float64 `json:"sure_s"`
}

func heldByWord(c Case) (holdWord, bool) {
	s := c.Weld.HoldSaid
	if s == nil {
		return holdWord{}, false
	}
	return holdWord{s.By, s.Watch, s.Began, s.Ink, s.RanS, s.SureS}, true
}

func wordSays(weld string, f holdWord) string {
	read := logbook.HoldSaid{Watch: f.Watch, Began: f.Began, Ink: f.Ink}.Read()
	return fmt.Sprintf("%s: its hold counts %.0f s as run, as %s states (%s); the clocks prove %.0f s", weld, f.RanS, f.By, read, f.SureS)
}

func heldAcrossRestart(c Case) (logbook.ClockDoubted, bool) {
	if len(c.Weld.Doubts) == 0 {
		return logbook.ClockDoubted{}, false
	}
	return c.Weld.Doubts[len(c.Weld.Doubts)-1], true
}

func enteredLater(c Case) (reason, bool) {
	return reason{Why: c.Weld.LateWhy}, c.Weld.LateWhy != "" && c.Weld.Paper == nil
}

func enteredSays(weld string, f reason) string {
	return fmt.Sprintf("%s was entered later (%s)", weld, f.Why)
}

func batchMissing(c Case) (items []string, found bool) {
	for _, item := range []string{logbook.ItemBatch, logbook.ItemPipeBatch} {
		if v := c.Weld.Answers[item].V; v == "" || v == logbook.NotKnown {
			items = append(items, item)
		}
	}
	return items, c.Weld.Fused() && len(items) > 0
}

func batchSays(weld string, items []string) string {
	return fmt.Sprintf("%s: no %s", weld, strings.Join(names(items), ", no "))
}

func walkOpen(c Case) (time.Time, bool) { return c.Weld.Begun.Local(), c.Weld.Walking() }

func walkSays(weld string, since time.Time) string {
	return fmt.Sprintf("%s: walk open since %s", weld, since.Format("2 Jan 15:04"))
}

// A zoneFact is the zone of a fitting that is not fused, of how many.
type zoneFact struct {
	Zone int `json:"zone"`
	Of   int `json:"of"`
}

func zoneOpen(c Case) (zoneFact, bool) {
	w := c.Weld
	if !w.Between() || !w.Stands() {
		return zoneFact{}, false
	}
	return zoneFact{len(w.Zones) + 1, w.Settings.Zones}, true
}

func zoneSays(weld string, f zoneFact) string {
	return fmt.Sprintf("%s: zone %d of %d is not fused", weld, f.Zone, f.Of)
}

func endUnsaid(c Case) bool { return c.Weld.Fusing() }

func unread(c Case) bool { return c.Weld.Outcome == logbook.Completed && len(c.Weld.Looks) == 0 }

// A hold is one that nobody ended. Where its time has passed by the clock on the wall and
// no clock that counts it proves that, it is said why: it does not simply run.
type hold struct {
	Running  bool         `json:"running"`
	Unproved bool         `json:"unproved,omitempty"`
	Doubt    fusion.Doubt `json:"doubt,omitempty"` // "": its end was entered later
}

func unreleased(c Case) (hold, bool) {
	w := c.Weld
	if !w.Holding() || w.Outcome == logbook.Stopped { // that one is cut out, not released
		return hold{}, false
	}
	if w.Hold == nil || w.Hold.Over(c.AsOf, c.Beat) {
		return hold{}, true
	}
	_, doubt := w.Hold.Left(c.AsOf, c.Beat)
	ended, _ := w.EndedAt()
	past := !c.AsOf.Local().Before(ended.Add(w.Hold.Want))
	switch typed := w.EndedStated != nil && !w.HoldStated; {
	case past && typed:
		return hold{Running: true, Unproved: true}, true
	case past && doubt != fusion.Sure:
		return hold{Running: true, Unproved: true, Doubt: doubt}, true
	}
	return hold{Running: true}, true
}

func unreleasedSays(weld string, f hold) string {
	undone := weld + ": its hold was not ended by a release"
	switch {
	case f.Unproved && f.Doubt == fusion.Sure:
		return undone + "; by the time stated it is over, and it counts from when it was entered"
	case f.Unproved:
		return undone + "; by the wall clock it is over, and no clock proves it: " + f.Doubt.Says()
	case f.Running:
		return weld + ": its hold is running"
	}
	return undone
}

func roundNotDone(c Case) bool {
	w := c.Weld
	if !w.Stands() || w.Outcome != logbook.Completed || w.Disturbed != nil || c.Shift.Closed == nil {
		return false
	}
	return !w.LookedOver()
}

func shiftOpen(c Case) (shift string, found bool) {
	sh, ok := c.Read.Shift(c.Site.ID, c.Site.Shift)
	return sh.ID, ok && sh.Day < c.AsOf.Local().Format("2006-01-02")
}

func shiftSays(_, shift string) string { return fmt.Sprintf("shift %s was not closed", shift) }
