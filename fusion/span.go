package fusion

import "time"

// A Span is a stretch of time that must pass: a fusion, a hold, a pressure
// wait. It is stored as its start; what is left is computed from a now that is
// handed in, so a crash, a flat battery or a closed lid cannot stop it.
type Span struct {
	Began Stamp         `json:"began"`
	Done  time.Duration `json:"done_ns,omitempty"` // already run before Began, as far as it can be trusted
	Want  time.Duration `json:"want_ns"`
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
// machine the difference of its boot clock, whatever the
// wall clock says; across a restart the time to the last heartbeat of the old
// start plus the time since the new one, and not more than the wall clocks say
// where they went forward. Every error makes it shorter, so the
// hold longer. Before a start that is still to come it is negative.
func (s Span) Ran(now, beat Stamp) (time.Duration, Doubt) {
	run, doubt := between(s.Began, now, beat)
	return s.Done + run, doubt
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
	run = beaten(began, beat) + now.Boot
	if wall := now.Wall.Sub(began.Wall); wall > 0 {
		run = min(run, wall)
	}
	return run, Restarted
}

// beaten is what the last heartbeat of the start on which a span began proves.
func beaten(began, beat Stamp) time.Duration {
	if !beat.SameBoot(began) {
		return 0
	}
	return max(0, beat.Boot-began.Boot)
}
