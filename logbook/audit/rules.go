package audit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
)

const (
	rejectLists = "reject lists of WIS 4-32-08, DVS 2202-1, EN 13100-1, from memory; severity is our choice"
	practice    = "common practice, no source"
	ourChoice   = "our choice, adjustable"
	cutOutDo    = "cut it out and weld again with a new fitting"
	decideDo    = "the foreman decides: accept by name with a reason, or cut it out"
)

// Rules is every rule, in the order of the work.
var Rules = []Rule{
	{
		Slug: "unscraped", Severity: Fail, Scope: OnWeld, Basis: rejectLists, Do: cutOutDo,
		Says: "a fused weld whose pipe was not scraped all round", Check: unscraped,
	},
	{
		Slug: "keyed-unlike-table", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "DVS 2207-1 Suppl. 1, 4.4: time shown must equal that of the fitting, else stop",
		Says:  "a weld fused with volts or seconds unlike its table", Check: keyedUnlike,
	},
	{
		Slug: "stopped-in-fusion", Severity: Fail, Scope: OnWeld, Do: "let it cool, then " + cutOutDo,
		Basis: "UK gas checklists DN.14A/DN.27: let it cool, cut it out, no re-fusion",
		Says:  "a fusion that stopped before its time", Check: stoppedInFusion,
	},
	{
		Slug: "indicator-flat", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "UK trade guidance, as restated: all indicators must have risen, else cut out",
		Says:  "an indicator flat at any look", Check: indicator(logbook.Flat),
	},
	{
		Slug: "melt-outside", Severity: Fail, Scope: OnWeld, Basis: rejectLists, Do: cutOutDo,
		Says: "melt seen outside the fitting", Check: seen("melt outside the fitting", func(l logbook.Look) bool { return l.Melt == "outside" }),
	},
	{
		Slug: "wire-seen", Severity: Fail, Scope: OnWeld, Basis: rejectLists, Do: cutOutDo,
		Says: "heating wire seen", Check: seen("heating wire visible", func(l logbook.Look) bool { return l.Wire == "seen" }),
	},
	{
		Slug: "disturbed", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "UK gas checklist DN.14A: no movement during fusion and cooling",
		Says:  "a joint moved or unclamped before its cooling time was over", Check: disturbed,
	},
	{
		Slug: "released-early", Severity: Fail, Scope: OnWeld, Do: cutOutDo,
		Basis: "UK gas checklist DN.14A: no movement during fusion and cooling",
		Says:  "a release stated for a time before the hold was over", Check: releasedEarly,
	},
	{
		Slug: "preparation-could-not", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "trade press on WIS 4-32-08:2016, as restated: over 90 % of failures go back to preparation",
		Says:  "an item of preparation that could not be done", Check: couldNot,
	},
	{
		Slug: "preparation-unsaid", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: rejectLists,
		Says: "a fused weld with an item of preparation not answered", Check: prepUnsaid,
	},
	{
		Slug: "scraping-method", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "the site plan's requirement; some clients forbid hand scraping (Tauranga IDC CS-9.1.1)",
		Says:  "scraped otherwise than the site requires", Check: scrapingMethod,
	},
	{
		Slug: "fitting-unlike-plan", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a fitting other than the plan's", Check: fittingUnlike,
	},
	{
		Slug: "pipe-unlike-plan", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: "PIPA POP001: limits for unlike pipes are printed on the fitting",
		Says: "a pipe whose print is unlike the plan", Check: pipeUnlike,
	},
	{
		Slug: "wet", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "no water in the zone, steam makes voids (Rubeiz, PPI); shelter from rain (CJJ 63-2008)",
		Says:  "fused in rain or snow without a shelter", Check: wet,
	},
	{
		Slug: "ambient-outside", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "the fitting's own table; times are never extrapolated",
		Says:  "fused at a temperature outside the table's bands", Check: ambientOutside,
	},
	{
		Slug: "resistance-outside", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "printed tolerance, else ISO 8085-3 and EN 1555-3, from memory",
		Says:  "resistance outside the fitting's window", Check: resistanceOutside,
	},
	{
		Slug: "row-not-allowed", Severity: Query, Scope: OnWeld, Do: "compare bag and table; " + decideDo, Basis: ourChoice,
		Says: "fused by a table row not read back, or stopped by a bag", Check: rowNotAllowed,
	},
	{
		Slug: "run-unlike-set", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: rejectLists,
		Says: "seconds run, as the unit showed, unlike the seconds set", Check: runUnlike,
	},
	{
		Slug: "nobody-saw", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: practice,
		Says: "a fusion whose end nobody saw, or that was not watched to its end", Check: nobodySaw,
	},
	{
		Slug: "indicator-part", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: rejectLists,
		Says: "an indicator only part up", Check: indicator(logbook.Part),
	},
	{
		Slug: "not-seen", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: rejectLists,
		Says: "something that should have been looked at and could not be", Check: notSeen,
	},
	{
		Slug: "marks-moved", Severity: Query, Scope: OnWeld, Basis: rejectLists, Do: decideDo,
		Says: "insertion marks moved", Check: seen("insertion marks moved", func(l logbook.Look) bool { return l.Marks == "moved" }),
	},
	{
		Slug: "not-straight", Severity: Query, Scope: OnWeld, Do: decideDo,
		Basis: "IKV Aachen on DVS 2202: misalignment at most 2° in quality group II",
		Says:  "pipe and fitting not in line", Check: seen("not straight", func(l logbook.Look) bool { return l.Straight == "no" }),
	},
	{
		Slug: "moves", Severity: Fail, Scope: OnWeld, Basis: rejectLists, Do: cutOutDo,
		Says: "a joint that moves when felt", Check: seen("moves when felt", func(l logbook.Look) bool { return l.Felt == "moves" }),
	},
	{
		Slug: "clock-doubted", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a gap in a hold that a person accepted by the wall clock", Check: clockDoubted,
	},
	{
		Slug: "hold-across-restart", Severity: Note, Scope: OnWeld, Basis: ourChoice,
		Do:   "nothing: the longer remainder was counted",
		Says: "a hold that ran across a restart of the machine", Check: heldAcrossRestart,
	},
	{
		Slug: "entered-later", Severity: Query, Scope: OnWeld, Do: decideDo, Basis: ourChoice,
		Says: "a weld entered from memory or paper", Check: enteredLater,
	},
	{
		Slug: "batch-missing", Severity: Note, Scope: OnWeld, Do: "look for the bag or the print on the pipe", Basis: rejectLists,
		Says: "no batch recorded for fitting or pipe", Check: batchMissing,
	},
	{
		Slug: "walk-open", Severity: Query, Scope: OnWeld, Work: true, Do: "resume the walk, or give the weld up", Basis: practice,
		Says: "a walk begun and not finished", Check: walkOpen,
	},
	{
		Slug: "end-unsaid", Severity: Query, Scope: OnWeld, Work: true, Do: "say how it ended", Basis: practice,
		Says: "a fusion begun whose end is not recorded", Check: endUnsaid,
	},
	{
		Slug: "unread", Severity: Query, Scope: OnWeld, Work: true, Do: "look at the indicators", Basis: practice,
		Says: "a fused weld whose indicators were not read", Check: unread,
	},
	{
		Slug: "unreleased", Severity: Query, Scope: OnWeld, Work: true, Do: "when the hold is over: feel, look, release", Basis: practice,
		Says: "a hold that was not ended by a release", Check: unreleased,
	},
	{
		Slug: "round-not-done", Severity: Query, Scope: OnWeld, Work: true, Do: "feel it and look at its indicators once more", Basis: practice,
		Says: "a weld of a closed shift that the last round did not reach", Check: roundNotDone,
	},
	{
		Slug: "missing-weld", Severity: Query, Scope: OnJoint, Work: true, Do: "weld it, or strike it off with a reason", Basis: practice,
		Says: "a joint of the plan in which nothing stands", Check: missingWeld,
	},
	{
		Slug: "fail-not-cut-out", Severity: Fail, Scope: OnJoint, Work: true, Do: cutOutDo,
		Basis: "UK gas checklists DN.14A/DN.27",
		Says:  "a failed weld that still stands in its joint", Check: failNotCut,
	},
	{
		Slug: "shift-open", Severity: Query, Scope: OnSite, Work: true, Do: "make the last round and close the shift", Basis: practice,
		Says: "a shift left open past its day", Check: shiftOpen,
	},
}

func fused(c Case, says string) string {
	if !c.Weld.Fused() {
		return ""
	}
	return says
}

func unscraped(c Case) string {
	a := c.Weld.Answers["scraped"]
	if a.V != logbook.CouldNot {
		return ""
	}
	return fused(c, fmt.Sprintf("%s was fused unscraped (%s)", c.Weld.ID, orNone(a.Why)))
}

func couldNot(c Case) string {
	var items []string
	for _, p := range logbook.PrepItems {
		if a := c.Weld.Answers[p.Item]; a.V == logbook.CouldNot && p.Item != "scraped" {
			items = append(items, fmt.Sprintf("%s (%s)", p.Item, orNone(a.Why)))
		}
	}
	if len(items) == 0 {
		return ""
	}
	return fused(c, fmt.Sprintf("%s: could not: %s", c.Weld.ID, strings.Join(items, ", ")))
}

func prepUnsaid(c Case) string {
	var items []string
	for _, p := range logbook.PrepItems {
		if v := c.Weld.Answers[p.Item].V; v != logbook.Done && v != logbook.CouldNot {
			items = append(items, p.Item)
		}
	}
	if len(items) == 0 {
		return ""
	}
	return fused(c, fmt.Sprintf("%s: not answered: %s", c.Weld.ID, strings.Join(items, ", ")))
}

func scrapingMethod(c Case) string {
	want, got := c.Site.Scraping, c.Weld.Answers[logbook.ItemMethod].V
	if want == "" || got == "" || got == want {
		return ""
	}
	return fused(c, fmt.Sprintf("%s was scraped by %s, the site requires %s", c.Weld.ID, got, want))
}

func fittingUnlike(c Case) string {
	want, got := c.Joint.Fitting, c.Weld.Fitting()
	if want == "" || got == "" || want == got {
		return ""
	}
	return fused(c, fmt.Sprintf("%s is a %s, the plan says %s", c.Weld.ID, got, want))
}

func pipeUnlike(c Case) string {
	if c.Weld.Answers[logbook.ItemPrint].V != logbook.UnlikePlan {
		return ""
	}
	return fused(c, c.Weld.ID+": the print on its pipe is unlike the plan")
}

func keyedUnlike(c Case) string {
	if c.Weld.Settings == nil || c.Weld.Settings.Unlike() == "" {
		return ""
	}
	return fused(c, fmt.Sprintf("%s: %s", c.Weld.ID, c.Weld.Settings.Unlike()))
}

func ambientOutside(c Case) string {
	if c.Weld.Settings == nil || c.Weld.Settings.Band != nil || c.Weld.Ambient == nil {
		return ""
	}
	return fused(c, fmt.Sprintf("%s was fused at %s °C, outside its table's bands", c.Weld.ID, c.Weld.Ambient.C))
}

func resistanceOutside(c Case) string {
	if o := c.Weld.Ohms; o != nil && o.Outside() {
		return fused(c, fmt.Sprintf("%s read %g Ω, its window is %.2f…%.2f Ω", c.Weld.ID, *o.Ohms, o.Low, o.High))
	}
	return ""
}

func rowNotAllowed(c Case) string {
	if c.Weld.Settings == nil || c.Weld.LateWhy == "" {
		return "" // the walk itself lets no such row pass
	}
	for _, t := range c.Site.Tables {
		if t.Hash != c.Weld.Settings.Table {
			continue
		}
		if t.ReadBack == "" {
			return fused(c, fmt.Sprintf("%s: its table %q was not read back", c.Weld.ID, t.Title))
		}
		if t.Stopped[c.Weld.Fitting()] != "" {
			return fused(c, fmt.Sprintf("%s: row %q was stopped by a bag", c.Weld.ID, c.Weld.Fitting()))
		}
		return ""
	}
	return fused(c, fmt.Sprintf("%s: its fitting is in no table of the site", c.Weld.ID))
}

func stoppedInFusion(c Case) string {
	if c.Weld.Outcome != logbook.Stopped {
		return ""
	}
	at := ""
	if c.Weld.StoppedAt != nil {
		at = fmt.Sprintf(" at %d s", *c.Weld.StoppedAt)
	}
	return fmt.Sprintf("%s: fusion stopped%s (%s)", c.Weld.ID, at, orNone(c.Weld.Said))
}

func runUnlike(c Case) string {
	w := c.Weld
	if w.Run == nil || w.Settings == nil || *w.Run == w.Settings.SecondsShown {
		return ""
	}
	return fmt.Sprintf("%s ran %d s, its unit was set to %d s", w.ID, *w.Run, w.Settings.SecondsShown)
}

func nobodySaw(c Case) string {
	switch {
	case c.Weld.Outcome == logbook.NotSeen:
		return c.Weld.ID + ": nobody saw how its fusion ended"
	case c.Weld.Unwatched && c.Weld.Outcome == logbook.Completed:
		return c.Weld.ID + ": its fusion was not watched to the end by the log; stated completed after a restart"
	}
	return ""
}

func wet(c Case) string {
	if c.Weld.Started == nil || c.Weld.LateWhy != "" {
		return ""
	}
	at := c.Shift.WeatherAt(*c.Weld.Started)
	if at.Sky != "rain or snow" || at.Shelter != "none" {
		return ""
	}
	return c.Weld.ID + " was fused in rain or snow without a shelter"
}

func indicator(state string) func(Case) string {
	return func(c Case) string {
		for _, l := range c.Weld.Looks {
			if slices.Contains(l.Indicators, state) {
				return fmt.Sprintf("%s: indicator %s %s", c.Weld.ID, state, l.When)
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
			note("indicators", "seen")
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
	ended, ok := w.EndedAt()
	if ran := w.ReleasedStated.Sub(ended); ok && ran.Minutes() < float64(w.Settings.CoolingMin) {
		return fmt.Sprintf("%s was released %.0f min after fusion, its cooling time is %d min", w.ID, ran.Minutes(), w.Settings.CoolingMin)
	}
	return ""
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
	if c.Weld.LateWhy == "" {
		return ""
	}
	return fmt.Sprintf("%s was entered later (%s)", c.Weld.ID, c.Weld.LateWhy)
}

func batchMissing(c Case) string {
	var items []string
	for _, item := range []string{logbook.ItemBatch, logbook.ItemPipeBatch} {
		if v := c.Weld.Answers[item].V; v == "" || v == logbook.NotKnown {
			items = append(items, item)
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

func missingWeld(c Case) string {
	if !c.Joint.Open() {
		return ""
	}
	return fmt.Sprintf("joint %s: no weld stands in it", c.Joint.Label)
}

func failNotCut(c Case) string {
	if c.Joint.Stands == "" || c.verdict(c.Joint.Stands) != Failed {
		return ""
	}
	return fmt.Sprintf("%s failed and still stands in joint %s", c.Joint.Stands, c.Joint.Label)
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
