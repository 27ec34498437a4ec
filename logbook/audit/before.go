package audit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
)

func fused(c Case, says string) string {
	if !c.Weld.Fused() {
		return ""
	}
	return says
}

func unscraped(c Case) string {
	a := c.Weld.Answers[logbook.ItemScraped]
	if a.V != logbook.CouldNot {
		return ""
	}
	return fused(c, fmt.Sprintf("%s was fused unscraped (%s)", c.Weld.ID, orNone(a.Because())))
}

func couldNot(c Case) string {
	var items []string
	for _, p := range logbook.PrepItems {
		if a := c.Weld.Answers[p.Item]; a.V == logbook.CouldNot && p.Item != logbook.ItemScraped {
			items = append(items, fmt.Sprintf("%s (%s)", p.Name, orNone(a.Because())))
		}
	}
	if len(items) == 0 {
		return ""
	}
	return fused(c, fmt.Sprintf("%s: %s: %s", c.Weld.ID, logbook.Marks.Word(logbook.CouldNot), strings.Join(items, ", ")))
}

func prepUnsaid(c Case) string {
	var items []string
	for _, p := range logbook.PrepItems {
		if v := c.Weld.Answers[p.Item].V; v != logbook.Done && v != logbook.CouldNot {
			items = append(items, p.Name)
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
	return fused(c, fmt.Sprintf("%s was scraped by %s, the site requires %s", c.Weld.ID, logbook.ScrapeMethods.Word(got), logbook.ScrapeMethods.Word(want)))
}

func fittingUnlike(c Case) string {
	want, got := c.Joint.Fitting, c.Weld.Fitting()
	if want == "" || got == "" || want == got {
		return ""
	}
	return fused(c, fmt.Sprintf("%s is a %s, the plan says %s", c.Weld.ID, got, want))
}

// codeUnlike speaks where the code of the fitting is known, now, as another
// fitting than the one whose row gave the time.
func codeUnlike(c Case) string {
	code, fitting := c.Weld.Answers[logbook.ItemCode].V, c.Weld.Fitting()
	taught, known := c.Site.TaughtAs(code)
	if !known || fitting == "" || taught.Fitting == fitting {
		return ""
	}
	return fused(c, fmt.Sprintf("%s was fused as %s, the code scanned with it is taught as %s", c.Weld.ID, fitting, taught.Fitting))
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

// bagNotRead is silent where the row itself was not allowed. A weld whose own
// bag was read keeps that where its batch was corrected later.
func bagNotRead(c Case) string {
	w := c.Weld
	if rowNotAllowed(c) != "" || w.Fitting() == "" {
		return ""
	}
	if b := w.Bag; b != nil && b.Fitting == w.Fitting() {
		switch {
		case b.Matches:
			return ""
		case w.Settings != nil && b.Table == w.Settings.Table:
			return fused(c, fmt.Sprintf("%s: its bag, batch %s, prints otherwise than the table", w.ID, orNothing(logbook.Words(logbook.ItemBatch, b.Batch))))
		}
	}
	known := func(t logbook.TableRef) bool { return t.BagKnown(w.Fitting(), w.Batch()) }
	if w.Batch() != logbook.NotKnown && slices.ContainsFunc(c.Site.Tables, known) {
		return ""
	}
	return fused(c, fmt.Sprintf("%s: the bag of %s, batch %s, was not read against the table", w.ID, w.Fitting(), orNothing(w.Answered(logbook.ItemBatch))))
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
	if w.Run == nil || w.Settings == nil || w.Settings.SecondsUnsaid || *w.Run == w.Settings.SecondsShown {
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
	if at.Sky != logbook.SkyWet || at.Shelter != logbook.ShelterNone {
		return ""
	}
	return c.Weld.ID + " was fused in rain or snow without a shelter"
}
