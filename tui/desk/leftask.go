package desk

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// nothingSaid is chosen where a person says nothing of a thing: then it is not recorded.
const nothingSaid = "nothing is said of it"

// noValve is chosen where no valve was left shut.
const noValve = logbook.ShutNone

// askLeft asks how a section was left, one of several where that is not chosen yet. No
// question has a default, and each can be passed by: what is not said is not recorded.
func askLeft(env shell.Env, sections []ahead.TestSection, by string) shell.Screen {
	title := "How it was left"
	if len(sections) == 1 {
		title = "How " + sections[0].Name + " was left"
	}
	return form.Ask{
		About: "left",
		Title: title,
		Text: func(shell.Env) []string {
			return []string{"For whoever works on it next. What is not said is not recorded, and the plumber's leaf says so. Each thing stands until it is said anew."}
		},
		Form: form.New(leftFields(env, sections, by)),
		Done: func(env shell.Env, a form.Answers) {
			section := leftSection(sections, a)
			b := leftOf(section.ID, a)
			saveAs(env, a, "how "+section.Name+" was left", func(h acts.Head) acts.Act { return acts.LeaveAs(h, b) })
		},
	}
}

// leftSection is the section that is spoken of.
func leftSection(sections []ahead.TestSection, a form.Answers) ahead.TestSection {
	for _, t := range sections {
		if len(sections) == 1 || t.Name == a.V("section") {
			return t
		}
	}
	return ahead.TestSection{}
}

func leftFields(env shell.Env, sections []ahead.TestSection, by string) []form.Field {
	names := byWidth(sections)
	unless := func(is func(logbook.SectionID) bool) func(form.Answers) bool {
		return func(a form.Answers) bool { return !is(leftSection(sections, a).ID) }
	}
	header := unless(func(id logbook.SectionID) bool { return id.Way != "" })
	circuit := unless(func(id logbook.SectionID) bool { return id.Circuit > 0 })
	whole := unless(func(id logbook.SectionID) bool { return id == logbook.SectionID{} })
	wide := unless(func(id logbook.SectionID) bool { return id.Circuit == 0 && id.Way == "" })
	off := func(a form.Answers) bool { return a.V("pressure") != logbook.PressureStands }
	unsaid := func(a form.Answers) bool { return a.V("pressure") == nothingSaid || a.V("pressure") == logbook.Unseen }
	nobody := func(a form.Answers) bool { return whole(a) || a.V("call") == "" || a.V("call") == nothingSaid }
	pressure := form.Choose("pressure", "pressure", logbook.Standings)
	pressure.Options = append(slices.Clone(pressure.Options), nothingSaid)
	bar := figureField("bar", "left standing, at the gauge (bar)", logbook.LeftBounds)
	return []form.Field{
		{Item: "section", Label: "of what", Manner: form.Choice, Options: names, Skip: func(form.Answers) bool { return len(sections) == 1 }},
		form.Field{Item: "end", Label: "how it ends in the plant room", Manner: form.Text, Usual: []string{"capped", "flange", "elbow", nothingSaid}, Skip: header},
		words("mark", "how it is marked there").Unless(header),
		pressure,
		bar.Unless(off),
		words("gauge", "read from which gauge").Unless(unsaid),
		form.Field{Item: "shut", Label: "valves left shut (names, commas between them)", Manner: form.Text, Usual: []string{noValve, nothingSaid}},
		words("open", "valves left open (names, commas between them)"),
		words("caps", "caps and plugs: where"),
		words("fill", "where it is filled").Unless(wide), words("purge", "where it is purged").Unless(wide),
		figureField("lpm", "flow as set by hand (L/min)", logbook.FlowBounds).OrNone(nothingSaid).Unless(circuit),
		called(env).Unless(whole), words("phone", "on which number").Unless(nobody), words("firm", "of which firm").Unless(nobody),
		words("text", "what else"),
		whose(by),
	}
}

// byWidth are names of sections, all of it first: of it most is said.
func byWidth(sections []ahead.TestSection) (names []string) {
	for _, is := range []func(logbook.SectionID) bool{
		func(id logbook.SectionID) bool { return id == logbook.SectionID{} },
		func(id logbook.SectionID) bool { return id.Chamber != "" && id.Circuit == 0 && id.Way == "" },
		func(id logbook.SectionID) bool { return id.Way != "" },
		func(id logbook.SectionID) bool { return id.Circuit > 0 },
	} {
		for _, t := range sections {
			if is(t.ID) {
				names = append(names, t.Name)
			}
		}
	}
	return names
}

// words asks for words that may be left out by a digit.
func words(item, label string) form.Field {
	return form.Field{Item: item, Label: label, Manner: form.Text, Usual: []string{nothingSaid}}
}

// called asks who is to be called: one of the site's people by a digit, or a name.
func called(env shell.Env) form.Field {
	f := words("call", "who is to be called (name)")
	for _, p := range env.People() {
		f.Usual = append(f.Usual, p.Label())
	}
	f.Usual = f.Usual[:min(len(f.Usual), form.MostUsual)]
	f.Check = func(said string) (string, error) {
		if !logbook.IsName(said) {
			return "", fmt.Errorf("%q is no name: write at least %d letters of it", said, logbook.NameLeast)
		}
		return said, nil
	}
	return f
}

// leftOf is what was said of how a section was left, from the answers of a form.
func leftOf(id logbook.SectionID, a form.Answers) logbook.LeftAs {
	said := func(item string) string {
		if a.V(item) == nothingSaid {
			return ""
		}
		return a.V(item)
	}
	b := logbook.LeftAs{
		Section: id, Bar: a.Float("bar"), Gauge: said("gauge"), Caps: said("caps"), Fill: said("fill"), Purge: said("purge"),
		LPM: a.Float("lpm"), End: said("end"), Mark: said("mark"), Text: said("text"), Open: strings.Split(said("open"), ","),
	}
	if a.V("pressure") != nothingSaid {
		b.Pressure = a.V("pressure")
	}
	b.NoneShut, b.Shut = acts.ValvesShut(said("shut"))
	if name := said("call"); name != "" {
		b.Call = &logbook.Call{Name: name, Phone: said("phone"), Firm: said("firm")}
	}
	return b
}
