package logbook

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"coolhold/fusion"
)

// A Step is one station of the walk through a weld. Which steps a weld needs,
// and in what order, is knowledge of the trade and lives here; a screen only
// shows the one that is next.
type Step string

// The steps in their order.
const (
	StepPeople     Step = "people" // who welds and with which unit; asked before the number is given
	StepBeside     Step = "beside"
	StepFitting    Step = "fitting"
	StepPrep       Step = "prep"
	StepBreak      Step = "break"
	StepScrape     Step = "scrape"
	StepAmbient    Step = "ambient"
	StepBag        Step = "bag"
	StepSettings   Step = "settings"
	StepResistance Step = "ohms"
	StepStart      Step = "start"
	StepFusion     Step = "fusion"
	StepRun        Step = "run"
	StepLook       Step = "look"
	StepDone       Step = "done"
)

// A PrepItem is one line of the preparation card.
type PrepItem struct {
	Item  string // as stored
	Name  string // in sentences
	Label string // on the card
}

// PrepItems is the card as it is asked today, formerItems as it was before.
var (
	PrepItems   = cardItems(func(v Field) bool { return !v.Retired })
	formerItems = cardItems(func(v Field) bool { return v.Retired || slices.Contains(onBoth, v.Key) })
)

// ThisCard is the version of PrepItems; a weld says which one it was asked.
const ThisCard = 2

func cardItems(on func(Field) bool) []PrepItem {
	var items []PrepItem
	for _, v := range cardValues {
		if on(v) {
			items = append(items, PrepItem{v.Key, v.Name, v.Ask})
		}
	}
	return items
}

// PrepItems is the card that the weld was asked.
func (w Weld) PrepItems() []PrepItem {
	if w.Card < ThisCard {
		return formerItems
	}
	return PrepItems
}

// A Due is what must be asked that does not follow from the weld alone.
type Due struct {
	Beside   string // a weld that is held on the same pipe and was not asked about
	Bag      bool   // the bag was not read against the table, or its row is stopped
	Ambient  bool   // the reading is from before a break and no longer fresh
	Scrape   bool   // it was scraped longer ago than the plan allows
	Settings bool   // the unit fed another fitting since it was set
}

// Next is the first step of a weld that has no answer yet.
func (w Weld) Next(j Joint, due Due) Step {
	switch {
	case w.CutOut != nil || w.Abandoned != "":
		return StepDone
	case w.Started == nil:
		return w.before(j, due)
	case w.Between():
		return w.betweenNext()
	case w.Ended == nil:
		return StepFusion
	case w.Outcome != Completed:
		return StepDone // there is nothing to look at that could save it
	case !w.RunAsked:
		return StepRun
	case len(w.Looks) == 0:
		return StepLook
	}
	return StepDone
}

// The bag is read once the temperature is known, since it is read for the band
// that will be used.
func (w Weld) before(j Joint, due Due) Step {
	switch {
	case due.Beside != "":
		return StepBeside
	case w.fittingOpen(j):
		return StepFitting
	case w.BreakDue:
		return StepBreak
	case !w.Prepared():
		return StepPrep
	case due.Scrape:
		return StepScrape
	case w.Ambient == nil || due.Ambient:
		return StepAmbient
	case due.Bag:
		return StepBag
	case w.Settings == nil || w.Settings.Unlike() != "" || due.Settings:
		return StepSettings
	case w.Ohms == nil:
		return StepResistance
	}
	return StepStart
}

func (w Weld) fittingOpen(j Joint) bool {
	for _, item := range FittingItems(j) {
		if _, given := w.Answers[item]; !given {
			return true
		}
	}
	return false
}

// FittingItems are the items of the fitting step for a joint, in order.
func FittingItems(j Joint) []string {
	items := []string{ItemFitting}
	if AsksPort(j) {
		items = append(items, ItemPort)
	}
	items = append(items, ItemBatch)
	if j.OdMM > 0 {
		items = append(items, ItemPrint)
	}
	items = append(items, ItemPipeBatch)
	if j.Chamber != "" {
		items = append(items, ItemStubBatch)
	}
	if j.AskPlace {
		items = append(items, ItemPlace)
	}
	return items
}

// Prepared tells whether every item of the card is done or could not be, and
// the method of scraping is known where there was scraping.
func (w Weld) Prepared() bool {
	for _, p := range w.PrepItems() {
		if v := w.Answers[p.Item].V; v != Done && v != CouldNot && v != NoSuch {
			return false
		}
	}
	for _, end := range Ends {
		if w.Answers[end.Scraped].V == Done && w.MethodOf(end) == "" {
			return false
		}
	}
	return true
}

// An End is one of the two that are scraped, as items of the card.
type End struct{ Scraped, Method string }

// Ends are both, in the order of the card.
var Ends = []End{{ItemScraped, ItemMethod}, {ItemScraped2, ItemMethod2}}

// MethodOf is what an end was scraped with; "" where nobody said. One method that was
// said alone is that of every end.
func (w Weld) MethodOf(end End) string {
	return cmp.Or(w.Answers[end.Method].V, w.Answers[ItemMethod].V)
}

// About are the answers of a weld whose item begins with what they are about, a
// colon, and of what: the weld held beside it, the break. They stand in order.
func (w Weld) About(what string) []Answer {
	var out []Answer
	for _, item := range slices.Sorted(maps.Keys(w.Answers)) {
		if strings.HasPrefix(item, what+":") {
			out = append(out, w.Answers[item])
		}
	}
	return out
}

// BesideItem is the item of what was said of a weld held on the same pipe.
func BesideItem(weld string) string { return ItemBeside + ":" + weld }

// BreakItem is the item of what was found after a break, the n-th of the walk.
func BreakItem(n int) string { return fmt.Sprintf("%s:%03d", ItemBreak, n) }

// ScrapeItem is the item of what was done once a joint had been scraped too long ago:
// the next after what was said since its walk was taken up last.
func (w Weld) ScrapeItem() string {
	for n := 1; ; n++ {
		item := fmt.Sprintf("%s.%02d", BreakItem(w.Resumed), n)
		if _, said := w.Answers[item]; !said {
			return item
		}
	}
}

// ScrapedAt is when its joint was scraped, the last time all of it; nil where nobody
// said that it was.
func (w Weld) ScrapedAt() *fusion.Stamp {
	if w.Rescraped != nil {
		return w.Rescraped
	}
	return w.Scraped
}

// AsksPort tells whether it is asked to which port of its chamber a joint's leg
// goes. Headers and joints outside the chambers have none.
func AsksPort(j Joint) bool { return j.Chamber != "" && j.Circuit > 0 && j.Port > 0 }

// The items of a weld's answers that are spoken of by name.
const (
	ItemFitting   = "fitting"
	ItemCode      = "fitting_code"
	ItemBatch     = "fitting_batch"
	ItemPipeBatch = "coil_batch"
	ItemStubBatch = "stub_batch"
	ItemPlace     = "position"
	ItemPort      = "port" // as welded; not asked before there was such a question
	ItemPrint     = "print"
	ItemMethod    = "method"            // of the first end; where nothing is said of the other, of both
	ItemMethod2   = "other_end_method"  // of the other
	ItemScraped   = "scraped"           // the first end; in a chamber that of the stub
	ItemScraped2  = "other_end_scraped" // the other
	ItemBeside    = "beside"
	ItemBreak     = "after_break"
	ItemTrace     = "fitting_trace" // traceability codes, kept as scanned
	ItemPipeTrace = "pipe_trace"
)
