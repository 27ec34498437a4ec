package desk

import (
	"slices"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// signing are the kinds of entries that somebody signs on these screens.
var signing = []logbook.Kind{
	logbook.Reviewed{}.Kind(), logbook.CutOrdered{}.Kind(), logbook.RecheckAsked{}.Kind(), logbook.Note{}.Kind(),
	logbook.Correction{}.Kind(), logbook.Covered{}.Kind(), logbook.DaySigned{}.Kind(), logbook.IndicatorsRead{}.Kind(),
	logbook.Enclosed{}.Kind(),
}

// heard is the name to offer next: the one given with what was stored last.
// Who is at the laptop is not taken for granted before.
func heard(by string, msg tea.Msg) string {
	entries, _ := shell.Entries(msg)
	for _, e := range entries {
		if e.By != "" && slices.Contains(signing, e.Kind) {
			by = e.By
		}
	}
	return by
}

// decided tells whether something that was signed here of a weld is stored.
func decided(weld string, msg tea.Msg) bool {
	saved, ok := msg.(shell.Saved)
	return ok && slices.ContainsFunc(saved.Entries, func(e logbook.Entry) bool { return e.Weld == weld && slices.Contains(signing, e.Kind) })
}

// say shows a line that may hold stored text.
func say(env shell.Env, text string) { env.Do.Say(logbook.Clean(text)) }

// notMaker is the name to offer where somebody decides on a weld: who made it does not
// pass it, so that Enter never gives his.
func notMaker(by string, w logbook.Weld) string {
	if by == w.Operator {
		return ""
	}
	return by
}

func whose(by string) form.Field {
	return form.Field{Item: "by", Label: "your name", Manner: form.Text, Offer: by}
}

// saveAs stores an act under the name that was given.
func saveAs(env shell.Env, a form.Answers, label string, act func(acts.Head) acts.Act) {
	env.By = a.V("by")
	form.Saves(env, label, act)
}

// A deed is one act that needs a name and a text.
type deed struct {
	title, text, ask, label string
	usual                   []string // reasons; nil: it is a text
	act                     func(h acts.Head, why string) acts.Act
}

func (d deed) screen(by string) shell.Screen {
	return form.Ask{
		About: "deed",
		Title: d.title,
		Text:  func(shell.Env) []string { return []string{d.text} },
		Form:  form.New([]form.Field{whose(by), form.Reason("why", d.ask, d.usual)}),
		Done: func(env shell.Env, a form.Answers) {
			saveAs(env, a, d.label, func(h acts.Head) acts.Act { return d.act(h, a.V("why")) })
		},
	}
}

func ordering(by string, w logbook.Weld) shell.Screen {
	return deed{
		title: "Order " + w.ID + " to be cut out of " + w.Joint,
		text:  "The order stands on the weld until the crew has cut it out and said so.",
		ask:   "why", label: w.ID + " cut-out ordered", usual: logbook.WhyCutOrdered,
		act: func(h acts.Head, why string) acts.Act { return acts.OrderCut(h, w.ID, why) },
	}.screen(notMaker(by, w))
}

func rechecking(by string, w logbook.Weld) shell.Screen {
	return deed{
		title: "Ask for another look at " + w.ID + " in " + w.Joint,
		text:  "It stands on the weld until somebody looks at it again.",
		ask:   "what to look at, and why", label: w.ID + " re-check asked", usual: logbook.WhyRecheck,
		act: func(h acts.Head, why string) acts.Act { return acts.AskRecheck(h, w.ID, why) },
	}.screen(notMaker(by, w))
}

func noting(by string, w logbook.Weld) shell.Screen {
	return deed{
		title: "A note on " + w.ID,
		text:  "It stays with the weld.",
		ask:   "note", label: w.ID + " note",
		act: func(h acts.Head, text string) acts.Act { return acts.NoteOn(h, w.ID, text) },
	}.screen(by)
}

// Striking takes a joint off the list of what is built.
func Striking(by string, j logbook.Joint) shell.Screen {
	return form.Ask{
		About: "strike",
		Title: j.Label + " is not being built",
		Form:  form.New([]form.Field{whose(by), form.Reason("why", "why", logbook.WhyNotBuilt)}),
		Done: func(env shell.Env, a form.Answers) {
			saveAs(env, a, j.Label+" not being built", func(h acts.Head) acts.Act { return acts.StrikeJoint(h, j.Label, a.V("why")) })
		},
	}
}

// A subject is what the foreman decides on: a weld with its joint, a joint in which none
// stands, or the site; and what is found on it.
type subject struct {
	id, title string
	found     []audit.Finding
}

func ofWeld(env shell.Env, w logbook.Weld) subject {
	return subject{w.ID, w.ID + " in " + w.Joint, env.Audit.At(w)}
}

func ofJoint(env shell.Env, j logbook.Joint) subject {
	found := slices.DeleteFunc(env.Audit.OfJoint(j.Label), func(f audit.Finding) bool { return f.Weld != "" })
	return subject{"joint " + j.Label, "joint " + j.Label, found}
}

func (s subject) bare(says string) string { return shell.WithoutNumber(says, s.id) }

// accept asks for the answer to an open query, or says why there is none to
// give.
func accept(env shell.Env, by string, on subject) {
	if open := audit.Acceptable(on.found); len(open) > 0 {
		env.Do.Push(on.accepting(by, open, failed(on.found)))
		return
	}
	worst, open := audit.Worst(on.found)
	if !open {
		say(env, on.id+": no query is open")
		return
	}
	say(env, on.id+": "+worst.Unanswerable())
}

func failed(findings []audit.Finding) bool {
	return slices.ContainsFunc(findings, func(f audit.Finding) bool { return f.Severity == audit.Fail && !f.Settled })
}

// Accepting asks for the answer to one of these open queries on a weld or its joint.
func Accepting(w logbook.Weld, open ...audit.Finding) shell.Screen {
	return subject{id: w.ID, title: w.ID + " in " + w.Joint}.accepting("", open, false)
}

func (s subject) accepting(by string, open []audit.Finding, fails bool) shell.Screen {
	which := s.which("which query", open)
	return form.Ask{
		About: "accept",
		Title: "Accept a query on " + s.title,
		Text:  func(shell.Env) []string { return acceptText(open, fails) },
		Form:  form.New([]form.Field{which, whose(by), form.Reason("why", "reason", logbook.WhyAccepted)}),
		Done: func(env shell.Env, a form.Answers) {
			f := open[max(0, slices.Index(which.Options, a.V("which")))]
			saveAs(env, a, s.id+" query accepted", func(h acts.Head) acts.Act {
				return acts.Accept(h, env.Beat, f.Judged(), a.V("why"))
			})
		},
	}
}

// which chooses one of several findings; one alone is not asked for.
func (s subject) which(label string, list []audit.Finding) form.Field {
	options := make([]string, len(list))
	for i, f := range list {
		options[i] = logbook.Clean(s.bare(f.Says))
	}
	return form.Field{Item: "which", Label: label, Manner: form.Choice, Options: options, Skip: func(form.Answers) bool { return len(list) == 1 }}
}

func acceptText(open []audit.Finding, fails bool) []string {
	var text []string
	if len(open) == 1 {
		text = append(text, logbook.Clean(open[0].Says), "Basis: "+open[0].Basis)
	}
	for _, f := range open {
		if all := f.OneAnswer(); all != "" {
			text = append(text, f.Part+": "+all+".")
		}
	}
	if fails {
		text = append(text, "It has a fail too. A fail is never accepted: cut it out.")
	}
	return append(text, "Your name stands under it. When the facts change the query is open again.")
}
