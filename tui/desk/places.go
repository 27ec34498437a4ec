package desk

import "coolhold/tui/shell"

// A Place is a screen of the foreman's that a search goes to.
type Place struct {
	Key  string // of the day's screen
	Name string
	Open func(shell.Env)
}

// Places are the screens behind the day.
func Places(env shell.Env) []Place {
	return []Place{
		{"4", "cover a chamber or a run with ground", func(env shell.Env) { env.Do.Push(newCover(env)) }},
		{"5", "sign the day", func(env shell.Env) { env.Do.Push(newSign(env, lastDay(env))) }},
		{"6", "what is open on the site", func(env shell.Env) { env.Do.Push(newOpen("")) }},
		{"7", "pressure tests", func(env shell.Env) { env.Do.Push(newPressures(env)) }},
		{"7, then 1", "flow, purge and fluid", func(env shell.Env) { env.Do.Push(newLoops(env)) }},
		{"7, then 1, then 2", "hand-over: the plumber's leaf", func(env shell.Env) { env.Do.Push(newHanded("")) }},
		{"6, then 1", "the site as a whole: findings", func(env shell.Env) { env.Do.Push(site{}) }},
	}
}
