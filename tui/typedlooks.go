package tui

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/plan"
	"coolhold/tui/form"
)

// looks asks what the client wants looked at before a chamber is welded and before the
// cover, with the figures that it is held against. Most sites want none of it.
func (j jobTyping) looks() part {
	return part{
		title: "Looked at before welding and the cover", yes: "this is to be looked at",
		text:   "What the client wants looked at and recorded: it is asked at each chamber and trench, and is a query until it was.",
		fields: func(form.Answers) []form.Field { return j.looksFields() },
	}
}

func (j jobTyping) looksFields() []form.Field {
	height := func(line, item, label string) form.Field {
		return form.Field{
			Item: item, Label: label, Hint: "Enter alone: it is not set out.", Manner: form.Number, Blank: true, Check: form.Within(plan.SaneHeight),
			Skip: func(a form.Answers) bool { return !looksFor(a, line) },
		}
	}
	fields := []form.Field{
		looksField("before welding", "before a chamber is welded", plan.KnownBeforeWelding),
		looksField("before cover", "before the cover", plan.KnownBeforeCover),
		{
			Item: "least", Label: "least cover over the pipe, m", Hint: "Enter alone: the client states none.", Manner: form.Number, Blank: true, Check: form.Within(plan.SaneCover),
			Skip: func(a form.Answers) bool { return !looksFor(a, coverLevel) },
		},
		{
			Item: "within", Label: "how far a height may lie from its set-out, m", Hint: "Enter alone: the client states none.", Manner: form.Number, Blank: true, Check: form.Within(plan.SaneWithin),
			Skip: func(a form.Answers) bool { return !looksFor(a, chamberLevel) && !looksFor(a, lidHeight) },
		},
	}
	for i, c := range j.chambers {
		name := "chamber " + c.V("chamber")
		fields = append(fields, height(chamberLevel, levelItem(i), name+": its level as set out, m"), height(lidHeight, lidItem(i), name+": height of its lid as set out, m"))
	}
	return fields
}

// Lines that have figures, as a plan calls them.
const (
	coverLevel   = "cover level"
	chamberLevel = "chamber level"
	lidHeight    = "lid height"
)

func levelItem(chamber int) string { return fmt.Sprintf("level %d", chamber) }
func lidItem(chamber int) string   { return fmt.Sprintf("lid %d", chamber) }

// looksField asks for some of a list by their numbers.
func looksField(item, label string, list []string) form.Field {
	var hint []string
	for i, line := range list {
		hint = append(hint, fmt.Sprintf("%d %s", i+1, line))
	}
	return form.Field{
		Item: item, Label: label, Hint: strings.Join(hint, " · ") + ". Numbers with a blank between; Enter alone: nothing.",
		Manner: form.Text, Blank: true, Keep: true, Check: listOf(form.Whole(1, len(list), "")),
		Says: func(v string) string { return strings.Join(ofList(list, v), ", ") },
	}
}

// ofList are the lines of a list by their numbers, each once, in the list's order.
func ofList(list []string, numbers string) (out []string) {
	for i, line := range list {
		if slices.Contains(ints(numbers), i+1) {
			out = append(out, line)
		}
	}
	return out
}

func looksFor(a form.Answers, line string) bool {
	return slices.Contains(ofList(plan.KnownBeforeWelding, a.V("before welding")), line) || slices.Contains(ofList(plan.KnownBeforeCover, a.V("before cover")), line)
}

// looked is a plan with what is to be looked at.
func (j jobTyping) looked(p plan.Plan) plan.Plan {
	a := j.look
	p.BeforeWelding, p.BeforeCover = ofList(plan.KnownBeforeWelding, a.V("before welding")), ofList(plan.KnownBeforeCover, a.V("before cover"))
	if least := numOf(a, "least"); least != nil {
		p.LeastCoverM = *least
	}
	if within := numOf(a, "within"); within != nil {
		p.SetOutWithinM = *within
	}
	for i := range p.Chambers {
		p.Chambers[i].LevelM, p.Chambers[i].LidM = numOf(a, levelItem(i)), numOf(a, lidItem(i))
	}
	return p
}

// looksLine is what is to be looked at, in a line.
func (j jobTyping) looksLine() string {
	p := j.looked(plan.Plan{})
	says := func(what string, list []string) string {
		if len(list) == 0 {
			return ""
		}
		return what + ": " + strings.Join(list, ", ")
	}
	return logbook.Joined("; ", says("before welding", p.BeforeWelding), says("before the cover", p.BeforeCover), says("heights not asked yet", j.heightsUnasked()))
}

// heightsUnasked are the chambers that were typed after what is looked at in them.
func (j jobTyping) heightsUnasked() (names []string) {
	for i, c := range j.chambers {
		_, level := j.look[levelItem(i)]
		_, lid := j.look[lidItem(i)]
		if looksFor(j.look, chamberLevel) && !level || looksFor(j.look, lidHeight) && !lid {
			names = append(names, "chamber "+c.V("chamber"))
		}
	}
	return names
}
