package logbook

import (
	"slices"

	"coolhold/fusion"
)

// How the other circuits were shut while one was open.
const (
	ShutBoth    = "both"
	ShutOneRail = "one"
	ShutNone    = "none"
)

// What the gauges of the others showed.
const (
	OthersStill = "still"
	OthersFlow  = "flow"
)

// What is in the pipe.
const (
	ContentWater = "water"
	ContentReady = "ready"
	ContentDosed = "dosed"
)

// What is seen at flow, purge and filling. None has a default.
var (
	// Shuttings answer how all other circuits were shut.
	Shuttings = options("how the other circuits were shut", ShutBoth, "both legs of every other shut", ShutOneRail, "valves on one rail only", ShutNone, "not shut", Unseen, couldNotLook)
	// OtherFlows answer what the gauges of the others showed.
	OtherFlows = options("flow in the other circuits", OthersStill, "no flow in any other", OthersFlow, "flow in another", Unseen, couldNotLook)
	// PurgeFacts answer what is seen of a purge.
	PurgeFacts = options("seen at a purge", Yes, "yes", No, "no", NotFitted, "none there", Unseen, couldNotLook)
	// Contents answer what is in the pipe now.
	Contents = options("what is in the pipe", ContentWater, "water only", ContentReady, "ready-mixed fluid", ContentDosed, "water with antifreeze added")
	// MeantFors answer whether an instrument is meant for the fluid that it was read in.
	MeantFors = options("is the instrument meant for that fluid", Yes, "yes", No, "no", NotKnown, "not known")
)

// Bounds of what is read of a loop: they catch a slipped digit, our choice. Nought is a
// reading.
var (
	FlowBounds     = fusion.Bounds{Low: 0, High: 10000, Unit: "L/min"}
	GaugeBounds    = fusion.Bounds{Low: 0.1, High: 10000, Unit: "L/min"} // where a gauge ends
	PurgeBounds    = fusion.Bounds{Low: 0, High: 7 * 24 * 60, Unit: "min"}
	ShareBounds    = fusion.Bounds{Low: 0, High: 100, Unit: "%"}
	FillBounds     = fusion.Bounds{Low: 0, High: 100000, Unit: "L"}
	WaterBounds    = fusion.Bounds{Low: -20, High: 60, Unit: "°C"}
	FreezingBounds = fusion.Bounds{Low: -60, High: 5, Unit: "°C"}
	LeftBounds     = fusion.Bounds{Low: 0.01, High: 100, Unit: "bar"} // left standing
)

// A FlowCheck is a flow check with who made it.
type FlowCheck struct {
	FlowChecked
	Signature
	Withdrawn *Withdrawal
}

// A Purge is a purge with who says so.
type Purge struct {
	Purged
	Signature
	Withdrawn *Withdrawal
}

// A Filling is what was filled in with who says so.
type Filling struct {
	FluidFilled
	Signature
	Withdrawn *Withdrawal
}

// A Left is how a section was left with who says so.
type Left struct {
	LeftAs
	Signature
	Withdrawn *Withdrawal
}

// When is when it was read.
func (f FlowCheck) When() Timed { return Timed{f.At, f.Stated, f.Seq} }

// When is when it was done.
func (p Purge) When() Timed { return Timed{p.At, p.Stated, p.Seq} }

// When is when it was filled.
func (f Filling) When() Timed { return Timed{f.At, f.Stated, f.Seq} }

// When is when it was left so.
func (l Left) When() Timed { return Timed{l.At, l.Stated, l.Seq} }

// A LoopLog is what was read of the loop of a site once it was welded, oldest first.
type LoopLog struct {
	Flows    []FlowCheck
	Purges   []Purge
	Fillings []Filling
	Lefts    []Left
}

// after is the same after one more entry.
func (l LoopLog) after(e *Entry, body Body) LoopLog {
	switch b := body.(type) {
	case FlowChecked:
		l.Flows = append(slices.Clone(l.Flows), FlowCheck{FlowChecked: b, Signature: signature(e)})
	case Purged:
		l.Purges = append(slices.Clone(l.Purges), Purge{Purged: b, Signature: signature(e)})
	case FluidFilled:
		l.Fillings = append(slices.Clone(l.Fillings), Filling{FluidFilled: b, Signature: signature(e)})
	case LeftAs:
		l.Lefts = append(slices.Clone(l.Lefts), Left{LeftAs: b, Signature: signature(e)})
	case LoopWithdrawn:
		back := &Withdrawal{signature(e), b.Why}
		switch b.What {
		case (FlowChecked{}).Kind():
			l.Flows = takenBack(l.Flows, func(f *FlowCheck) (SectionID, **Withdrawal) { return f.Section, &f.Withdrawn }, b.Section, back)
		case (Purged{}).Kind():
			l.Purges = takenBack(l.Purges, func(p *Purge) (SectionID, **Withdrawal) { return p.Section, &p.Withdrawn }, b.Section, back)
		case (FluidFilled{}).Kind():
			l.Fillings = takenBack(l.Fillings, func(f *Filling) (SectionID, **Withdrawal) { return f.Section, &f.Withdrawn }, b.Section, back)
		case (LeftAs{}).Kind():
			l.Lefts = takenBack(l.Lefts, func(f *Left) (SectionID, **Withdrawal) { return f.Section, &f.Withdrawn }, b.Section, back)
		}
	}
	return l
}

// takenBack marks the newest of a section that is not taken back yet.
func takenBack[R any, K comparable](list []R, of func(*R) (K, **Withdrawal), id K, back *Withdrawal) []R {
	list = slices.Clone(list)
	for i := len(list) - 1; i >= 0; i-- {
		if section, was := of(&list[i]); section == id && *was == nil {
			*was = back
			break
		}
	}
	return list
}

// newest is the last of a section that counts.
func newest[R any, K comparable](list []R, of func(R) (K, *Withdrawal), id K) (last R, found bool) {
	for _, r := range slices.Backward(list) {
		if section, back := of(r); section == id && back == nil {
			return r, true
		}
	}
	return last, false
}

// FlowOf is the newest flow check of a circuit that counts.
func (l LoopLog) FlowOf(id SectionID) (FlowCheck, bool) {
	return newest(l.Flows, func(f FlowCheck) (SectionID, *Withdrawal) { return f.Section, f.Withdrawn }, id)
}

// PurgeOf is the newest purge of a section that counts.
func (l LoopLog) PurgeOf(id SectionID) (Purge, bool) {
	return newest(l.Purges, func(p Purge) (SectionID, *Withdrawal) { return p.Section, p.Withdrawn }, id)
}

// FillingOf is what a section was filled with last.
func (l LoopLog) FillingOf(id SectionID) (Filling, bool) {
	return newest(l.Fillings, func(f Filling) (SectionID, *Withdrawal) { return f.Section, f.Withdrawn }, id)
}

// LeftOf is how a section was left, as said last.
func (l LoopLog) LeftOf(id SectionID) (Left, bool) {
	return newest(l.Lefts, func(f Left) (SectionID, *Withdrawal) { return f.Section, f.Withdrawn }, id)
}
