package walk

import (
	"fmt"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// When another look was made, as asked.
const (
	lookedNow     = "now"
	lookedEarlier = "earlier"
)

// LookAgain asks for another look at a weld that stands. by is the name to offer.
func LookAgain(env shell.Env, w logbook.Weld, by string) shell.Screen {
	return form.Ask{
		About: "again",
		Title: fmt.Sprintf("Look at %s in %s again", w.ID, w.Joint),
		Text:  func(env shell.Env) []string { return againText(env, env.Weld(w.ID)) },
		Form:  form.New(againFields(env, w, by)),
		Done: func(env shell.Env, a form.Answers) {
			b := logbook.IndicatorsRead{Look: LookOf(a)}
			if at, dayOnly := lookedAt(env, a); at != nil {
				b.Stated, b.DayOnly, b.How = at, dayOnly, logbook.Later
			}
			env.By = a.V("by")
			form.Saves(env, w.ID+" looked at again", func(h acts.Head) acts.Act { return acts.LookAgain(h, w.ID, b) })
		},
	}
}

func againText(env shell.Env, w logbook.Weld) []string {
	lines := []string{"It is kept beside what was seen before, and takes no fail away."}
	if env.Audit.RecheckDue(w) {
		lines = append(lines, logbook.Clean(fmt.Sprintf("%s asked for it: %s. Somebody else than %s must look.", w.Recheck.By, w.Recheck.Why, w.Operator)))
	}
	return lines
}

// againFields ask who looks, when, and for all that can be seen and felt.
func againFields(env shell.Env, w logbook.Weld, by string) []form.Field {
	hot := func(a form.Answers) bool {
		at, dayOnly := lookedAt(env, a)
		return acts.HotAt(w, env.Now, at, dayOnly)
	}
	fields := []form.Field{
		{Item: "by", Label: "who looks", Manner: form.Text, Offer: by},
		{Item: "looked", Label: "when", Manner: form.Choice, Options: []string{lookedNow, lookedEarlier}, Offer: lookedNow},
		form.Field{Item: "at", Label: "looked at", Hint: "HH:MM, or YYYY-MM-DD HH:MM, or the day alone.", Manner: form.Text, Check: form.PastDay(env)}.Unless(func(a form.Answers) bool { return a.V("looked") != lookedEarlier }),
		form.Of("felt").Unless(hot),
	}
	return append(append(fields, IndicatorFields(env, w)...), EyeFields()...)
}

// lookedAt is when a look was made that is told afterwards; nil for now.
func lookedAt(env shell.Env, a form.Answers) (*time.Time, bool) {
	if a.V("looked") != lookedEarlier {
		return nil, false
	}
	at, dayOnly, err := form.Stated(env, a.V("at"))
	if err != nil {
		return nil, false
	}
	return &at, dayOnly
}

// MayLookAgain tells whether there is anything to look at but the hold, which asks for
// its own look when it ends.
func MayLookAgain(env shell.Env, w logbook.Weld) bool {
	return w.Stands() && w.Ended != nil && !acts.HotAt(w, env.Now, nil, false)
}
