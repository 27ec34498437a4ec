package logbook

// A PressureStage is when in the work a section is tested.
type PressureStage string

// The stages.
const (
	StageDelivery PressureStage = "delivery"
	StageLaid     PressureStage = "laid"
	StageWelded   PressureStage = "welded"
	StageCover    PressureStage = "cover"
	StageStanding PressureStage = "standing"
	StageCovered  PressureStage = "covered"
)

// PressureStages are all of them, in the order of the work.
var PressureStages = options("when a section is tested", string(StageDelivery), "on delivery", string(StageLaid), "after laying", string(StageWelded), "after welding",
	string(StageCover), "before cover", string(StageStanding), "standing while covering", string(StageCovered), "after cover")

// String is the word.
func (s PressureStage) String() string { return PressureStages.Word(string(s)) }

// Welds tells whether the welds of the section are under test: pipe is tested on
// delivery and after laying before any is made.
func (s PressureStage) Welds() bool { return s != StageDelivery && s != StageLaid }

// A PressureMethod is by which rules a test is judged.
type PressureMethod string

// The methods.
const (
	AsSpecified PressureMethod = "specified"
	EN805       PressureMethod = "volume"
	DecayTrend  PressureMethod = "decay"
)

// PressureMethods are the three, the job's own first.
var PressureMethods = options("method of a pressure test", string(AsSpecified), "as the specification says", string(EN805), "EN 805 A.27", string(DecayTrend), "decay trend")

// String is the word.
func (m PressureMethod) String() string { return PressureMethods.Word(string(m)) }

// A PressurePhase is a part of a test that the clock leads through.
type PressurePhase string

// The phases: hold of a test as specified; relax to main of EN 805; load and decay of
// the trend.
const (
	PhaseHold  PressurePhase = "hold"
	PhaseRelax PressurePhase = "relax"
	PhaseRaise PressurePhase = "raise"
	PhasePump  PressurePhase = "pump"
	PhaseRest  PressurePhase = "rest"
	PhaseDrop  PressurePhase = "drop"
	PhaseMain  PressurePhase = "main"
	PhaseLoad  PressurePhase = "load"
	PhaseDecay PressurePhase = "decay"
)

// PressurePhases are all of them.
var PressurePhases = options("phase of a pressure test", string(PhaseHold), "pressure reached", string(PhaseRelax), "relax without pressure", string(PhaseRaise), "raise the pressure",
	string(PhasePump), "hold it by pumping", string(PhaseRest), "rest, pump shut off", string(PhaseDrop), "let water out", string(PhaseMain), "main phase",
	string(PhaseLoad), "load", string(PhaseDecay), "shut off, pressure decays")

// String is the word.
func (p PressurePhase) String() string { return PressurePhases.Word(string(p)) }

// Phases are those of a method, in their order.
func (m PressureMethod) Phases() []PressurePhase {
	switch m {
	case EN805:
		return []PressurePhase{PhaseRelax, PhaseRaise, PhasePump, PhaseRest, PhaseDrop, PhaseMain}
	case DecayTrend:
		return []PressurePhase{PhaseLoad, PhaseDecay}
	}
	return []PressurePhase{PhaseHold}
}

// A PressureEnding is how a test ended, as a person says.
type PressureEnding string

// The endings.
const (
	RanToEnd  PressureEnding = "end"
	LeakSeen  PressureEnding = "leak"
	CalledOff PressureEnding = "off"
)

// PressureEndings are all of them.
var PressureEndings = options("how a pressure test ended", string(RanToEnd), "run to its end", string(LeakSeen), "stopped, a leak was seen", string(CalledOff), "called off")

// String is the word.
func (e PressureEnding) String() string { return PressureEndings.Word(string(e)) }

// What a look at joints under pressure can come to.
const (
	LeakNone   = "none"
	LeakThere  = "leak"
	LeakUnseen = "unseen"
	ShutOff    = "shut"
	OpenToIt   = "open"
	NotFitted  = "none"
)

// What is seen before and under a test.
var (
	// Leaks answer what was seen of leaks, water and sweating joints.
	Leaks = options("leaks looked for under pressure", LeakNone, "looked at every joint, no leak", LeakThere, "leak seen", LeakUnseen, couldNotLook)
	// ShutOffs answer how a thing that must not get the pressure stands.
	ShutOffs = options("shut off from the test", ShutOff, "shut off", OpenToIt, "open to the test", NotFitted, "none there", Unseen, couldNotLook)
	// PipeSun answers whether the sun warms pipe under test.
	PipeSun = options("sun on the pipe under test", Yes, "yes", No, "no", "partly", "partly", Unseen, couldNotLook)
	// CapsHeld answers whether caps at the ends are rated for the test and held.
	CapsHeld = options("caps rated and restrained", Yes, "yes", No, "no", NotFitted, "none there", Unseen, couldNotLook)
)

// The things that must not get the pressure, as they are stored.
const (
	ShutHeatPump    = "heatpump"
	ShutVessel      = "vessel"
	ShutSafetyValve = "safetyvalve"
	ShutVents       = "vents"
)

// ShutThings are those with their words.
var ShutThings = options("what is shut off from a test", ShutHeatPump, "heat pump", ShutVessel, "expansion vessel", ShutSafetyValve, "safety valve", ShutVents, "vents")

// WeakParts are parts that often are the weakest. Common practice, no source.
var WeakParts = []string{"pipe", "fitting", "valve", "gauge glass", "flow gauge", "cap", "hose"}
