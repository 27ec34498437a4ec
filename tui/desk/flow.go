package desk

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/fusion/loop"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

const loopCaution = "Figures of water in the pipe alone: fittings, valves and hoses take more. Designers decide."

// loops lists circuits and headers, then the larger sections, with what is recorded of
// their flow, purge and fluid. Its cursor follows a section.
type loops struct {
	at  string
	by  string
	ask ahead.PurgeAsk
}

// usualWater is what the water is reckoned at until somebody says: headers carry 8 to 10 °C
// in the season of building (common practice, no source).
const usualWater = 10

// newLoops lists the sections with what was read of them.
func newLoops(env shell.Env) shell.Screen {
	return loops{ask: ahead.PurgeAsk{WaterC: usualWater, Changes: 1, Pump: ahead.LastPump(env.Site)}}
}

// Update chooses a section and opens it.
func (s loops) Update(env shell.Env, msg tea.Msg) shell.Screen {
	s.by = read(s.by, msg)
	pressed, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	sections := ahead.TestSections(env.Sight, env.Site.ID)
	list := s.list(env, sections)
	switch by := shell.Chooses(pressed); {
	case shell.Is(pressed, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.at = list.Move(s.at, by)
	case shell.Is(pressed, shell.Enter) && len(sections) > 0:
		env.Do.Push(loopOf{id: sections[list.Index(s.at)].ID, by: s.by, ask: s.ask})
	case shell.Digit(pressed) == 1:
		env.Do.Push(askPump(s))
	case shell.Digit(pressed) == 2:
		env.Do.Push(newHanded(s.by))
	}
	return s
}

// read is the name to offer next: who said something of the loop last.
func read(by string, msg tea.Msg) string {
	entries, _ := shell.Entries(msg)
	for _, e := range entries {
		switch e.Open().(type) {
		case logbook.FlowChecked, logbook.Purged, logbook.FluidFilled, logbook.LeftAs:
			by = e.By
		}
	}
	return by
}

func (s loops) list(env shell.Env, sections []ahead.TestSection) widget.List {
	column := 12
	for _, t := range sections {
		column = max(column, min(28, widget.Width(t.Name)))
	}
	var rows []widget.Row
	for _, t := range sections {
		for _, l := range hanging(widget.Pad(logbook.Clean(t.Name), column)+" ", logbook.Clean(strings.Join(loopShort(env, t), "; ")), env.W-3) {
			rows = append(rows, widget.Row{Key: t.Name, Text: func() string { return l }})
		}
	}
	return env.List(rows)
}

// loopShort says in a line what is recorded of a section.
func loopShort(env shell.Env, t ahead.TestSection) (says []string) {
	if t.ID.Circuit > 0 {
		if f, found := env.Site.Loop.FlowOf(t.ID); found {
			says = append(says, "flow: "+ahead.FlowStands(env.Site.Loop, f.FlowChecked).Says)
		} else {
			says = append(says, logbook.Joined(": ", "no flow check", ahead.FlowSeenIn(env.Site.Loop, t.ID)))
		}
	}
	if p, found := env.Site.Loop.PurgeOf(t.ID); found {
		lacks := ahead.PurgeLacks(p.Purged, t.WantLPM()).Says()
		if len(lacks) == 0 {
			lacks = []string{p.When().Local().Format("2 January 2006")}
		}
		says = append(says, "purge: "+strings.Join(lacks, ", "))
	} else if t.ID.Circuit > 0 || t.ID.Way != "" {
		says = append(says, "no purge")
	}
	parts := ahead.ContentOfParts(ahead.TestSections(env.Sight, env.Site.ID), env.Site, t)
	if f, found := ahead.ContentOf(env.Site, t); found {
		in := "in it: " + logbook.Contents.Word(f.Content)
		if len(doubts(env, f)) > 0 {
			in += ", in doubt"
		}
		if len(parts) > 0 {
			in += "; since then " + strings.Join(parts, "; ")
		}
		return append(says, in)
	}
	if len(parts) > 0 {
		return append(says, parts...)
	}
	return append(says, "what is in it was not said")
}

// doubts are why what was filled in last may not be all that is in the pipe.
func doubts(env shell.Env, f logbook.Filling) []string {
	t, _ := ahead.TestSectionOf(env.Sight, env.Site.ID, f.Section)
	return ahead.FluidLacks(env.Site, t, f).Doubts()
}

// View draws a line or more a section.
func (s loops) View(env shell.Env) string {
	head := append([]string{env.Style.Bold(" Flow, purge and fluid")}, hanging(" ", loopCaution, env.W)...)
	head = append(append(head, hanging(" ", s.reckoned(), env.W)...), "")
	list := s.list(env, ahead.TestSections(env.Sight, env.Site.ID))
	return strings.Join(append(head, list.View(s.at, env.H-len(head))...), "\n")
}

// Keys are the list's.
func (s loops) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("↑↓", "choose"), shell.On("Enter", "open"), shell.On("1", "water and pump"), shell.On("2", "hand-over"), shell.Back}
}

// Topic is that of its page.
func (s loops) Topic(shell.Env) string { return "loop" }

// Takes wants no scan.
func (s loops) Takes(shell.Env) shell.Taking { return shell.NoScan }

// loopOf is one section: what it wants when it is purged, what is in it, and all that was
// read of it.
type loopOf struct {
	id  logbook.SectionID
	by  string
	ask ahead.PurgeAsk
	top widget.Scroll
}

func (s loopOf) section(env shell.Env) ahead.TestSection {
	t, ok := ahead.TestSectionOf(env.Sight, env.Site.ID, s.id)
	if !ok {
		return ahead.TestSection{ID: s.id, Name: s.id.String()}
	}
	return t
}

// Update records what was read, takes it back, or asks for water and pump.
func (s loopOf) Update(env shell.Env, msg tea.Msg) shell.Screen {
	s.by = read(s.by, msg)
	pressed, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	section := s.section(env)
	switch n := shell.Digit(pressed); {
	case shell.Is(pressed, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case n == 1 && s.id.Circuit > 0:
		env.Do.Push(askFlow(env, section, s.by))
	case n == 2:
		env.Do.Push(askPurge(section, s.by, s.ask.Pump))
	case n == 3:
		env.Do.Push(askFluid(section, s.by))
	case n == 4 && len(s.taken(env)) > 0:
		env.Do.Push(takeLoopBack(env, section, s.taken(env), s.by))
	case n == 5:
		env.Do.Push(askLeft(env, []ahead.TestSection{section}, s.by))
	default:
		head, rows := s.lines(env)
		room := env.H - len(head)
		s.top = s.top.Move(shell.Reads(pressed, room), len(rows), room)
	}
	return s
}

// taken are what can be taken back: "flow", "purge", "fluid", as far as one is recorded.
func (s loopOf) taken(env shell.Env) (what []string) {
	for _, w := range []string{"flow", "purge", "fluid", "left"} {
		if _, found := acts.NewestLoop(env.Book, env.Site.ID, acts.LoopKinds[w], s.id); found {
			what = append(what, w)
		}
	}
	return what
}

// View draws what the section wants, then what was read, the newest first.
func (s loopOf) View(env shell.Env) string {
	head, rows := s.lines(env)
	return strings.Join(append(head, s.top.View(rows, env.H-len(head), env.Style.Dim)...), "\n")
}

func (s loopOf) lines(env shell.Env) (head, rows []string) {
	section := s.section(env)
	head = []string{env.Style.Bold(widget.Cut(" Flow, purge and fluid: "+logbook.Clean(section.Name), env.W))}
	add := func(warn bool, says ...string) {
		for _, l := range says {
			for _, part := range hanging(" ", logbook.Clean(l), env.W) {
				if warn {
					part = env.Style.Warn(part)
				}
				rows = append(rows, part)
			}
		}
	}
	add(false, s.wants(env, section)...)
	parts := ahead.ContentOfParts(ahead.TestSections(env.Sight, env.Site.ID), env.Site, section)
	if in, found := ahead.ContentOf(env.Site, section); found {
		add(false, in.Line()+", by "+in.By)
		if in.Section != s.id { // of its own a finding tells
			add(true, doubts(env, in)...)
		}
	} else if len(parts) == 0 {
		add(false, "What is in it was not said.")
	}
	add(false, parts...)
	for _, f := range env.Audit.Findings {
		if f.Open() && audit.OfLoop(f.Rule) && f.Joint == "" && strings.Contains(f.Says, " "+s.id.String()) {
			add(true, f.Word()+": "+f.Says)
		}
	}
	for _, j := range section.Joints {
		if f, found := env.Audit.Find(audit.FlowCrossed + ":" + j.Label); found && f.Open() {
			add(true, f.Word()+": "+f.Says)
		}
	}
	return head, append(rows, s.told(env)...)
}

// wants is what a circuit or header wants when it is purged.
func (s loopOf) wants(env shell.Env, section ahead.TestSection) []string {
	needs, err := ahead.PurgeNeeds(env.Sight, env.Site.ID, s.ask)
	if err != nil {
		return []string{err.Error()}
	}
	lines := []string{loops{ask: s.ask}.reckoned()}
	for _, n := range needs {
		if n.Section.ID == section.ID {
			n.Purge = nil // told below with the rest
			says := n.Lines()
			return append(lines, says[:len(says)-1]...)
		}
	}
	return []string{ahead.FluidNeedOf(section, nil).Line()}
}

// reckoned says with what water and which pump it is reckoned.
func (s loops) reckoned() string {
	return fmt.Sprintf("Water at %s °C, changed %s, %s.", fusion.Figure(s.ask.WaterC), times(s.ask.Changes), pumpWords(s.ask.Pump))
}

func times(n float64) string {
	if n == 1 {
		return "once"
	}
	return fusion.Figure(n) + " times"
}

func pumpWords(p loop.Pump) string {
	if len(p) == 0 {
		return "no pump given"
	}
	return fmt.Sprintf("a pump of %s to %s L/min", fusion.Figure(p[0].LPM), fusion.Figure(p[len(p)-1].LPM))
}

// told are the readings of the section, the newest first, with what took one back.
func (s loopOf) told(env shell.Env) (rows []string) {
	l := env.Site.Loop
	add := func(id logbook.SectionID, b logbook.Body, by logbook.Signature, when logbook.Timed, back *logbook.Withdrawal) {
		if id != s.id {
			return
		}
		says := when.Local().Format("2 Jan 15:04") + " " + b.Line() + ", by " + by.By
		if back != nil {
			says += "; taken back by " + back.By + ": " + back.Why
		}
		rows = append(hanging(" ", logbook.Clean(says), env.W), rows...)
	}
	for _, f := range l.Lefts {
		add(f.Section, f.LeftAs, f.Signature, f.When(), f.Withdrawn)
	}
	for _, f := range l.Fillings {
		add(f.Section, f.FluidFilled, f.Signature, f.When(), f.Withdrawn)
	}
	for _, p := range l.Purges {
		add(p.Section, p.Purged, p.Signature, p.When(), p.Withdrawn)
	}
	for _, f := range l.Flows {
		add(f.Section, f.FlowChecked, f.Signature, f.When(), f.Withdrawn)
	}
	if len(rows) > 0 {
		rows = append([]string{""}, rows...)
	}
	return rows
}

// Keys are the section's.
func (s loopOf) Keys(env shell.Env) shell.Keys {
	return shell.Keys{
		shell.When(s.id.Circuit > 0, shell.On("1", "flow of it alone")), shell.On("2", "purged"), shell.On("3", "filled"),
		shell.When(len(s.taken(env)) > 0, shell.On("4", "take back")), shell.On("5", "left as"),
		shell.On("↑↓ PgDn", "read"), shell.Back,
	}
}

// Topic is that of its page.
func (s loopOf) Topic(shell.Env) string { return "loop" }

// Takes wants no scan.
func (s loopOf) Takes(shell.Env) shell.Taking { return shell.NoScan }
