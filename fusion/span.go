package fusion

import "time"

// A Span is a stretch of time that must pass: a fusion, a hold, a pressure
// wait. It is stored as its start; what is left is computed from a now that is
// handed in, so a crash, a flat battery or a closed lid cannot stop it.
type Span struct {
	Began Stamp         `json:"began"`
	Done  time.Duration `json:"done_ns,omitempty"` // already run before Began, as far as it can be trusted; less than nothing where it begins only so long after
	Want  time.Duration `json:"want_ns"`
	// Other is the same stretch as another machine counts it: each goes by its own
	// clock, and a log may come back to the one on which the span began.
	Other *Span `json:"other,omitempty"`
}

// Doubt is the code of why the time a span has run is less certain than one
// boot clock.
type Doubt string

// The reasons for doubt, as they are stored.
const (
	Sure      Doubt = ""
	Elsewhere Doubt = "elsewhere"
	Restarted Doubt = "restarted"
	NoBoot    Doubt = "no-boot"
)

// doubts are the reasons in words.
var doubts = map[Doubt]string{
	Elsewhere: "the log is on another machine",
	Restarted: "the machine was restarted while it ran",
	NoBoot:    "the machine's start cannot be told; the smaller of two clocks counts",
}

// Says is the reason in words.
func (d Doubt) Says() string { return doubts[d] }

// Ran is how long the span has run at now, never more than what is certain: on
// another machine what the heartbeat of the first proves; on one start of the
// machine the difference of its boot clock, whatever the wall clock says; across a
// restart the time to the last heartbeat of the old start plus the time since the
// new one, and not more than the wall clocks say. Where these went back, or stood,
// it is what the heartbeat proves. Every error makes it shorter, so the hold
// longer. Before a start that is still to come it is negative.
func (s Span) Ran(now, beat Stamp) (time.Duration, Doubt) {
	return s.ran(func(began Stamp) (time.Duration, Doubt) { return between(began, now, beat) })
}

// ran is the most that any machine proves, since none of them counts too much.
func (s Span) ran(passed func(began Stamp) (time.Duration, Doubt)) (time.Duration, Doubt) {
	run, doubt := passed(s.Began)
	run += s.Done
	if s.Other == nil {
		return run, doubt
	}
	if other, its := s.Other.ran(passed); other > run || other == run && its == Sure {
		return other, its
	}
	return run, doubt
}

// From is the span as the machine of now counts it on from now, when so much of it
// has surely run. What other machines count of it stands.
func (s Span) From(now Stamp, ran time.Duration) Span {
	return Span{Began: now, Done: ran, Want: s.Want, Other: s.without(now)}
}

// Longer is the span and so much more.
func (s Span) Longer(by time.Duration) Span {
	s.Want += by
	return s
}

// without is the span as others count it than the machine of a stamp; nil where
// none does. What names no machine is of no use to any.
func (s *Span) without(now Stamp) *Span {
	if s == nil || now.Machine == "" {
		return nil
	}
	rest := s.Other.without(now)
	if s.Began.Machine == "" || s.Began.SameMachine(now) {
		return rest
	}
	return &Span{s.Began, s.Done, s.Want, rest}
}

// Left is what remains of the span at now; negative once it is over.
func (s Span) Left(now, beat Stamp) (time.Duration, Doubt) {
	run, doubt := s.Ran(now, beat)
	return s.Want - run, doubt
}

// Over tells whether the span has run out at now.
func (s Span) Over(now, beat Stamp) bool {
	left, _ := s.Left(now, beat)
	return left <= 0
}

// Ends is the wall time at which the span will run out if the machine stays on.
func (s Span) Ends(now, beat Stamp) time.Time {
	left, _ := s.Left(now, beat)
	return now.Local().Add(left)
}

func between(began, now, beat Stamp) (time.Duration, Doubt) {
	run := now.Boot - began.Boot
	switch {
	case !began.SameMachine(now):
		return beaten(began, beat), Elsewhere
	case began.BootID == "" || now.BootID == "":
		if run < 0 { // the boot clock went back: it was restarted
			run = now.Boot
		}
		return max(0, min(run, now.Wall.Sub(began.Wall))), NoBoot
	case began.BootID == now.BootID:
		return run, Sure // negative where it begins only when a fusion that was ended early is due
	}
	// A wall clock at or before the start speaks against what the new start is said
	// to have run, which the machine may be wrong about: a copied disk has one name.
	wall := max(0, now.Wall.Sub(began.Wall))
	proved := beaten(began, beat)
	return max(proved, min(proved+now.Boot, wall)), Restarted
}

// beaten is what the last heartbeat of the start on which a span began proves.
func beaten(began, beat Stamp) time.Duration {
	if !beat.SameBoot(began) {
		return 0
	}
	return max(0, beat.Boot-began.Boot)
}
