package tui

import (
	"coolhold/tui/desk"
	"coolhold/tui/shell"
	"coolhold/tui/walk"
)

// digit is what the digits of the board do; 7 turns its view.
func (s board) digit(env shell.Env, n int) {
	switch n {
	case 1:
		takeNext(env)
	case 2:
		if needShift(env) {
			env.Do.Push(newWeather(env))
		}
	case 3:
		shiftKey(env)
	case 4:
		if needShift(env) {
			env.Do.Push(newLater(env))
		}
	case 5:
		env.Do.Push(newTables())
	case 6:
		env.Do.Push(planAhead())
	case 8:
		env.Do.Push(seldom())
	case 9:
		env.Do.Push(desk.NewDay(env))
	case 0:
		writeRegister(env)
	}
}

// writeRegister has the register written for the warranty file; the program
// round the screens knows where, and says it.
func writeRegister(env shell.Env) {
	write, site := env.Outside.WriteRegister, env.Site.ID
	if write == nil {
		env.Do.Say("writing the register is not available here")
		return
	}
	env.Do.Say("writing the register …")
	env.Do.Fetch(func(log shell.Log) (string, error) { return write(log, site) })
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
