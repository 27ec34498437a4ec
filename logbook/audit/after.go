package audit

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
)

func indicator(state string) func(Case) string {
	return func(c Case) string {
		for _, l := range c.Weld.Looks {
			if slices.Contains(l.Indicators, state) {
				return fmt.Sprintf("%s: indicator %s %s", c.Weld.ID, logbook.Indicators.Word(state), l.When)
			}
		}
		return ""
	}
}

func seen(what string, is func(logbook.Look) bool) func(Case) string {
	return func(c Case) string {
		for _, l := range c.Weld.Looks {
			if is(l.Look) {
				return fmt.Sprintf("%s: %s %s", c.Weld.ID, what, l.When)
			}
		}
		return ""
	}
}

// notSeen asks what the last look that could have seen it saw.
func notSeen(c Case) string {
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
		note("straightness", l.Straight)
	}
	var items []string
	for _, item := range order {
		if last[item] == logbook.Unseen {
			items = append(items, item)
		}
	}
	if len(items) == 0 {
		return ""
	}
	return fmt.Sprintf("%s: not seen: %s", c.Weld.ID, strings.Join(items, ", "))
}

func disturbed(c Case) string {
	if d := c.Weld.Disturbed; d != nil && d.Early {
		return fmt.Sprintf("%s: %s", c.Weld.ID, d.Line())
	}
	return ""
}

func releasedEarly(c Case) string {
	w := c.Weld
	if w.LateWhy == "" || w.Released == nil || w.ReleasedStated == nil || w.Settings == nil {
		return ""
	}
	ended, about := firstEnd(w)
	if ran := w.ReleasedStated.Sub(ended); ran.Minutes() < float64(w.Settings.CoolingMin) {
		return fmt.Sprintf("%s was released %s%.0f min after fusion, its cooling time is %d min", w.ID, about, ran.Minutes(), w.Settings.CoolingMin)
	}
	return ""
}

// firstEnd is when the fusion of a weld entered later ended. Where nobody
// wrote that down it is the earliest end there can be, its start and the
// seconds set, and what follows from it is "at most".
func firstEnd(w logbook.Weld) (at time.Time, about string) {
	if at, _ = w.EndedAt(); w.EndedStated != nil || w.StartedStated == nil {
		return at, ""
	}
	return w.StartedStated.Add(time.Duration(w.Settings.SecondsShown) * time.Second), "at most "
}

func clockDoubted(c Case) string {
	if c.Weld.Gap == "" {
		return ""
	}
	return fmt.Sprintf("%s: its hold counts a gap accepted by %s", c.Weld.ID, c.Weld.Gap)
}

func heldAcrossRestart(c Case) string {
	if len(c.Weld.Doubts) == 0 {
		return ""
	}
	return c.Weld.ID + ": " + c.Weld.Doubts[len(c.Weld.Doubts)-1]
}

func enteredLater(c Case) string {
	if c.Weld.LateWhy == "" || c.Weld.Paper != nil {
		return ""
	}
	return fmt.Sprintf("%s was entered later (%s)", c.Weld.ID, c.Weld.LateWhy)
}

func batchMissing(c Case) string {
	var items []string
	for _, item := range []string{logbook.ItemBatch, logbook.ItemPipeBatch} {
		if v := c.Weld.Answers[item].V; v == "" || v == logbook.NotKnown {
			items = append(items, logbook.NameOf(item))
		}
	}
	if len(items) == 0 {
		return ""
	}
	return fused(c, fmt.Sprintf("%s: no %s", c.Weld.ID, strings.Join(items, ", no ")))
}

func walkOpen(c Case) string {
	if !c.Weld.Walking() {
		return ""
	}
	return fmt.Sprintf("%s: walk open since %s", c.Weld.ID, c.Weld.Begun.Local().Format("2 Jan 15:04"))
}

func endUnsaid(c Case) string {
	if !c.Weld.Fusing() {
		return ""
	}
	return c.Weld.ID + ": the end of its fusion is not recorded"
}

func unread(c Case) string {
	if c.Weld.Outcome != logbook.Completed || len(c.Weld.Looks) > 0 {
		return ""
	}
	return c.Weld.ID + ": its indicators were not read"
}

func unreleased(c Case) string {
	if !c.Weld.Holding() {
		return ""
	}
	if c.Weld.Hold != nil && !c.Weld.Hold.Over(c.AsOf, c.Beat) {
		return fmt.Sprintf("%s: its hold is running", c.Weld.ID)
	}
	return fmt.Sprintf("%s: its hold was not ended by a release", c.Weld.ID)
}

func roundNotDone(c Case) string {
	w := c.Weld
	if !w.Stands() || w.Outcome != logbook.Completed || w.Disturbed != nil || c.Shift.Closed == nil {
		return ""
	}
	for _, l := range w.Looks {
		if l.When == logbook.LookRound {
			return ""
		}
	}
	return w.ID + ": the last round did not reach it"
}

func shiftOpen(c Case) string {
	sh, ok := c.Read.Shift(c.Site.ID, c.Site.Shift)
	if !ok || sh.Day >= c.AsOf.Local().Format("2006-01-02") {
		return ""
	}
	return fmt.Sprintf("shift %s was not closed", sh.ID)
}

func orNone(s string) string {
	if s == "" {
		return "no reason given"
	}
	return s
}
