package tui

import (
	"fmt"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/walk"
)

const (
	allDone     = "all done"
	notScraped  = "not scraped"
	otherwise   = "something else could not be done"
	holdFromNow = "from now"
	holdStated  = "from the end stated above"
)

// newLater is the one form for a weld made without the laptop. Nothing on it
// is refused for being wrong; what is wrong becomes a finding.
func newLater(env shell.Env) shell.Screen {
	return form.Ask{
		About: "later",
		Title: "A weld made without the laptop",
		Text: func(shell.Env) []string {
			return []string{"Give what was seen and written down. It is marked as entered later."}
		},
		Form: form.New(laterFields(env)),
		Done: enterLater,
	}
}

// laterFields are the values asked, in the order in which a person tells them.
func laterFields(env shell.Env) []form.Field {
	scraped := func(a form.Answers) bool { return a.V("prep") == notScraped }
	fields := []form.Field{
		among(logbook.FieldJoint, openLabels(env)), among(logbook.ItemFitting, fittingNames(env)),
		laterBatch(logbook.ItemBatch), laterBatch(logbook.ItemPipeBatch),
		form.Later(logbook.ItemPort).OrNone("not known").Unless(func(a form.Answers) bool { return !logbook.AsksPort(env.Joint(a.V(logbook.FieldJoint))) }),
	}
	fields = append(fields, peopleFields(env)...)
	fields = append(fields,
		form.Field{Item: "prep", Label: "preparation", Manner: form.Choice, Options: []string{allDone, notScraped, otherwise}},
		form.Field{Item: "prep item", Label: "what could not be done", Manner: form.Choice, Options: prepItems(), Says: logbook.NameOf}.Unless(func(a form.Answers) bool { return a.V("prep") != otherwise }),
		form.Reason("prep why", "why", logbook.WhyNotDone).Unless(func(a form.Answers) bool { return a.V("prep") == allDone }),
		form.Later(logbook.ItemMethod).Unless(scraped),
		form.Later(logbook.FieldAmbient),
		laterCooling(env),
		form.Later(logbook.FieldMode),
		form.Later(logbook.FieldSeconds),
		form.Later(logbook.FieldVolts).OrNone("not known"),
		form.Later(logbook.FieldOhms).OrNone("not known"),
		form.Field{Item: "began", Label: "fusion began at (HH:MM, or YYYY-MM-DD HH:MM)", Manner: form.Text, Check: checkTime(env)},
	)
	fields = append(fields, endFields()...)
	return append(fields, form.Reason("late", "why it was not logged at once", logbook.WhyLate))
}

// among asks for a value by those that there are.
func among(key string, there []string) form.Field {
	f := form.Later(key)
	f.Manner, f.Options = form.Choice, there
	return f
}

func laterBatch(key string) form.Field {
	f := form.Later(key)
	f.Offer, f.Scan = logbook.NotKnown, true
	return f
}

func laterCooling(env shell.Env) form.Field {
	f := form.Later(logbook.FieldCooling).Unless(func(a form.Answers) bool { return hasBand(env, a) })
	f.Hint = "The table has no band for that temperature."
	return f
}

func peopleFields(env shell.Env) []form.Field {
	var names, serials []string
	for _, o := range env.Shift.Operators {
		names = append(names, o.Name)
	}
	for _, u := range env.Shift.Units {
		serials = append(serials, u.Serial)
	}
	operator, unit := among(logbook.FieldOperator, names), among(logbook.FieldUnit, serials)
	operator.Offer, unit.Offer = env.By, serials[0]
	return []form.Field{operator, unit}
}

func endFields() []form.Field {
	unlessCompleted := func(a form.Answers) bool { return a.V(logbook.FieldOutcome) != string(logbook.Completed) }
	run := form.Later(logbook.FieldRun).OrNone("not known").Unless(unlessCompleted)
	fields := []form.Field{
		form.Later(logbook.FieldOutcome),
		form.Later(logbook.FieldStoppedAt).Unless(func(a form.Answers) bool { return a.V(logbook.FieldOutcome) != string(logbook.Stopped) }),
		run,
	}
	for _, f := range append([]form.Field{walk.WorstIndicator()}, walk.EyeFields()...) {
		fields = append(fields, f.Unless(unlessCompleted))
	}
	return append(fields,
		form.Field{Item: "hold", Label: "the hold counts", Manner: form.Choice, Options: []string{holdFromNow, holdStated}, Hint: "From the stated end only on somebody's word."},
		form.Field{Item: "hold by", Label: "on whose word", Manner: form.Text, Skip: func(a form.Answers) bool { return a.V("hold") != holdStated }},
	)
}

func openLabels(env shell.Env) []string {
	var out []string
	for _, j := range ahead.OpenJoints(env.Book, env.Site.ID) {
		out = append(out, j.Label)
	}
	return out
}

func fittingNames(env shell.Env) []string {
	var out []string
	for _, row := range env.Shelf.Rows() {
		out = append(out, row.Fitting.Name)
	}
	return out
}

func hasBand(env shell.Env, a form.Answers) bool {
	c, err := fusion.ParseCelsius(a.V(logbook.FieldAmbient))
	if err != nil {
		return true
	}
	row, _ := env.Shelf.Row(a.V(logbook.ItemFitting))
	_, ok := row.Table.BandFor(c)
	return ok
}

const statedLayout = "2006-01-02 15:04"

// checkTime takes a time of today, or a date and time, not after now.
func checkTime(env shell.Env) func(string) (string, error) {
	now := env.Now.Local()
	return func(s string) (string, error) {
		t, err := time.ParseInLocation(statedLayout, now.Format("2006-01-02 ")+s, now.Location())
		if err != nil {
			t, err = time.ParseInLocation(statedLayout, s, now.Location())
		}
		switch {
		case err != nil:
			return "", fmt.Errorf("%q is no time: write 14:05, or 2026-03-09 14:05", s)
		case t.After(now):
			return "", fmt.Errorf("%s is still to come", t.Format(statedLayout))
		}
		return t.Format(statedLayout), nil
	}
}

// enterLater makes the weld of the form's answers. Its end is its start plus
// the seconds it ran, or was set to.
func enterLater(env shell.Env, a form.Answers) {
	l := lateOf(a)
	u, _ := env.Shift.Unit(l.Unit)
	l.Corrects = u.Corrects
	l.Started, _ = time.ParseInLocation(statedLayout, a.V("began"), env.Now.Local().Location())
	ran := l.SecondsShown
	for _, n := range []*int{l.Run, l.StoppedAt} {
		if n != nil {
			ran = *n
		}
	}
	l.Ended = l.Started.Add(time.Duration(ran) * time.Second)
	if now := env.Now.Local(); l.Ended.After(now) {
		l.Ended = now
	}
	l.HoldStated, l.Why = a.V("hold") == holdStated, a.V("late")
	if by := a.V("hold by"); by != "" {
		l.Why += "; hold from the stated end on the word of " + by
	}
	form.Saves(env, "weld entered later", func(h acts.Head) acts.Act { return acts.EnterLater(h, l) })
}

// lateOf is the weld of those answers that are its values. A figure of 0 says
// that there is none.
func lateOf(a form.Answers) acts.LateWeld {
	var w logbook.Weld
	for _, v := range logbook.WeldValues {
		given, ok := a[v.Key]
		if !ok || given.V == "" {
			continue
		}
		w = v.Set(w, given.V)
		if answer, is := w.Answers[v.Key]; is {
			answer.How = given.How
			w.Answers[v.Key] = answer
		}
	}
	l := acts.LateOf(prepared(w, a), logbook.ItemFitting, logbook.ItemBatch, logbook.ItemPipeBatch, logbook.ItemMethod, logbook.ItemPort)
	l.Look = walk.LookOf(a)
	l.Look.When = logbook.LookHot
	return l
}

// prepItems are the items of the card; scraping has an answer of its own.
func prepItems() []string {
	var out []string
	for _, p := range logbook.PrepItems {
		if p.Item != logbook.ItemScraped {
			out = append(out, p.Item)
		}
	}
	return out
}

// prepared answers the card: all is done but what is said not to be.
func prepared(w logbook.Weld, a form.Answers) logbook.Weld {
	but := a.V("prep item")
	if a.V("prep") == notScraped {
		but = logbook.ItemScraped
	}
	for _, p := range logbook.PrepItems {
		v, _ := logbook.ValueOf(p.Item)
		if w = v.Set(w, logbook.Done); p.Item == but {
			w.Answers[p.Item] = logbook.Answer{Item: p.Item, V: logbook.CouldNot, Why: a.V("prep why")}
		}
	}
	return w
}
