package audit

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
)

// What a sheet leaves unsaid, and what it tells beside its columns.

// The rules on that.
const (
	LookUnsaid   = "look-unsaid"
	RemarkToRead = "remark-to-read"
)

// A gap is what one look from paper does not say.
type gap struct {
	When  logbook.Occasion `json:"when"`
	Items []string         `json:"items"`
}

// lookUnsaid names what a look from paper leaves unsaid and no look after it says. What
// nobody could see is written there, and told by not-seen.
func lookUnsaid(c Case) (gaps []gap, found bool) {
	for i, l := range c.Weld.Looks {
		if l.Paper == nil && (c.Weld.Paper == nil || i > 0 || l.How != logbook.Later) {
			continue
		}
		g := gap{When: l.When}
		for _, v := range logbook.LookValues {
			asked := v.Key != "felt" || l.When == logbook.LookAgain // a hot joint is not touched
			if l.When == logbook.LookRound {
				asked = v.Key == "felt" || v.Key == "indicators"
			}
			if asked && !c.says(v, l) && !slices.ContainsFunc(c.Weld.Looks[i+1:], func(later logbook.Seen) bool { return c.says(v, later) }) {
				g.Items = append(g.Items, v.Key)
			}
		}
		if len(g.Items) > 0 {
			gaps = append(gaps, g)
		}
	}
	return gaps, c.Weld.Fused() && len(gaps) > 0
}

// says tells whether a look says a thing, of indicators each that its fitting has.
func (c Case) says(v logbook.Value[logbook.Look], l logbook.Seen) bool {
	said := v.Get(l.Look)
	f, _ := tableFitting(c)
	if v.Key != "indicators" || said == "" || said == logbook.None || f.Indicators == nil {
		return said != ""
	}
	return len(l.Indicators) >= *f.Indicators
}

func gapsSay(weld string, gaps []gap) string {
	return told(weld, gaps, func(g gap) string {
		items := make([]string, len(g.Items))
		for i, key := range g.Items {
			items[i] = logbook.LookValue(key).Name
		}
		return fmt.Sprintf("nobody said %s: %s", g.When, strings.Join(items, ", "))
	})
}

// paperUnsaid names what a sheet does not say of preparation and unit where no line of
// the card asks it. What the shifts say of the unit need not be said again.
func paperUnsaid(c Case) (items []string, found bool) {
	w := c.Weld
	if w.Paper == nil || !w.Fused() {
		return nil, false
	}
	if w.Answers[logbook.ItemMethod].V == "" && !unscrapedOnPaper(w) {
		items = append(items, logbook.ItemMethod)
	}
	if w.Answers[logbook.ItemPrint].V == "" {
		items = append(items, logbook.ItemPrint)
	}
	if !saysSo(logbook.Unit{Corrects: w.Corrects}) && c.unitCorrects() == "" {
		items = append(items, logbook.FieldCorrects)
	}
	if at := w.WeatherSaid(); at.Sky == logbook.SkyWet && at.Shelter == "" {
		items = append(items, logbook.ItemShelter)
	}
	return items, len(items) > 0
}

// unscrapedOnPaper tells whether the sheet itself says that nothing was scraped. That it
// was corrected since is asked about by another rule.
func unscrapedOnPaper(w logbook.Weld) bool {
	states := w.AsRecorded()
	return states[len(states)-1].Answers[logbook.ItemScraped].V == logbook.CouldNot
}

func paperUnsaidSays(weld string, items []string) string {
	return fmt.Sprintf("%s: nobody said: %s", weld, strings.Join(names(items), ", "))
}

// A remark is a text that stood beside the columns of a sheet, and who typed it.
type remark struct {
	Text string `json:"text"`
	By   string `json:"by"`
}

// remarks are those of a weld, of its own row and of another look at it. One that tells
// of a fault is known only to who reads it.
func remarks(c Case) (list []remark, found bool) {
	for _, n := range c.Weld.Notes {
		if n.Remark {
			list = append(list, remark{n.Text, n.By})
		}
	}
	return list, len(list) > 0
}

func remarksSay(weld string, list []remark) string {
	return told(weld, list, func(r remark) string { return fmt.Sprintf("remark on paper: %q", r.Text) })
}

// A standing is a weld that was cut out of a joint, and the time from which another can
// have been made in it.
type standing struct {
	Weld    string    `json:"weld"`
	Started time.Time `json:"started"` // of the one made after it
	Free    time.Time `json:"free"`
	Cut     bool      `json:"cut,omitempty"` // Free is when it was cut out; else when its fusion ended, or began
}

// beforeCutOut finds a weld stated for a time at which the one that it followed still
// stood in the joint. One that was cut out too may have been made before that one.
func beforeCutOut(c Case) (standing, bool) {
	w := c.Weld
	if w.StartedStated == nil || len(w.Trail) == 0 {
		return standing{}, false
	}
	for _, id := range c.Joint.Welds {
		was, _ := c.scene.weld(id)
		cut, _, known := lastTrace(was, logbook.CutOut{}.Kind())
		if id == w.ID || was.CutOut == nil || !known || cut.Seq > w.Trail[0].Seq {
			continue
		}
		began, fused := was.FusedAt()
		if !fused || w.CutOut != nil && w.StartedStated.Before(began) {
			continue
		}
		f := standing{was.ID, *w.StartedStated, began, false}
		if end, over := was.EndedAt(); over && (was.EndedStated != nil || was.LateWhy == "") { // else it is when it was typed
			f.Free = end
		}
		if !was.CutUnsaid {
			f.Free, f.Cut = was.CutOut.Local(), true
		}
		if f.Free = f.Free.Truncate(time.Minute); f.Started.Before(f.Free) { // whole minutes are stated
			return f, true
		}
	}
	return standing{}, false
}

func beforeCutSays(weld string, f standing) string {
	const layout = "2006-01-02 15:04"
	what := f.Weld + " was fused, which stood in its joint and was cut out since"
	if f.Cut {
		what = f.Weld + " was recorded as cut out of its joint"
	}
	return fmt.Sprintf("%s is stated for %s, before %s, %s", weld, f.Started.Format(layout), what, f.Free.Format(layout))
}
