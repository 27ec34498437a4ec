package audit

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"coolhold/logbook"
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
	return sc.bars[port{j.Chamber, no}]
}

// oneBar speaks on the leg that is not on the bar of its plan: the plan itself
// has the legs of a circuit on two.
func oneBar(c Case) string {
	j, bar := c.Joint, c.scene.barOf(c.Weld, c.Joint)
	if j.Circuit == 0 || bar == "" || bar == j.Bar {
		return ""
	}
	for _, label := range c.scene.legs[circuit{j.Chamber, j.Circuit}] {
		o := c.scene.joints[label]
		w, stands := c.scene.byID[o.Stands]
		if !stands || o.Leg == j.Leg || c.scene.barOf(w, o) != bar {
			continue
		}
		mine, _ := portOf(c.Weld, j)
		other, _ := portOf(w, o)
		return fused(c, fmt.Sprintf("%s: %s on port %s and %s on port %s (%s) are both on the bar %s: nothing would move in circuit %d",
			c.Weld.ID, j.Label, mine, o.Label, other, w.ID, bar, j.Circuit))
	}
	return ""
}

func wrongPort(c Case) string {
	said, no := portOf(c.Weld, c.Joint)
	if c.Joint.Circuit == 0 || no == c.Joint.Port || len(c.scene.bars) == 0 || oneBar(c) != "" {
		return ""
	}
	bar := c.scene.bars[port{c.Joint.Chamber, no}]
	if bar == "" {
		bar = "no port of the plan"
	}
	return fused(c, fmt.Sprintf("%s: leg %s is on port %s (%s), the plan says port %d (%s)", c.Weld.ID, c.Joint.Label, said, bar, c.Joint.Port, c.Joint.Bar))
}

// The largest header that is called small, and the circuits it is made for
// (trade practice: up to six on 63 mm stubs, above that 90 or 110 mm).
const (
	smallHeaderMM = 63
	mostOnSmall   = 6
)

// manyOnSmall speaks on a header's joint. Circuits count as the list of joints
// has them now: one whose joints are struck off is none.
func manyOnSmall(c Case) string {
	j := c.Joint
	if j.Way == "" || j.OdMM == 0 || j.OdMM > smallHeaderMM || !j.Counts() {
		return ""
	}
	n := 0
	for k, labels := range c.scene.legs {
		if k.chamber == j.Chamber && slices.ContainsFunc(labels, func(l string) bool { return c.scene.joints[l].Counts() }) {
			n++
		}
	}
	if n <= mostOnSmall {
		return ""
	}
	return fmt.Sprintf("joint %s: %d circuits on a header of %d mm; %d mm is for up to %d", j.Label, n, j.OdMM, smallHeaderMM, mostOnSmall)
}

func twoInJoint(c Case) string {
	if !c.Weld.Stands() {
		return ""
	}
	others := slices.DeleteFunc(slices.Clone(c.scene.stand[c.Joint.Label]), func(id string) bool { return id == c.Weld.ID })
	if len(others) == 0 {
		return ""
	}
	return fmt.Sprintf("%s stands in joint %s, and so does %s", c.Weld.ID, c.Joint.Label, strings.Join(others, ", "))
}

// cutWeld is the last weld of an open joint that was cut out of it.
func (c Case) cutWeld() (logbook.Weld, bool) {
	for i := len(c.Joint.Welds) - 1; i >= 0; i-- {
		if w := c.scene.byID[c.Joint.Welds[i]]; w.CutOut != nil {
			return w, true
		}
	}
	return logbook.Weld{}, false
}

func missingWeld(c Case) string {
	if _, cut := c.cutWeld(); cut || !c.Joint.Open() {
		return ""
	}
	return fmt.Sprintf("joint %s: no weld stands in it", c.Joint.Label)
}

func cutNotReplaced(c Case) string {
	w, cut := c.cutWeld()
	if !cut || !c.Joint.Open() {
		return ""
	}
	return fmt.Sprintf("joint %s: %s was cut out (%s) and not replaced", c.Joint.Label, w.ID, orNone(w.CutWhy))
}

func failNotCut(c Case) string {
	if c.Joint.Stands == "" || c.found.Verdict(c.Joint.Stands) != Failed {
		return ""
	}
	return fmt.Sprintf("%s failed and still stands in joint %s", c.Joint.Stands, c.Joint.Label)
}

// coveredEarly goes by the order of the log. What a cover names as missing is
// never taken back by covering again.
func coveredEarly(c Case) string {
	if !c.Joint.Counts() {
		return ""
	}
	part := logbook.SectionOf(c.Joint)
	for _, k := range c.Site.Covers {
		if k.Part == part && slices.Contains(k.Missing, c.Joint.Label) {
			return fmt.Sprintf("joint %s was not settled when %s was covered on %s", c.Joint.Label, part, k.At.Local().Format("2 Jan 15:04"))
		}
	}
	k, covered := c.Site.CoverOf(part)
	if !covered {
		return ""
	}
	when := k.At.Local().Format("2 Jan 15:04")
	switch {
	case !c.found.sound(c.Joint):
		return fmt.Sprintf("joint %s is not settled and %s was covered on %s", c.Joint.Label, part, when)
	case settledSeq(c.Weld, c.found.OfWeld(c.Weld.ID)) > k.Seq:
		return fmt.Sprintf("joint %s was settled only after %s was covered on %s", c.Joint.Label, part, when)
	}
	return ""
}

// settledSeq is the entry with which a weld was settled: the end of its hold,
// or the last query accepted.
func settledSeq(w logbook.Weld, findings []Finding) (seq uint64) {
	for _, kind := range []logbook.Kind{logbook.FusionEnded{}.Kind(), logbook.Released{}.Kind(), logbook.Disturbed{}.Kind()} {
		if t, _, ok := lastTrace(w, kind); ok {
			seq = max(seq, t.Seq)
		}
	}
	for _, f := range findings {
		if f.Accepted != nil {
			seq = max(seq, f.Accepted.Seq)
		}
	}
	return seq
}

// pressureLost is an open loss on the joint or on its circuit.
func pressureLost(c Case) string {
	j := c.Joint
	return c.lost(j.Label, func(e logbook.Event) bool {
		return e.Joint == j.Label || e.Joint == "" && e.Circuit > 0 && e.Touches(j)
	})
}

// sitePressureLost is an open loss that names no joint and no circuit.
func sitePressureLost(c Case) string {
	return c.lost(c.Site.Name, func(e logbook.Event) bool { return e.Joint == "" && e.Circuit == 0 })
}

// lost is the newest open loss of a part.
func (c Case) lost(what string, of func(logbook.Event) bool) string {
	says := ""
	for _, e := range c.scene.losses {
		if of(e) {
			says = fmt.Sprintf("%s: %s", what, e.Line())
		}
	}
	return says
}

func clockDrifted(c Case) string {
	if len(c.Site.Drifts) == 0 {
		return ""
	}
	last := c.Site.Drifts[len(c.Site.Drifts)-1]
	return fmt.Sprintf("wall clock and boot clock drifted apart, last seen on %s", last.Local().Format("2 Jan 15:04"))
}
