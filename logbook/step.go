package logbook

// A Step is one station of the walk through a weld. Which steps a weld needs,
// and in what order, is knowledge of the trade and lives here; a screen only
// shows the one that is next.
type Step string

// The steps in their order.
const (
	StepFitting    Step = "fitting"
	StepBag        Step = "bag"
	StepPrep       Step = "preparation"
	StepAmbient    Step = "ambient"
	StepSettings   Step = "settings"
	StepResistance Step = "resistance"
	StepStart      Step = "start"
	StepFusion     Step = "fusion"
	StepRun        Step = "seconds run"
	StepLook       Step = "look"
	StepDone       Step = "done"
)

// The items asked at the fitting step.
const (
	ItemFitting   = "fitting"
	ItemCode      = "code scanned"
	ItemBatch     = "fitting batch"
	ItemPipeBatch = "coil batch"
	ItemStubBatch = "stub batch"
	ItemPlace     = "position"
	ItemPrint     = "pipe print"
	ItemMethod    = "scraping method"
	ItemPort      = "port as welded" // its number; not asked before there was such a question
)

// The answers about the print on the pipe: size, SDR and material.
const (
	AsPlanned  = "as planned"
	UnlikePlan = "unlike the plan"
)

// A PrepItem is one line of the preparation card.
type PrepItem struct {
	Item  string // as stored
	Label string // as shown
	Again bool   // asked again when a walk is resumed after scraping
}

// PrepItems is the card, in the order of the work; the digit of an item is its
// place. Sources: trade practice as listed for UNI 10521 (as restated),
// DVS 2207-1 Suppl. 1, 4.4 and the UK gas notes; the split into nine is ours.
var PrepItems = []PrepItem{
	{"cut square", "cut square", false},
	{"undamaged", "undamaged and clean", false},
	{"insertion marked", "insertion depth marked", false},
	{"scraped", "scraped all round, band visible", true},
	{"wiped", "wiped and fully dry", true},
	{"round", "round, or re-rounded", false},
	{"clamped", "clamped; no load from pipe or leads", false},
	{"no water", "no water in zone or bore; far ends capped", true},
	{"same temperature", "fitting and pipe at air temperature", false},
}

// The methods of scraping offered, and the marks an item of the card can have.
var ScrapeMethods = []string{"rotary tool", "hand tool"}

// The marks of an item of the preparation card.
const (
	Done     = "done"
	NotYet   = "not yet"
	CouldNot = "could not"
)

// CouldNotReasons are the reasons offered by digit; a text may be added.
var CouldNotReasons = []string{"no tool", "no access", "weather", "pipe too short", "other"}

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
	return w.Answers["scraped"].V != Done || w.Answers[ItemMethod].V != ""
}
