package audit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A besideFact is a weld that was held on the same pipe, and what was said of it.
type besideFact struct {
	Held string `json:"held"`
	Said string `json:"said"`
}

func besideHold(c Case) (held []besideFact, found bool) {
	for _, a := range c.Weld.About(logbook.ItemBeside) {
		if a.V != logbook.Yes {
			held = append(held, besideFact{strings.TrimPrefix(a.Item, logbook.ItemBeside+":"), a.V})
		}
	}
	return held, c.Weld.Fused() && len(held) > 0
}

func besideSays(weld string, held []besideFact) string {
	parts := make([]string, len(held))
	for i, h := range held {
		parts[i] = fmt.Sprintf("%s (%s)", h.Held, logbook.Besides.Word(h.Said))
	}
	return fmt.Sprintf("%s was made on the pipe of a joint that was held: %s", weld, strings.Join(parts, ", "))
}

// A breakFact is what was done to a prepared joint after a break that soiled it.
type breakFact struct {
	Done   string `json:"done"`
	Should string `json:"should,omitempty"` // the method of scraping that the site requires
}

// afterBreak is the first break that leaves something to decide. What was said before
// the joint was cut back and prepared anew does not count.
func afterBreak(c Case) (f breakFact, found bool) {
	for _, a := range c.Weld.About(logbook.ItemBreak) {
		switch {
		case a.V == logbook.CutBack:
			f, found = breakFact{}, false
		case found:
		case a.V == logbook.NotPutRight:
			f, found = breakFact{Done: a.V}, true
		case a.V == logbook.HandAgain && c.Site.Scraping == logbook.RotaryTool:
			f, found = breakFact{a.V, c.Site.Scraping}, true
		}
	}
	return f, found && c.Weld.Fused()
}

func breakSays(weld string, f breakFact) string {
	line := fmt.Sprintf("%s: after a break: %s", weld, logbook.AfterBreak.Word(f.Done))
	if f.Should != "" {
		line += fmt.Sprintf(", where the site requires the %s", logbook.ScrapeMethods.Word(f.Should))
	}
	return line
}

// An oldScrape is how many whole minutes before its current a joint was scraped, and
// how many the plan allows.
type oldScrape struct {
	Min  int `json:"min"`
	Most int `json:"most"`
}

// scrapedLongAgo goes by the longer of what may be, where the machine was started anew
// in between.
func scrapedLongAgo(c Case) (oldScrape, bool) {
	w, most := c.Weld, c.Site.ScrapedMin
	if w.Started == nil || w.StartedStated != nil || most == 0 {
		return oldScrape{}, false
	}
	ago, known := ahead.ScrapedAgo(c.Site, w, *w.Started, fusion.Stamp{})
	return oldScrape{int(ago.Minutes()), most}, known && ago > time.Duration(most)*time.Minute
}

func longAgoSays(weld string, f oldScrape) string {
	return fmt.Sprintf("%s was fused %d min after it was scraped, the plan allows %d", weld, f.Min, f.Most)
}

// A doubtFact is a figure that was doubted and typed again.
type doubtFact struct {
	Of    string        `json:"of"` // the value
	Is    string        `json:"is"` // as it stands
	Doubt logbook.Doubt `json:"doubt"`
}

// doubtful is silent on what another rule says by its figures: a resistance outside its
// window, a leap of the temperature, a run unlike the time set.
func doubtful(c Case) (figures []doubtFact, found bool) {
	w := c.Weld
	if o := w.Ohms; o != nil && o.Doubted != "" && !o.Outside() && o.Ohms != nil {
		figures = append(figures, doubtFact{logbook.FieldOhms, logbook.Words(logbook.FieldOhms, fmt.Sprint(*o.Ohms)), o.Doubted})
	}
	if w.StoppedDoubt != "" && w.StoppedAt != nil {
		figures = append(figures, doubtFact{logbook.FieldStoppedAt, fmt.Sprint(*w.StoppedAt), w.StoppedDoubt})
	}
	return figures, w.Fused() && len(figures) > 0
}

func doubtfulSays(weld string, figures []doubtFact) string {
	var parts []string
	for _, f := range figures {
		parts = append(parts, fmt.Sprintf("%s %s, %s", logbook.NameOf(f.Of), f.Is, f.Doubt))
	}
	return weld + ": typed twice: " + strings.Join(parts, "; ")
}

func movedUnsure(c Case) (logbook.Disturbed, bool) {
	d := c.Weld.Disturbed
	if d == nil {
		return logbook.Disturbed{}, false
	}
	return *d, d.Moved == logbook.Unsure && !d.Early
}

// An unfit is a fitting and the pipes that it does not go on.
type unfit struct {
	Fitting string `json:"fitting"`
	Ends    []meet `json:"ends"`
}

// A meet is one of the pipes that meet in a joint.
type meet struct {
	OdMM int        `json:"od_mm"`
	SDR  fusion.SDR `json:"sdr,omitempty"`
}

// fittingUnfit is found on what was entered later or taken from paper: the walk lets no
// such fitting pass.
func fittingUnfit(c Case) (unfit, bool) {
	f, ok := tableFitting(c)
	if !ok || !c.Weld.Fused() || c.Joint.Fits(f) == nil {
		return unfit{}, false
	}
	var ends []meet
	for _, e := range c.Joint.Meet() {
		ends = append(ends, meet{e.OdMM, e.SDR})
	}
	return unfit{f.Name, ends}, true
}

func unfitSays(weld string, f unfit) string {
	parts := make([]string, len(f.Ends))
	for i, e := range f.Ends {
		parts[i] = fmt.Sprintf("%d mm SDR %s", e.OdMM, e.SDR)
	}
	return fmt.Sprintf("%s is a %s, which by its table does not go on what meets there: %s", weld, f.Fitting, strings.Join(parts, ", "))
}

// tableFitting is the row of a weld's fitting in the table that it was made by.
func tableFitting(c Case) (fusion.Fitting, bool) {
	t, ok := tableOf(c)
	if !ok {
		return fusion.Fitting{}, false
	}
	return t.Find(c.Weld.Fitting())
}

// tableOf is the table that a weld was made by.
func tableOf(c Case) (*fusion.Table, bool) {
	s := c.Weld.Settings
	if s == nil {
		return nil, false
	}
	for _, t := range c.Site.Tables {
		if t.Hash == s.Table && t.Table != nil {
			return t.Table, true
		}
	}
	return nil, false
}

// A count is how many indicators the table has for a fitting, where a look says that
// it has none.
type count struct {
	When  logbook.Occasion `json:"when"`
	Table int              `json:"table"`
}

func indicatorsUnlike(c Case) (count, bool) {
	f, ok := tableFitting(c)
	if !ok || f.Indicators == nil || *f.Indicators == 0 {
		return count{}, false
	}
	for _, l := range c.Weld.Looks {
		if slices.Contains(l.Indicators, logbook.None) {
			return count{l.When, *f.Indicators}, true
		}
	}
	return count{}, false
}

func countSays(weld string, f count) string {
	return fmt.Sprintf("%s: %s said to have no indicators; its table has %d", weld, f.When, f.Table)
}

// Apart is how long one person needs at least between the starts of two fusions on
// two units: our choice, adjustable, no source.
const Apart = time.Minute

// handsOf finds the fusions that one operator is said to have started on two units
// within Apart, on the later of each two.
func handsOf(welds []logbook.Weld) map[string]beside {
	type start struct {
		current
		operator string
	}
	var list []start
	for _, w := range welds {
		if a, ok := currentOf(w); ok && !a.stated && w.Operator != "" {
			list = append(list, start{a, plainName(w.Operator)})
		}
	}
	slices.SortStableFunc(list, func(a, b start) int {
		return cmp.Or(cmp.Compare(a.operator, b.operator), a.start.Compare(b.start), cmp.Compare(a.weld, b.weld))
	})
	hands := map[string]beside{}
	for i := 1; i < len(list); i++ {
		a, b := list[i-1], list[i]
		if by := b.start.Sub(a.start); a.operator == b.operator && a.unit != b.unit && by < Apart {
			hands[b.weld] = beside{a.weld, a.unit, by}
		}
	}
	return hands
}

func twoHands(c Case) (beside, bool) {
	b, found := c.scene.hands[c.Weld.ID]
	return b, found
}

func handsSay(weld string, f beside) string {
	return fmt.Sprintf("%s was started %s after %s by the same operator on another unit (%s)", weld, inSeconds(f.By), f.Weld, f.Unit)
}
