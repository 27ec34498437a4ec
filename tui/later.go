package tui

import (
	"fmt"
	"strconv"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
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
func newLater(env shell.Env, label string) shell.Screen {
	if !env.Joint(label).Open() {
		label = ""
	}
	return form.Ask{
		Title: "A weld made without the laptop",
		Text: func(shell.Env) []string {
			return []string{"Give what was seen and written down. It is marked as entered later."}
		},
		Form: form.New(laterFields(env, label)),
		Done: enterLater,
	}
}

func laterFields(env shell.Env, label string) []form.Field {
	open := openLabels(env)
	fields := []form.Field{
		{Item: "joint", Label: "joint", Kind: form.Choice, Options: open},
		{Item: logbook.ItemFitting, Label: "fitting", Kind: form.Choice, Options: fittingNames(env)},
		{Item: logbook.ItemBatch, Label: "batch of the fitting", Kind: form.Text, Offer: logbook.NotKnown, Scan: true},
		{Item: logbook.ItemPipeBatch, Label: "batch of the coil or pipe", Kind: form.Text, Offer: logbook.NotKnown, Scan: true},
		{
			Item: logbook.ItemPort, Label: "port the leg went to", Kind: form.Number, Check: form.Whole(0, 999, ""), Hint: "0 if not known.",
			Skip: func(a form.Answers) bool { return !logbook.AsksPort(env.Joint(a.V("joint"))) },
		},
	}
	fields = append(fields, peopleFields(env)...)
	fields = append(fields,
		form.Field{Item: "prep", Label: "preparation", Kind: form.Choice, Options: []string{allDone, notScraped, otherwise}},
		form.Field{Item: "prep item", Label: "what could not be done", Kind: form.Choice, Options: prepNames(), Skip: func(a form.Answers) bool { return a.V("prep") != otherwise }},
		form.Field{Item: "prep why", Label: "why", Kind: form.Text, Skip: func(a form.Answers) bool { return a.V("prep") == allDone }},
		form.Field{Item: logbook.ItemMethod, Label: "scraped with", Kind: form.Choice, Options: logbook.ScrapeMethods, Skip: func(a form.Answers) bool { return a.V("prep") == notScraped }},
		form.Field{Item: "ambient", Label: "ambient temperature in °C", Kind: form.Number, Check: walk.Celsius},
		form.Field{Item: "cooling", Label: "cooling minutes printed on the fitting", Kind: form.Number, Check: form.Whole(1, 600, "min"), Hint: "The table has no band for that temperature.", Skip: func(a form.Answers) bool { return hasBand(env, a) }},
		form.Field{Item: "mode", Label: "the unit's time was", Kind: form.Choice, Options: []string{logbook.ModeKeyed, logbook.ModeCode, logbook.ModeSelf}},
		form.Field{Item: "seconds", Label: "seconds the unit was set to", Kind: form.Number, Check: form.Whole(1, 9999, "s")},
		form.Field{Item: "volts", Label: "volts it showed", Kind: form.Number, Check: form.Decimal(0, 400, "V"), Hint: "0 if not known."},
		form.Field{Item: "ohms", Label: "resistance it showed, Ω", Kind: form.Number, Check: form.Decimal(0, 100, "Ω"), Hint: "0 if not known."},
		form.Field{Item: "start", Label: "fusion began at (HH:MM, or YYYY-MM-DD HH:MM)", Kind: form.Text, Check: checkTime(env)},
	)
	fields = append(fields, endFields()...)
	return append(fields, form.Field{Item: "late", Label: "why it was not logged at once", Kind: form.Text})
}

func peopleFields(env shell.Env) []form.Field {
	var names, serials []string
	for _, o := range env.Shift.Operators {
		names = append(names, o.Name)
	}
	for _, u := range env.Shift.Units {
		serials = append(serials, u.Serial)
	}
	return []form.Field{
		{Item: "operator", Label: "who welded", Kind: form.Choice, Options: names, Offer: env.By},
		{Item: "unit", Label: "control unit", Kind: form.Choice, Options: serials, Offer: serials[0]},
	}
}

func endFields() []form.Field {
	unlessCompleted := func(a form.Answers) bool { return a.V("outcome") != logbook.Completed }
	fields := []form.Field{
		{Item: "outcome", Label: "the fusion", Kind: form.Choice, Options: []string{logbook.Completed, logbook.Stopped, logbook.NotSeen}},
		{Item: "at", Label: "stopped at how many seconds", Kind: form.Number, Check: form.Whole(0, 9999, "s"), Skip: func(a form.Answers) bool { return a.V("outcome") != logbook.Stopped }},
		{Item: "run", Label: "seconds the unit said it ran", Kind: form.Number, Check: form.Whole(0, 9999, "s"), Hint: "0 if not known.", Skip: unlessCompleted},
		{Item: "indicator 1", Label: "indicators (the worst of them)", Kind: form.Choice, Options: []string{logbook.Up, logbook.Part, logbook.Flat, logbook.None, logbook.Unseen}, Skip: unlessCompleted},
	}
	for _, f := range walk.EyeFields() {
		f.Skip = unlessCompleted
		fields = append(fields, f)
	}
	return append(fields,
		form.Field{Item: "hold", Label: "the hold counts", Kind: form.Choice, Options: []string{holdFromNow, holdStated}, Hint: "From the stated end only on somebody's word."},
		form.Field{Item: "hold by", Label: "on whose word", Kind: form.Text, Skip: func(a form.Answers) bool { return a.V("hold") != holdStated }},
	)
}

func openLabels(env shell.Env) []string {
	var out []string
	for _, j := range logbook.OpenJoints(env.Book, env.Site.ID) {
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
	c, err := fusion.ParseCelsius(a.V("ambient"))
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
	started, _ := time.ParseInLocation(statedLayout, a.V("start"), env.Now.Local().Location())
	ambient, _ := fusion.ParseCelsius(a.V("ambient"))
	seconds, _ := strconv.Atoi(a.V("seconds"))
	cooling, _ := strconv.Atoi(a.V("cooling"))
	u, _ := env.Shift.Unit(a.V("unit"))
	ran := time.Duration(seconds) * time.Second
	for _, item := range []string{"run", "at"} {
		if n := a.Int(item); n != nil {
			ran = time.Duration(*n) * time.Second
		}
	}
	ended := started.Add(ran)
	if now := env.Now.Local(); ended.After(now) {
		ended = now
	}
	look := walk.LookOf(a)
	look.When = logbook.LookHot
	l := logbook.LateWeld{
		Joint: a.V("joint"), Operator: a.V("operator"), Unit: u.Serial, Corrects: u.Corrects,
		Answers: lateAnswers(a), Ambient: ambient, Mode: a.V("mode"), SecondsShown: seconds,
		VoltsShown: a.Float("volts"), Ohms: a.Float("ohms"), CoolingMin: cooling,
		Started: started, Ended: ended, Outcome: a.V("outcome"), StoppedAt: a.Int("at"), Run: a.Int("run"),
		Look: look, HoldStated: a.V("hold") == holdStated, Why: a.V("late"),
	}
	if by := a.V("hold by"); by != "" {
		l.Why += "; hold from the stated end on the word of " + by
	}
	form.Saves(env, "weld entered later", func(h logbook.Head) logbook.Act { return logbook.EnterLater(h, l) })
}

// prepNames are the items of the card; scraping has an answer of its own.
func prepNames() []string {
	var out []string
	for _, p := range logbook.PrepItems {
		if p.Item != "scraped" {
			out = append(out, p.Item)
		}
	}
	return out
}

func lateAnswers(a form.Answers) []logbook.Answer {
	var out []logbook.Answer
	for _, item := range []string{logbook.ItemFitting, logbook.ItemBatch, logbook.ItemPipeBatch, logbook.ItemMethod} {
		if given, ok := a[item]; ok {
			out = append(out, given)
		}
	}
	if port := a.Int(logbook.ItemPort); port != nil {
		out = append(out, a[logbook.ItemPort])
	}
	for _, p := range logbook.PrepItems {
		given := logbook.Answer{Item: p.Item, V: logbook.Done, How: logbook.Later}
		if a.V("prep") == notScraped && p.Item == "scraped" {
			given.V, given.Why = logbook.CouldNot, a.V("prep why")
		}
		if a.V("prep item") == p.Item {
			given.V, given.Why = logbook.CouldNot, a.V("prep why")
		}
		out = append(out, given)
	}
	return out
}
