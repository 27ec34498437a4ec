package audit

// A Door is one way by which what a rule finds is ended: the act, and where a person
// does it. What is empty there is not.
type Door struct {
	Act    string `json:"act"` // of package acts
	Screen string `json:"screen,omitempty"`
	Verb   string `json:"verb,omitempty"`  // of the command line
	Paper  string `json:"paper,omitempty"` // column of the sheet
}

// The doors that many rules share.
var (
	accepting  = Door{Act: "Accept", Screen: "page of a weld, joint or site: accept", Verb: "review"}
	cuttingOut = Door{Act: "Cut", Screen: "joint: it was cut out"}
	lookAgain  = Door{Act: "LookAgain", Screen: "joint, page of a weld: look again", Verb: "look", Paper: "look_again"}
	welding    = Door{Act: "BeginWeld", Screen: "joint: weld it"}
	enterLater = Door{Act: "EnterLater", Screen: "joint: enter a weld made without the laptop", Verb: "transcribe", Paper: "joint"}
	takingUp   = Door{Act: "TakeUpJoint", Screen: "joint: it is being built after all", Verb: "take-up"}
	striking   = Door{Act: "StrikeJoint", Screen: "joint: it is not being built"}
	repairing  = Door{Act: "Happen", Verb: "happened"}

	retesting  = Door{Act: "BeginPressure", Screen: "pressure tests: begin one", Verb: "pressure begin"}
	endsTest   = Door{Act: "EndPressure", Screen: "pressure test: say how it ended", Verb: "pressure end"}
	takesTest  = Door{Act: "WithdrawPressure", Screen: "pressure test: take it back", Verb: "pressure withdraw"}
	closing    = Door{Act: "NameClosing", Screen: "pressure tests: closing weld", Verb: "pressure closing"}
	flowAgain  = Door{Act: "CheckFlow", Screen: "flow, purge and fluid: flow of a circuit alone", Verb: "flow"}
	flowBacks  = Door{Act: "WithdrawLoop", Screen: "flow, purge and fluid: take the newest back", Verb: "flow"}
	lookThere  = Door{Act: "CheckGround", Screen: "covering: looked at", Verb: "cover check"}
	lookedLate = Door{Act: "CheckGround", Screen: "covering: looked at earlier", Verb: "cover check"}
	pressLook  = Door{Act: "LookUnderPressure", Screen: "pressure tests: look at a weld", Verb: "pressure look"}
)

// workDoors are the doors of what is not done yet: each is done in its own way.
var workDoors = map[string][]Door{
	"walk-open":          {{Act: "AbandonWalk", Screen: "joint: give it up"}, enterLater},
	"end-unsaid":         {{Act: "EndFusion", Screen: "what runs: the fusion"}},
	"zone-not-fused":     {cuttingOut, {Act: "StartFusion", Screen: "what runs: the next zone"}},
	"unread":             {{Act: "ReadLook", Screen: "joint: go to the look"}, lookAgain},
	Unreleased:           {{Act: "Release", Screen: "what runs: release"}, {Act: "Disturb", Screen: "what runs: it was moved"}},
	"round-not-done":     {lookAgain},
	"recheck-asked":      {lookAgain},
	"missing-weld":       {welding, enterLater, striking},
	"cut-not-replaced":   {welding, enterLater, striking},
	"fail-not-cut-out":   {cuttingOut},
	"pressure-lost":      {repairing},
	"site-pressure-lost": {repairing},
	PressureFailed:       {retesting, takesTest},
	PressureOpen:         {endsTest, takesTest},
	UntestedSince:        {retesting, closing},
	TestMissing:          {retesting},
	ClosingUnseen:        {pressLook, retesting},
	FlowCrossed:          {flowAgain, flowBacks},
	GroundToLook:         {lookThere},
	"shift-open":         {{Act: "CloseShift", Screen: "end-of-shift check: close the shift"}},
}

// Doors are the ways to end what a rule finds. A note asks for nothing; a fail of a weld
// is cut out; a query is answered by name.
func (r Rule) Doors() []Door {
	switch {
	case r.Severity == Note, r.Slug == newerEntry, r.Slug == newerSite: // a newer program reads it, nobody here
		return nil
	case r.Work:
		return workDoors[r.Slug]
	case r.Severity == Fail && r.Scope == OnWeld:
		return []Door{cuttingOut}
	case r.Slug == GroundLacking, r.Slug == GroundWelded:
		return []Door{lookedLate, accepting}
	case r.Slug == LegStruck:
		return []Door{takingUp, accepting}
	case r.Severity == Query:
		return []Door{accepting}
	}
	return nil
}
