package audit

import (
	"slices"

	"coolhold/logbook"
)

// OfWeld are the findings on one weld, faults only or unfinished work too.
func (res Result) OfWeld(id string) []Finding { return res.pick(res.byWeld[id]) }

func (res Result) pick(at []int) []Finding {
	var out []Finding
	for _, i := range at {
		out = append(out, res.Findings[i])
	}
	return out
}

// OfJoint are the findings on a joint and on every weld of it.
func (res Result) OfJoint(label string) []Finding {
	return res.pick(res.byJoint[label])
}

// OnDays are the findings on the welds fused on a local day, YYYY-MM-DD, or begun
// then and not fused, and on the joints of those welds, of all days from one to
// another, both in it.
func (res Result) OnDays(from, to string) []Finding {
	joints, welds := map[string]bool{}, map[string]bool{}
	for _, w := range res.WeldsOn(from, to) {
		joints[w.Joint], welds[w.ID] = true, true
	}
	return res.where(func(f Finding) bool { return welds[f.Weld] || f.Weld == "" && joints[f.Joint] })
}

// WeldsOn are the welds of all days from one to another, both in it.
func (res Result) WeldsOn(from, to string) []logbook.Weld {
	var out []logbook.Weld
	for _, w := range res.welds {
		if day := w.Day(); from <= day && day <= to {
			out = append(out, w)
		}
	}
	return out
}

// Find is the finding with a key.
func (res Result) Find(key string) (Finding, bool) {
	i := slices.IndexFunc(res.Findings, func(f Finding) bool { return f.Key == key })
	if i < 0 {
		return Finding{}, false
	}
	return res.Findings[i], true
}

func (res Result) where(is func(Finding) bool) []Finding {
	var out []Finding
	for _, f := range res.Findings {
		if is(f) {
			out = append(out, f)
		}
	}
	return out
}

// At are the findings on a weld and, while it stands in it, on its joint.
func (res Result) At(w logbook.Weld) []Finding {
	found := res.OfWeld(w.ID)
	if w.Stands() {
		found = append(found, res.where(func(f Finding) bool { return f.Weld == "" && f.Joint != "" && f.Joint == w.Joint })...)
	}
	return found
}

// Worst is the gravest finding on a weld that somebody must still do something
// about.
func (res Result) Worst(weld string) (Finding, bool) { return Worst(res.OfWeld(weld)) }

// Worst is the gravest of some findings that is open.
func Worst(findings []Finding) (worst Finding, found bool) {
	for _, f := range findings {
		if !f.Open() {
			continue
		}
		if !found || f.Severity < worst.Severity || f.Severity == worst.Severity && weight(f) < weight(worst) {
			worst, found = f, true
		}
	}
	return worst, found
}

// weight is how grave a finding is among those of its severity: a fault goes before
// what nobody said, that before a formality, and all before unfinished work.
func weight(f Finding) int {
	switch {
	case f.Work:
		return 3
	case f.Cause != "":
		return 2
	case f.unsaid:
		return 1
	}
	return 0
}

// Open tells whether somebody must still do something about it.
func (f Finding) Open() bool { return !f.Settled && f.Severity != Note }

// Word is its severity in a list; work that is not done is "to do", be it not
// left undone on a fail.
func (f Finding) Word() string { return word(f.Severity, f.Work) }

// Word is the severity of what the rule finds, as a list says it of a finding:
// fail, query, to do or note.
func (r Rule) Word() string { return word(r.Severity, r.Work) }

// toDo is work that somebody named and nobody did. A joint without a weld is open,
// a weld not looked at or not released is unfinished: three things, three words.
const toDo = "to do"

func word(s Severity, work bool) string {
	if work && s != Fail {
		return toDo
	}
	return s.String()
}

// RecheckDue tells whether another look was asked for and nobody looked since but who
// made the weld.
func (res Result) RecheckDue(w logbook.Weld) bool {
	return res.scene != nil && Case{Matter: &Matter{Weld: w}, scene: res.scene}.recheckDue()
}

// Verdict is what the record of a weld shows. While another look was asked for
// and nobody made it, that is a query.
func (res Result) Verdict(id string) Verdict {
	w, ok := res.read.Weld(res.site, id)
	if !ok {
		return ""
	}
	queries, accepted, own := 0, 0, 0
	if w.Stands() && res.RecheckDue(w) {
		queries++
	}
	for _, i := range res.byWeld[id] {
		switch f := &res.Findings[i]; {
		case f.Work || f.Severity == Note:
		case f.Severity == Fail:
			return Failed
		case f.Accepted != nil && f.Accepted.OwnWelder:
			own++
		case f.Accepted != nil:
			accepted++
		default:
			queries++
		}
	}
	switch {
	case w.Abandoned != "" && !w.HeatPossible():
		return NoHeat
	case w.Abandoned == "" && !finished(w):
		return Unfinished
	case queries > 0:
		return Queried
	case own > 0:
		return OwnOnly
	case accepted > 0:
		return Accepted
	}
	return Clear
}

// finished: fused, its indicators read, and out of its hold.
func finished(w logbook.Weld) bool {
	return w.Ended != nil && (w.Released != nil || w.Disturbed != nil) && (len(w.Looks) > 0 || w.Outcome != logbook.Completed)
}

// Open are the findings that somebody must still do something about, notes
// left out.
func (res Result) Open() []Finding { return res.where(Finding.Open) }

// StateOf is a joint's state.
func (res Result) StateOf(j logbook.Joint) State {
	switch {
	case j.Struck != "":
		return StruckOff
	case len(j.Split) > 0:
		return SplitUp
	case j.Stands == "" && j.Walk != "":
		return InTheWalk
	case j.Stands == "" && slices.ContainsFunc(j.Welds, res.wasCut):
		return OpenAgain
	case j.Stands == "":
		return NotMade
	}
	w, _ := res.read.Weld(res.site, j.Stands)
	switch v := res.Verdict(j.Stands); {
	case v == Failed:
		return State(v)
	case w.Fusing() || w.Between():
		return Fusing
	case w.Holding():
		return InHold
	case res.lost[j.Label]:
		return PressureLost
	case slices.ContainsFunc(res.byJoint[j.Label], func(at int) bool { return res.Findings[at].Rule == FlowCrossed && res.Findings[at].Open() }):
		return Crossed
	default:
		return State(v)
	}
}

func (res Result) wasCut(id string) bool {
	w, _ := res.read.Weld(res.site, id)
	return w.CutOut != nil
}

// Settled tells whether a joint needs nothing more: a clear or an accepted weld
// stands in it and nothing is open at it, or it does not count.
func (res Result) Settled(j logbook.Joint) bool { return res.lack(j).State == "" }

// Unsettled are the joints of a site that need something more, each once, in
// the order of the plan. Board, cover and register count these.
func (res Result) Unsettled() []Lack {
	var out []Lack
	for _, j := range res.read.Joints(res.site) {
		if l := res.lack(j); l.State != "" {
			out = append(out, l)
		}
	}
	return out
}

// sound tells whether an accepted weld, or a clear one, stands in a joint, or
// it does not count.
func (res Result) sound(j logbook.Joint) bool {
	if !j.Counts() {
		return true
	}
	v := res.Verdict(j.Stands)
	return v == Clear || v == Accepted || v == OwnOnly
}
