package desk

import (
	"fmt"
	"slices"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// takeBack asks which order or acceptance is taken back, or says that there is none.
func takeBack(env shell.Env, by string, on subject, w logbook.Weld) {
	accepted := slices.DeleteFunc(slices.Clone(on.found), func(f audit.Finding) bool { return f.Accepted == nil })
	ordered := ordersStand(w)
	if !takesBack(on, w) {
		say(env, on.id+": nothing is ordered or accepted that could be taken back")
		return
	}
	env.Do.Push(on.takingBack(by, w, ordered, accepted))
}

func ordersStand(w logbook.Weld) bool { return w.Stands() && w.CutOrdered != nil }

// takesBack tells whether there is anything to take back.
func takesBack(on subject, w logbook.Weld) bool {
	return ordersStand(w) || slices.ContainsFunc(on.found, func(f audit.Finding) bool { return f.Accepted != nil })
}

// takingBack takes the orders to cut a weld out back, all that stand, or one acceptance.
func (s subject) takingBack(by string, w logbook.Weld, ordered bool, accepted []audit.Finding) shell.Screen {
	var options, text []string
	if ordered {
		options = append(options, logbook.Clean("cut-out: "+ordersText(w)))
	}
	for _, f := range accepted {
		options = append(options, logbook.Clean(fmt.Sprintf("accepted by %s: %s", f.Accepted.By, s.bare(f.Says))))
	}
	if len(options) == 1 {
		text = append(text, options[0])
	}
	if len(w.CutOrders) > 1 {
		text = append(text, "Who ordered it takes his own order back; who did not, all of them.")
	}
	return form.Ask{
		About: "takeback",
		Title: "Take back on " + s.title,
		Text: func(shell.Env) []string {
			return append(text, "What was said and that it is taken back both stay in the log.")
		},
		Form: form.New([]form.Field{
			{Item: "which", Label: "what is taken back", Manner: form.Choice, Options: options, Skip: func(form.Answers) bool { return len(options) == 1 }},
			whose(by), form.Reason("why", "why", logbook.WhyTakenBack),
		}),
		Done: func(env shell.Env, a form.Answers) {
			i := max(0, slices.Index(options, a.V("which")))
			if ordered && i == 0 {
				saveAs(env, a, s.id+" cut-out no longer ordered", func(h acts.Head) acts.Act { return acts.WithdrawCut(h, w.ID, a.V("why")) })
				return
			}
			f := accepted[i-len(options)+len(accepted)]
			saveAs(env, a, s.id+" acceptance taken back", func(h acts.Head) acts.Act { return acts.Withdraw(h, env.Beat, f.Judged(), a.V("why")) })
		},
	}
}

// ordersText are all orders to cut a weld out that stand.
func ordersText(w logbook.Weld) string {
	text := ""
	for i, o := range w.CutOrders {
		if i > 0 {
			text += "; "
		}
		text += o.Why + " (" + o.By + ")"
	}
	return text
}
