package tui

import (
	"coolhold/tui/desk"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/walk"
)

// A boardKey is a digit of the board: what it says in the foot, what it is called where
// it is searched for, and what it does. 7 turns the view of the board itself.
type boardKey struct {
	digit int
	short string
	name  string
	do    func(shell.Env)
}

// boardKeys are those that go somewhere, in the order in which the foot has room for
// them.
func boardKeys(env shell.Env) []boardKey {
	shift, shiftName := "shift", "start a shift"
	if env.Shift.ID != "" {
		shift, shiftName = "end check", "end-of-shift check, close the shift"
	}
	inShift := func(open func(shell.Env) shell.Screen) func(shell.Env) {
		return func(env shell.Env) {
			if needShift(env) {
				env.Do.Push(open(env))
			}
		}
	}
	return []boardKey{
		{1, "next", "the next joint: begin or go on", takeNext},
		{2, "weather", "weather", inShift(newWeather)},
		{3, shift, shiftName, shiftKey},
		{4, "later", "enter a weld made without the laptop", inShift(newLater)},
		{5, "tables", "fusion tables, read-back, a further table", func(env shell.Env) { env.Do.Push(newTables()) }},
		{6, "ahead", "plan ahead", func(env shell.Env) { env.Do.Push(planAhead()) }},
		{9, "day", "the day's welds, the foreman's desk", func(env shell.Env) { env.Do.Push(desk.NewDay(env)) }},
		{0, "register", "write the register for the warranty file", writeRegister},
		{8, "more", "more", func(env shell.Env) { env.Do.Push(seldom()) }},
	}
}

// digit is what the digits of the board do.
func (s board) digit(env shell.Env, n int) {
	for _, k := range boardKeys(env) {
		if k.digit == n {
			k.do(env)
		}
	}
}

// The answers to whether the register is written.
const (
	writeIt = "write it"
	notNow  = "not now"
)

// writeRegister has the register written for the warranty file. It leaves files behind,
// so that where is said before.
func writeRegister(env shell.Env) {
	if env.Outside.WriteRegister == nil {
		env.Do.Say("writing the register is not available here")
		return
	}
	where := "your documents"
	if env.Outside.Documents != nil {
		where = env.Outside.Documents()
	}
	env.Do.Push(form.Ask{
		About: "register",
		Title: "The register for the warranty file",
		Text: func(shell.Env) []string {
			return []string{"A PDF, an HTML file for a phone and a workbook, into " + where + ". What is there already is not written over. Photos are shown that lie there, or where the last one was chosen."}
		},
		Form: form.New([]form.Field{{Item: "write", Label: "write the register", Manner: form.Choice, Options: []string{writeIt, notNow}}}),
		Done: func(env shell.Env, a form.Answers) {
			if a.V("write") == writeIt {
				env.Write("register", env.Outside.WriteRegister)
			}
		},
	})
}

func shiftKey(env shell.Env) {
	if env.Shift.ID == "" {
		env.Do.Push(newShift(env))
		return
	}
	env.Do.Push(newRound(env))
}

func needShift(env shell.Env) bool {
	if env.Shift.ID == "" {
		env.Do.Say("start a shift first: key 3")
		return false
	}
	return true
}

// takeNext begins the joint that is next, or resumes the walk that is open.
func takeNext(env shell.Env) {
	if inBatch(env) {
		env.Do.Push(newBatch(env))
		return
	}
	if j, ok := walking(env); ok {
		walk.TakeUp(env, env.Weld(j.Walk))
		return
	}
	if j, ok := next(env); ok && needShift(env) {
		walk.Begin(env, j.Label)
	}
}
