package desk

import (
	"fmt"
	"slices"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// groundRows are what is looked at in a section before welding and cover, and what was.
func groundRows(env shell.Env, stands audit.Covering) (rows []string) {
	for _, l := range stands.Looked {
		for i, line := range hanging("   ", logbook.Clean(l.Listed()), env.W) {
			if rows == nil && i == 0 {
				rows = append(rows, "")
			}
			if l.Open() {
				line = env.Style.Warn(line)
			}
			rows = append(rows, line)
		}
	}
	if says := stands.Untested(); says != "" {
		rows = append(rows, "   "+says)
	}
	return rows
}

// lookRows are all looks at a section as they were said, the newest first, those too that
// were taken back.
func lookRows(env shell.Env, part string) (rows []string) {
	for _, g := range slices.Backward(env.Site.Ground) {
		if g.Section != part {
			continue
		}
		says := g.At.Local().Format("2 Jan 15:04") + " " + g.By + ": " + g.Line()
		if w := g.Withdrawn; w != nil {
			says += "; taken back by " + w.By + ": " + w.Why
		}
		rows = append(rows, hanging("   ", logbook.Clean(says), env.W)...)
	}
	if len(rows) > 0 {
		rows = append([]string{"", "   every look, the newest first:"}, rows...)
	}
	return rows
}

// measuredFrom is asked once for each offset.
const measuredFrom = "from which fixed point, and to what"

// groundAsked is what the plan wants looked at in a section and is not recorded as it should
// be, or all of that once more where nothing is left. Where it wants nothing each line is
// asked.
func groundAsked(env shell.Env, section ahead.Section) groundAsk {
	ground := ahead.GroundOf(env.Book, env.Site, section)
	a := groundAsk{section: section, lines: map[logbook.GroundStage][]ahead.Looked{}}
	for _, stage := range []logbook.GroundStage{logbook.GroundWelding, logbook.GroundCovered} {
		if a.lines[stage] = asked(ground, stage); len(a.lines[stage]) > 0 {
			a.stages = append(a.stages, string(stage))
		}
	}
	if len(a.stages) == 0 {
		a.all(section)
	}
	return a
}

// all asks every line that a section can have: the plan wants none of them, and what was
// looked at is recorded all the same.
func (a *groundAsk) all(section ahead.Section) {
	if len(section.Joints) == 0 {
		return
	}
	chamber := section.Joints[0].Chamber != ""
	var lines []ahead.Looked
	for _, o := range logbook.GroundLines.List {
		if o.Code != logbook.GroundPhoto && (chamber || !logbook.OnlyChamber(o.Code)) && (section.Loops || o.Code != logbook.GroundRoutes) {
			lines = append(lines, ahead.Looked{Line: o.Code})
		}
	}
	a.unasked = true
	for _, stage := range []logbook.GroundStage{logbook.GroundWelding, logbook.GroundCovered} {
		a.lines[stage], a.stages = lines, append(a.stages, string(stage))
	}
}

// screen asks what was seen. Nothing has a default.
func (a groundAsk) screen(env shell.Env, earlier bool) shell.Screen {
	return form.Ask{
		About: "ground",
		Title: "Looked at " + a.section.Name,
		Text: func(shell.Env) []string {
			if a.unasked {
				return []string{"The plan wants nothing looked at here: what is seen is recorded all the same. The site's drawings and rules come first."}
			}
			return []string{"What the plan wants looked at, as it is seen. The site's drawings and rules come first. A photo is enclosed for the section."}
		},
		Form: form.New(a.fields(env, earlier)),
		Done: func(env shell.Env, given form.Answers) {
			b := a.checked(given)
			if earlier {
				at, _, _ := form.Stated(env, given.V("at"))
				b.Stated = &at
			}
			saveAs(env, given, a.section.Name+" looked at", func(h acts.Head) acts.Act { return acts.CheckGround(h, b) })
		},
	}
}

// asked are the lines of a stage that a form asks.
func asked(g ahead.Ground, stage logbook.GroundStage) []ahead.Looked {
	form := func(lines []ahead.Looked) []ahead.Looked {
		return slices.DeleteFunc(slices.Clone(lines), func(l ahead.Looked) bool { return l.Line == logbook.GroundPhoto })
	}
	if open := form(g.Wants(stage)); len(open) > 0 {
		return open
	}
	return form(g.Required(stage))
}

// A groundAsk is what is asked of a section, by stage.
type groundAsk struct {
	section ahead.Section
	unasked bool // the plan wants nothing
	stages  []string
	lines   map[logbook.GroundStage][]ahead.Looked
}

// stage is the one that was answered; the only one is not asked for.
func (a groundAsk) stage(given form.Answers) logbook.GroundStage {
	if len(a.stages) == 1 {
		return logbook.GroundStage(a.stages[0])
	}
	return logbook.GroundStage(given.V("stage"))
}

// has tells whether a line is asked before what was answered.
func (a groundAsk) has(given form.Answers, code string) bool {
	return slices.ContainsFunc(a.lines[a.stage(given)], func(l ahead.Looked) bool { return l.Line == code })
}

func (a groundAsk) unless(code string) func(form.Answers) bool {
	return func(given form.Answers) bool { return !a.has(given, code) }
}

func (a groundAsk) fields(env shell.Env, earlier bool) []form.Field {
	fields := []form.Field{{
		Item: "stage", Label: "looked at", Manner: form.Choice, Options: a.stages, Says: logbook.GroundStages.Word,
		Skip: func(form.Answers) bool { return len(a.stages) == 1 },
	}}
	if earlier {
		fields = append(fields, form.Field{Item: "at", Label: "seen at (HH:MM, or YYYY-MM-DD HH:MM)", Manner: form.Text, Check: pastMinute(env)})
	}
	var lines []form.Line
	var figures []form.Field
	for _, l := range logbook.GroundAsked {
		ask := form.Choose(l.Code, l.Ask, logbook.GroundFacts)
		ask.Options = l.Answers()
		lines = append(lines, form.Line{Field: ask, Well: logbook.Yes}.Unless(a.unless(l.Code)))
		if l.Figure != "" {
			figures = append(figures, figureField(l.Code+" m", a.figureLabel(l), *l.In).Unless(func(given form.Answers) bool {
				return !a.has(given, l.Code) || !(logbook.GroundSeen{State: given.V(l.Code)}).Says()
			}))
		}
	}
	card := form.Card("card", "as it should be", lines...)
	card.Skip = func(given form.Answers) bool {
		return !slices.ContainsFunc(logbook.GroundAsked, func(l logbook.GroundLine) bool { return a.has(given, l.Code) })
	}
	fields = append(append(fields, card), figures...)
	for n := range logbook.OffsetsWanted {
		fields = append(fields, a.offset(n)...)
	}
	return append(fields,
		form.Field{Item: "routes", Label: "loop routes, in words", Manner: form.Text, Usual: []string{logbook.UnknownWord}, Skip: a.unless(logbook.GroundRoutes)},
		form.Field{Item: "text", Label: "remark", Manner: form.Text, Blank: true},
		whose(""),
	)
}

// figureLabel names a figure with what the plan states for it.
func (a groundAsk) figureLabel(l logbook.GroundLine) string {
	label := l.Figure + " as measured (m)"
	for _, lines := range a.lines {
		for _, asked := range lines {
			if figure := asked.Wanted(); asked.Line == l.Code && figure != "" {
				return fmt.Sprintf("%s as measured (m; %s)", l.Figure, figure)
			}
		}
	}
	return label
}

// offset asks one distance, then from where. Where none was measured no other is asked.
func (a groundAsk) offset(n int) []form.Field {
	metres := func(i int) string { return fmt.Sprintf("offset %d", i+1) }
	skip := func(given form.Answers) bool {
		return !a.has(given, logbook.GroundOffsets) || n > 0 && given.V(metres(n-1)) == ""
	}
	return []form.Field{
		figureField(metres(n), fmt.Sprintf("offset %d from a fixed point (m)", n+1), logbook.OffsetBounds).OrNone("not measured").Unless(skip),
		{Item: metres(n) + " from", Label: fmt.Sprintf("offset %d: %s", n+1, measuredFrom), Manner: form.Text, Skip: func(given form.Answers) bool {
			return skip(given) || given.V(metres(n)) == ""
		}},
	}
}

// checked is what was answered.
func (a groundAsk) checked(given form.Answers) logbook.GroundChecked {
	b := logbook.GroundChecked{Section: a.section.Name, Stage: a.stage(given), Text: given.V("text")}
	for _, l := range logbook.GroundAsked {
		if !a.has(given, l.Code) {
			continue
		}
		seen := logbook.GroundSeen{Line: l.Code, State: given.V(l.Code)}
		if l.Figure != "" && seen.Says() {
			seen.M = given.Float(l.Code + " m")
		}
		b.Seen = append(b.Seen, seen)
	}
	for n := range logbook.OffsetsWanted {
		item := fmt.Sprintf("offset %d", n+1)
		if m := given.Float(item); m != nil && a.has(given, logbook.GroundOffsets) {
			b.Offsets = append(b.Offsets, logbook.Offset{From: given.V(item + " from"), M: *m})
		}
	}
	if routes := given.V("routes"); routes != logbook.UnknownWord && a.has(given, logbook.GroundRoutes) {
		b.Routes = routes
	}
	return b
}

// takeGroundBack asks who takes the newest look at a section back, and why.
func takeGroundBack(env shell.Env, part string) shell.Screen {
	now, _ := env.Site.GroundOf(part)
	return form.Ask{
		About: "ground",
		Title: part + ": the newest look was said by mistake",
		Text: func(shell.Env) []string {
			return []string{logbook.Clean(now.Line() + ", by " + now.By + ". Both stay in the log, and what was seen before counts again.")}
		},
		Form: form.New([]form.Field{form.Reason("why", "why it is taken back", logbook.WhyTakenBack), whose("")}),
		Done: func(env shell.Env, a form.Answers) {
			saveAs(env, a, part+": look taken back", func(h acts.Head) acts.Act { return acts.WithdrawGround(h, part, now.Seq, a.V("why")) })
		},
	}
}
