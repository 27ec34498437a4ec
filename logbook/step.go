package logbook

import "slices"

// A Step is one station of the walk through a weld. Which steps a weld needs,
// and in what order, is knowledge of the trade and lives here; a screen only
// shows the one that is next.
type Step string

// The steps in their order.
const (
	StepFitting    Step = "fitting"
	StepBag        Step = "bag"
	StepPrep       Step = "prep"
	StepAmbient    Step = "ambient"
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
	Again bool   // asked again when a walk is resumed after scraping
}

// PrepItems is the card.
var PrepItems = cardItems()

func cardItems() []PrepItem {
	var items []PrepItem
	for _, v := range cardValues {
		again := slices.Contains([]string{ItemScraped, "wiped", "no_water"}, v.Key) // it spoils
		items = append(items, PrepItem{v.Key, v.Name, v.Ask, again})
	}
	return items
}

// Next is the first step of a weld that has no answer yet. A bag is due where
// its batch was not read against the table before; a place where the joint
// lies outside a chamber.
func (w Weld) Next(j Joint, bagDue bool) Step {
	switch {
	case w.CutOut != nil || w.Abandoned != "":
		return StepDone
	case w.Started == nil:
		return w.before(j, bagDue)
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

func (w Weld) before(j Joint, bagDue bool) Step {
	switch {
	case w.fittingOpen(j):
		return StepFitting
	case bagDue:
		return StepBag
	case !w.Prepared():
		return StepPrep
	case w.Ambient == nil:
		return StepAmbient
	case w.Settings == nil || w.Settings.Unlike() != "":
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
	for _, p := range PrepItems {
		if v := w.Answers[p.Item].V; v != Done && v != CouldNot {
			return false
		}
	}
	return w.Answers[ItemScraped].V != Done || w.Answers[ItemMethod].V != ""
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
	ItemMethod    = "method"
	ItemScraped   = "scraped"
	ItemTrace     = "fitting_trace" // traceability codes, kept as scanned
	ItemPipeTrace = "pipe_trace"
)
