package audit

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// portOf is the port a weld was made at, as written, and its number where it
// has one: the plan's, but where the crew said another.
func portOf(w logbook.Weld, j logbook.Joint) (string, int) {
	said := strings.TrimSpace(w.Answers[logbook.ItemPort].V)
	if said == "" {
		return strconv.Itoa(j.Port), j.Port
	}
	no, err := strconv.Atoi(said)
	if err != nil {
		no = 0
	}
	return said, no
}

func (sc *scene) barOf(w logbook.Weld, j logbook.Joint) string {
	_, no := portOf(w, j)
	return sc.bars[port{logOf(w.From), j.Chamber, no}]
}

// A oneBarFact is a leg on the bar of the other.
type oneBarFact struct {
	Circuit   int    `json:"circuit"`
	Bar       string `json:"bar"`
	Joint     string `json:"joint"`
	Port      string `json:"port"`
	Other     string `json:"other_joint"`
	OtherPort string `json:"other_port"`
	OtherWeld string `json:"other_weld"`
}

// oneBar speaks on the leg that is not on the bar of its plan: the plan itself
// has the legs of a circuit on two.
func oneBar(c Case) (oneBarFact, bool) {
	j, bar := c.Joint, c.scene.barOf(c.Weld, c.Joint)
	if !c.Weld.Fused() || j.Circuit == 0 || bar == "" || bar == j.Bar {
		return oneBarFact{}, false
	}
	for _, label := range c.scene.legs[circuit{j.Chamber, j.Circuit}] {
		o := c.scene.joints[label]
		w, stands := c.scene.weld(o.Stands)
		o = o.In(w)
		if !stands || o.Leg == j.Leg || c.scene.barOf(w, o) != bar {
			continue
		}
		mine, _ := portOf(c.Weld, j)
		other, _ := portOf(w, o)
		return oneBarFact{j.Circuit, bar, j.Label, mine, o.Label, other, w.ID}, true
	}
	return oneBarFact{}, false
}

func oneBarSays(weld string, f oneBarFact) string {
	return fmt.Sprintf("%s: %s on port %s and %s on port %s (%s) are both on the rail %s: nothing would move in circuit %d",
		weld, f.Joint, f.Port, f.Other, f.OtherPort, f.OtherWeld, f.Bar, f.Circuit)
}

// A portFact is the port of a leg as welded and as planned.
type portFact struct {
	Joint   string `json:"joint"`
	Port    string `json:"port"`
	Bar     string `json:"bar,omitempty"` // "": no port of the plan
	Plan    int    `json:"plan_port"`
	PlanBar string `json:"plan_bar"`
}

func wrongPort(c Case) (portFact, bool) {
	said, no := portOf(c.Weld, c.Joint)
	if _, worse := oneBar(c); worse || !c.Weld.Fused() || c.Joint.Circuit == 0 || no == c.Joint.Port || len(c.scene.bars) == 0 {
		return portFact{}, false
	}
	return portFact{c.Joint.Label, said, c.scene.barOf(c.Weld, c.Joint), c.Joint.Port, c.Joint.Bar}, true
}

func portSays(weld string, f portFact) string {
	bar := cmp.Or(f.Bar, "no port of the plan")
	return fmt.Sprintf("%s: leg %s is on port %s (%s), the plan says port %d (%s)", weld, f.Joint, f.Port, bar, f.Plan, f.PlanBar)
}

// The largest header that is called small, and the circuits it is made for
// (trade practice: up to six on 63 mm stubs, above that 90 or 110 mm).
const (
	smallHeaderMM = 63
	mostOnSmall   = 6
)

// A header is how many circuits hang on one, and its size.
type header struct {
	Circuits int `json:"circuits"`
	OdMM     int `json:"od_mm"`
}

// manyOnSmall speaks on a header's joint. Circuits count as the list of joints
// has them now: one whose joints are struck off is none.
func manyOnSmall(c Case) (header, bool) {
	j := c.Joint
	if j.Way == "" || j.OdMM == 0 || j.OdMM > smallHeaderMM || !j.Counts() {
		return header{}, false
	}
	n := 0
	for k, labels := range c.scene.legs {
		if k.chamber == j.Chamber && slices.ContainsFunc(labels, func(l string) bool { return c.scene.joints[l].Counts() }) {
			n++
		}
	}
	return header{n, j.OdMM}, n > mostOnSmall
}

func manySays(joint string, f header) string {
	return fmt.Sprintf("joint %s: %d circuits on a header of %d mm; %d mm is for up to %d", joint, f.Circuits, f.OdMM, smallHeaderMM, mostOnSmall)
}

// A crowd is the other welds that stand in a weld's joint.
type crowd struct {
	Joint  string   `json:"joint"`
	Others []string `json:"others"`
	Logs   []string `json:"logs,omitempty"` // of the others, by id, where several are read together: two laptops may have one number
}

func twoInJoint(c Case) (crowd, bool) {
	if !c.Weld.Stands() {
		return crowd{}, false
	}
	others := slices.DeleteFunc(slices.Clone(c.scene.stand[c.Joint.Label]), func(id string) bool { return id == c.Weld.ID })
	f := crowd{Joint: c.Joint.Label, Others: others}
	for _, id := range others {
		w, _ := c.scene.weld(id)
		if log := logOf(w.From); log != "" {
			f.Logs = append(f.Logs, log)
		}
	}
	return f, len(others) > 0
}

func twoSays(weld string, f crowd) string {
	return fmt.Sprintf("%s stands in joint %s, and so does %s", weld, f.Joint, strings.Join(f.Others, ", "))
}

// cutWeld is the last weld of an open joint that was cut out of it.
func (c Case) cutWeld() (logbook.Weld, bool) {
	for i := len(c.Joint.Welds) - 1; i >= 0; i-- {
		if w, _ := c.scene.weld(c.Joint.Welds[i]); w.CutOut != nil {
			return w, true
		}
	}
	return logbook.Weld{}, false
}

func missingWeld(c Case) bool {
	_, cut := c.cutWeld()
	return !cut && c.Joint.Open() && c.Joint.Walk == "" // the walk that is open says so itself
}

// A cutFact is the weld that was cut out of a joint, and why.
type cutFact struct {
	Weld string `json:"weld"`
	Why  string `json:"why,omitempty"`
}

func cutNotReplaced(c Case) (cutFact, bool) {
	w, cut := c.cutWeld()
	return cutFact{w.ID, w.CutWhy}, cut && c.Joint.Open() && c.Joint.Walk == ""
}

func cutSays(joint string, f cutFact) string {
	return fmt.Sprintf("joint %s: %s was cut out (%s) and not replaced", joint, f.Weld, orNone(f.Why))
}

func failNotCut(c Case) (weld string, found bool) {
	return c.Joint.Stands, c.Joint.Stands != "" && c.found.Verdict(c.Joint.Stands) == Failed
}

func failSays(joint, weld string) string {
	return fmt.Sprintf("%s failed and still stands in joint %s", weld, joint)
}

// A coverFact is how a joint stood to the cover over it.
type coverFact struct {
	Stood string    `json:"stood"`
	Part  string    `json:"part"`
	At    time.Time `json:"at"` // when it was covered, or that was said
	On    string    `json:"on,omitempty"`
}

// How a joint stood, as stored.
const (
	coverNamed   = "named"   // by the cover, as not settled
	coverOpen    = "open"    // it is not settled now
	coverSettled = "settled" // only afterwards
)

// coveredEarly goes by the order of the log, and by the day where a cover states
// one. What a cover names as missing is never taken back by covering again, only by
// digging up: then it can be looked at. A cover that was taken back was none.
func coveredEarly(c Case) (coverFact, bool) {
	if !c.Joint.Counts() {
		return coverFact{}, false
	}
	part := ahead.SectionOf(c.Joint)
	for _, k := range c.Site.Covers {
		if k.Section == part && k.Withdrawn == nil && slices.Contains(k.Missing, c.Joint.Label) && c.Site.DugSince(k, c.Joint) == nil {
			return coverFact{coverNamed, part, k.At.Local(), k.On}, true
		}
	}
	k, covered := ahead.Under(c.Site, c.Joint)
	f := coverFact{coverOpen, part, k.At.Local(), k.On}
	if covered && c.found.sound(c.Joint) {
		seq, day := settledBy(c.Weld, c.found.OfWeld(c.Weld.ID))
		f.Stood, covered = coverSettled, seq > k.Seq || k.On != "" && day > k.On
	}
	return f, covered
}

func coverSays(joint string, f coverFact) string {
	when := f.At.Format("2 Jan 15:04")
	if f.On != "" {
		when = f.On
	}
	switch f.Stood {
	case coverNamed:
		return fmt.Sprintf("joint %s was not settled when %s was covered on %s", joint, f.Part, when)
	case coverOpen:
		return fmt.Sprintf("joint %s is not settled and %s was covered on %s", joint, f.Part, when)
	}
	return fmt.Sprintf("joint %s was settled only after %s was covered on %s", joint, f.Part, when)
}

// settledBy is the entry with which a weld was settled, and its local day: the end
// of its hold, or the last query accepted.
func settledBy(w logbook.Weld, findings []Finding) (seq uint64, day string) {
	for _, kind := range []logbook.Kind{logbook.FusionEnded{}.Kind(), logbook.Released{}.Kind(), logbook.Disturbed{}.Kind()} {
		if t, _, ok := lastTrace(w, kind); ok {
			seq, day = max(seq, t.Seq), overOn(w)
		}
	}
	for _, f := range findings {
		if f.Accepted != nil {
			seq, day = max(seq, f.Accepted.Seq), max(day, f.Accepted.At.Local().Format(time.DateOnly))
		}
	}
	return seq, day
}

// overOn is the local day on which the hold of a weld was over, as stated where it
// was entered later.
func overOn(w logbook.Weld) string {
	switch {
	case w.ReleasedStated != nil:
		return w.ReleasedStated.Format(time.DateOnly)
	case w.StartedStated == nil && w.Released != nil:
		return w.Released.Local().Format(time.DateOnly)
	}
	return w.Day()
}

// pressureLost is an open loss on the joint or on its circuit.
func pressureLost(c Case) (logbook.Happened, bool) {
	j := c.Joint
	return c.lost(func(e logbook.Event) bool {
		return e.Joint == j.Label || e.Joint == "" && e.Circuit > 0 && e.Touches(j)
	})
}

// A siteLoss is a loss that names no joint and no circuit.
type siteLoss struct {
	Site string `json:"site"` // its name
	logbook.Happened
}

func sitePressureLost(c Case) (siteLoss, bool) {
	f, found := c.lost(func(e logbook.Event) bool { return e.Joint == "" && e.Circuit == 0 })
	return siteLoss{c.Site.Name, f}, found
}

func siteLossSays(_ string, f siteLoss) string { return f.Site + ": " + f.Line() }

// lost is the newest open loss of a part.
func (c Case) lost(of func(logbook.Event) bool) (f logbook.Happened, found bool) {
	for _, e := range c.scene.losses {
		if of(e) {
			f, found = e.Happened, true
		}
	}
	return f, found
}

func clockDrifted(c Case) (last time.Time, found bool) {
	if n := len(c.Site.Drifts); n > 0 {
		return c.Site.Drifts[n-1].Local(), true
	}
	return last, false
}

func driftSays(_ string, last time.Time) string {
	return "wall clock and boot clock drifted apart, last seen on " + last.Format("2 Jan 15:04")
}
