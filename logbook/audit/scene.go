package audit

import (
	"sync"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A scene is a site seen as a whole, read once for all rules: what one record
// alone does not show.
type scene struct {
	site    logbook.Site
	inOrder []logbook.Joint
	joints  map[string]logbook.Joint // by label
	welds   []logbook.Weld           // in the order they were begun
	at      map[string]int           // where in welds each is
	shifts  map[string]logbook.Shift
	legs    map[circuit][]string // labels of the joints of each circuit
	bars    map[port]string      // of the plan; empty where there is none
	overlap map[string]beside    // by weld: the fusion on its unit that it overlaps
	quick   map[string]beside    // by weld: the fusion on its unit that ended just before
	hands   map[string]beside    // by weld: the fusion that its operator started just before on another unit
	places  map[string]elsewhere // by weld: the fusion of its operator in another chamber at the same time
	leap    map[string]leap      // by weld: the reading beside its own, far from it
	batches map[batch]spread
	losses  []logbook.Event // of pressure, and open
	repairs []ahead.Repair  // those that closed one
	roll    roll
	stand   map[string][]string // welds that stand, by joint
	people  *circle
	moments map[string]moment // by id
	tests   []Tested
	// sections are what can be tested, found once where something asks for them.
	sections func() []ahead.TestSection
	// sameSaid are who said that the logs have one site.
	sameSaid []string
}

type circuit struct {
	chamber string
	no      int
}

type port struct {
	log     string // its id; "": there is one
	chamber string
	no      int
}

func sceneOf(r logbook.Reader, s logbook.Site) *scene {
	sc := &scene{
		site: s, inOrder: r.Joints(s.ID), welds: r.Welds(s.ID), joints: map[string]logbook.Joint{}, at: map[string]int{},
		shifts: map[string]logbook.Shift{}, legs: map[circuit][]string{}, bars: map[port]string{}, stand: map[string][]string{},
	}
	for _, j := range sc.inOrder {
		sc.joints[j.Label] = j
		if j.Circuit > 0 {
			k := circuit{j.Chamber, j.Circuit}
			sc.legs[k] = append(sc.legs[k], j.Label)
		}
	}
	for _, id := range s.Shifts {
		sc.shifts[id], _ = r.Shift(s.ID, id)
	}
	sc.roll = rollOf(s.Shifts, sc.shifts)
	for i, w := range sc.welds {
		sc.at[w.ID] = i
	}
	sc.readPlan(s)
	sc.readWelds()
	sc.losses, sc.repairs = ahead.OpenLosses(r, s), ahead.Repairs(r, s)
	sc.people = peopleOf(r, s.ID)
	sc.sections = sync.OnceValue(func() []ahead.TestSection { return ahead.TestSections(r, s.ID) })
	sc.tests = sc.testedOf(r, s)
	sc.moments = map[string]moment{}
	for _, m := range momentsOf(s) {
		sc.moments[m.id] = m
	}
	for _, said := range s.Same {
		sc.sameSaid = append(sc.sameSaid, said.By)
	}
	return sc
}

// weld is the weld of that number; ok is false where there is none.
func (sc *scene) weld(id string) (w logbook.Weld, ok bool) {
	i, ok := sc.at[id]
	if ok {
		w = sc.welds[i]
	}
	return w, ok
}

// section finds one by what is stored of it.
func (sc *scene) section(id logbook.SectionID) (ahead.TestSection, bool) {
	return ahead.SectionIn(sc.sections(), id)
}

// readWelds reads what the welds show beside each other.
func (sc *scene) readWelds() {
	for _, w := range sc.welds {
		if w.Stands() {
			sc.stand[w.Joint] = append(sc.stand[w.Joint], w.ID)
		}
	}
	sc.overlap, sc.quick = unitsOf(sc.welds)
	sc.hands = handsOf(sc.welds)
	sc.places = placesOf(sc.welds, sc.joints)
	sc.leap = leapsOf(sc.welds)
	sc.batches = batchesOf(sc.welds)
}

// place is where a joint stands in the plan; what has no joint comes first.
func (sc *scene) place(label string) int {
	if j, ok := sc.joints[label]; ok {
		return j.Order
	}
	return -1
}

// logOf is the log whose plan counts.
func logOf(from *logbook.Origin) string {
	if from == nil {
		return ""
	}
	return from.ID
}

// readPlan reads the ports of the plans as they were taken, each for the welds of its
// own log. Without it the rules on ports are silent.
func (sc *scene) readPlan(s logbook.Site) {
	for _, ref := range s.Plans {
		if now, _ := s.PlanOf(ref.From); ref.Plan == nil || now.No != ref.No {
			continue
		}
		for _, c := range ref.Plan.Chambers {
			for _, at := range c.Ports {
				sc.bars[port{logOf(ref.From), c.Name, at.No}] = at.Bar
			}
		}
	}
}

// lastTrace is when an entry of this kind last came to a weld.
func lastTrace(w logbook.Weld, kind logbook.Kind) (e logbook.Entry, at time.Time, ok bool) {
	for i := len(w.Trail) - 1; i >= 0; i-- {
		if e = *w.Trail[i]; e.Kind == kind {
			return e, e.At.Local().Truncate(time.Second), true // as it is shown
		}
	}
	return e, at, false
}
