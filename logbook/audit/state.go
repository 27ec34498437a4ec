package audit

// A State is how a joint stands, in a word or two, for lists. Once a weld of it is
// out of its hold it is the weld's verdict.
type State string

// The states that are no verdict.
const (
	StruckOff    State = "not being built"
	SplitUp      State = "make-up piece"
	InTheWalk    State = "in the walk"
	OpenAgain    State = "open again" // a weld of it was cut out
	NotMade      State = "open"
	Fusing       State = "fusing"
	InHold       State = "hold"
	PressureLost State = "pressure lost" // on it or on its circuit, and not repaired
	Crossed      State = "crossed"       // its legs, by a flow check
)

// Is tells whether a state is a verdict.
func (s State) Is(v Verdict) bool { return s == State(v) }

// Unreleased is the rule of a hold that nobody ended yet.
const Unreleased = "unreleased"
