package walk

import (
	"fmt"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// amendWhy is the reason that a correction carries which is made where the look was.
const amendWhy = "changed by whoever looked, at the look's own questions"

// Amend asks one look of a weld again, at its last question. What was recorded stays,
// and what is changed is stored as a correction.
func Amend(env shell.Env, w logbook.Weld, i int) shell.Screen {
	look := w.Looks[i].Look
	var fields []form.Field
	stands := form.Answers{}
	for _, f := range append([]form.Field{FeltField()}, append(IndicatorFields(env, w), EyeFields()...)...) {
		v := lookSaid(look, f.Item)
		if v == "" {
			continue
		}
		fields = append(fields, f)
		stands[f.Item] = logbook.Answer{Item: f.Item, V: v, How: logbook.Typed}
	}
	return form.Ask{
		About: "amend",
		Title: fmt.Sprintf("%s  %s  %s", w.Joint, w.ID, look.When),
		Text: func(shell.Env) []string {
			return []string{"Change an answer of this look: ← goes back, Enter keeps what stands. What was recorded first stays in the log beside it."}
		},
		Form: form.Again(fields, stands).AtLast(),
		Done: func(env shell.Env, a form.Answers) { amend(env, w, i, a) },
	}
}

// lookSaid is what a look says to one of its questions.
func lookSaid(look logbook.Look, item string) string {
	var n int
	if _, err := fmt.Sscanf(item, "indicator %d", &n); err == nil {
		if n > len(look.Indicators) {
			return ""
		}
		return look.Indicators[n-1]
	}
	return logbook.LookValue(item).Get(look)
}

// amend stores each value of a look that was changed.
func amend(env shell.Env, w logbook.Weld, i int, a form.Answers) {
	was, is := w.Looks[i].Look, LookOf(a)
	env.By = w.Looks[i].By // it is his own look that is put right
	for _, v := range logbook.LookValues {
		if said := v.Get(is); said != "" && said != v.Get(was) {
			key := logbook.LookKey(v.Key, was.When, i+1)
			form.Saves(env, w.ID+" correction", func(h acts.Head) acts.Act { return acts.Correct(h, w.ID, key, said, amendWhy) })
		}
	}
}
