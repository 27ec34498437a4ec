package tui

import (
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

const (
	mostOperators = 4
	mostUnits     = 3
)

// newShift asks for people and equipment; yesterday's answers are offered.
func newShift(env shell.Env) shell.Screen {
	last := known(lastShift(env), env.Site)
	var fields []form.Field
	for i := range mostOperators {
		fields = append(fields, operatorFields(i, last)...)
	}
	for i := range mostUnits {
		fields = append(fields, unitFields(i, last)...)
	}
	fields = append(fields,
		form.Field{Item: "generator", Label: "generator", Manner: form.Text, Offer: last.Generator, Blank: true},
		form.Field{Item: "thermometer", Label: "thermometer", Manner: form.Text, Offer: last.Thermometer, Blank: true},
	)
	fields = append(fields, weatherFields(logbook.Weather{})...)
	return form.Ask{About: "shift", Title: "Start a shift", Text: cautions, Form: form.New(fields), Done: startShift}
}

// cautions are the usual ones; what the site, the fitting and the law say goes
// first. Sources: HSE practice as restated, PPI TN-34:2009, UK gas checklist
// DN.14A.
func cautions(env shell.Env) []string {
	if env.H < 20 {
		return []string{"First the site's own safe system of work, the fitting's instructions and local codes."}
	}
	return []string{
		"First the site's own safe system of work, the fitting's instructions and local codes.",
		"No ground stands unsupported; look at the trench each shift and after rain. Find services before digging.",
		"Generator outside the pit, RCD (GFCI), sound leads; the unit is not explosion-proof.",
	}
}

func lastShift(env shell.Env) logbook.Shift {
	if n := len(env.Site.Shifts); n > 0 {
		sh, _ := env.Book.Shift(env.Site.ID, env.Site.Shifts[n-1])
		return sh
	}
	return logbook.Shift{}
}

// known is the last shift, and where it has none the units and the supply that the kit
// has: what was typed once is offered, not asked anew.
func known(last logbook.Shift, site logbook.Site) logbook.Shift {
	k, _ := logbook.KitOf(site)
	if len(last.Units) == 0 {
		for _, u := range k.Units[:min(len(k.Units), mostUnits)] {
			last.Units = append(last.Units, logbook.Unit{Serial: u.Serial})
		}
	}
	if last.Generator == "" && k.Generator != nil {
		last.Generator = fusion.Figure(*k.Generator) + " kVA"
	}
	return last
}

// more asks whether there is another one; the fields of the next are skipped
// unless it says so.
func more(item string, i int, had int) (field form.Field, skip func(form.Answers) bool) {
	key := func(i int) string { return fmt.Sprintf("more %ss %d", item, i) }
	offer := "no"
	if had > i+1 {
		offer = "yes"
	}
	skip = func(a form.Answers) bool { return i > 0 && a.V(key(i-1)) != "yes" }
	return form.Field{Item: key(i), Label: "another " + item, Manner: form.Choice, Options: []string{"yes", "no"}, Offer: offer, Skip: skip}, skip
}

func operatorFields(i int, last logbook.Shift) []form.Field {
	var o logbook.Operator
	if i < len(last.Operators) {
		o = last.Operators[i]
	}
	again, skip := more("operator", i, len(last.Operators))
	item := func(s string) string { return fmt.Sprintf("operator %d %s", i, s) }
	fields := []form.Field{
		{Item: item("name"), Label: fmt.Sprintf("operator %d: name", i+1), Manner: form.Text, Offer: o.Name, Skip: skip, Person: true, Check: welder},
		{Item: item("number"), Label: "qualification number", Manner: form.Text, Offer: o.Number, Blank: true, Skip: skip, Scan: true},
		{Item: item("expiry"), Label: "valid to (YYYY-MM-DD)", Manner: form.Text, Offer: o.Expiry, Blank: true, Skip: skip, Check: date},
	}
	if i < mostOperators-1 {
		fields = append(fields, again)
	}
	return fields
}

// welder refuses what names nobody where it is asked.
func welder(s string) (string, error) {
	if no := logbook.NoName(s); no != "" {
		return s, errors.New(no)
	}
	return s, nil
}

func unitFields(i int, last logbook.Shift) []form.Field {
	var u logbook.Unit
	if i < len(last.Units) {
		u = last.Units[i]
	}
	again, skip := more("control unit", i, len(last.Units))
	item := func(s string) string { return fmt.Sprintf("unit %d %s", i, s) }
	corrects := form.Of(logbook.FieldCorrects).Unless(skip)
	corrects.Item, corrects.Offer = item("corrects"), string(u.Corrects)
	corrects.Hint = "Many do. The time of a band that is keyed into one is corrected twice (common practice). See the unit's own instructions."
	fields := []form.Field{
		{Item: item("serial"), Label: fmt.Sprintf("control unit %d: serial", i+1), Manner: form.Text, Offer: u.Serial, Skip: skip, Scan: true},
		{Item: item("calibrated"), Label: "last calibrated (YYYY-MM-DD)", Manner: form.Text, Offer: u.Calibrated, Blank: true, Skip: skip, Check: date},
		corrects,
	}
	if i < mostUnits-1 {
		fields = append(fields, again)
	}
	return fields
}

func date(s string) (string, error) {
	if s == "" {
		return "", nil
	}
	if _, err := time.Parse("2006-01-02", s); err != nil {
		return "", fmt.Errorf("%q is no date: write it as 2026-03-09", s)
	}
	return s, nil
}

func weatherFields(last logbook.Weather) []form.Field {
	sky, shelter := form.Choose("sky", "weather", logbook.Skies), form.Choose("shelter", "shelter", logbook.Shelters)
	sky.Offer, shelter.Offer = last.Sky, last.Shelter
	return []form.Field{sky, shelter}
}

func startShift(env shell.Env, a form.Answers) {
	b := logbook.ShiftStarted{
		Day: env.Now.Local().Format("2006-01-02"), Generator: a.V("generator"), Thermometer: a.V("thermometer"),
		Weather: logbook.Weather{Sky: a.V("sky"), Shelter: a.V("shelter")}, DatesAsked: true,
	}
	for i := range mostOperators {
		item := func(s string) string { return a.V(fmt.Sprintf("operator %d %s", i, s)) }
		if name := item("name"); name != "" {
			b.Operators = append(b.Operators, logbook.Operator{Name: name, Mark: initials(name), Number: item("number"), Expiry: item("expiry")})
		}
	}
	for i := range mostUnits {
		item := func(s string) string { return a.V(fmt.Sprintf("unit %d %s", i, s)) }
		if serial := item("serial"); serial != "" {
			b.Units = append(b.Units, logbook.Unit{Serial: serial, Calibrated: item("calibrated"), Corrects: logbook.YesNo(item("corrects"))})
		}
	}
	for _, f := range []string{"generator", "thermometer", "sky", "shelter"} {
		b.Answers = append(b.Answers, a[f])
	}
	env.By = b.Operators[0].Name
	env.Do.By(env.By)
	form.Saves(env, "shift started", func(h acts.Head) acts.Act { return acts.StartShift(h, b) })
}

// initials are the mark that goes on the pipe.
func initials(name string) string {
	var b strings.Builder
	for _, word := range strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) }) {
		b.WriteRune(unicode.ToUpper([]rune(word)[0]))
	}
	return b.String()
}

// newWeather changes weather and shelter from now on.
func newWeather(env shell.Env) shell.Screen {
	return form.Ask{
		About: "weather",
		Title: "Weather and shelter from now on",
		Form:  form.New(weatherFields(env.Shift.Weather)),
		Done: func(env shell.Env, a form.Answers) {
			w := logbook.Weather{Sky: a.V("sky"), Shelter: a.V("shelter")}
			form.Saves(env, "weather", func(h acts.Head) acts.Act { return acts.ChangeWeather(h, w) })
		},
	}
}
