package desk

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

const coverCaution = "As far as the record shows. The pressure test, the site's rules and the client's own inspection come first."

// cover lists the chambers and runs with what is missing in each. Its cursor
// follows a section.
type cover struct{ at string }

// newCover lists the chambers and runs with what is missing in each.
func newCover(shell.Env) shell.Screen { return cover{} }

// Update chooses a section and opens it.
func (s cover) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	parts := ahead.Sections(env.Book, env.Site.ID)
	list := s.list(env, parts)
	switch by := shell.Chooses(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.at = list.Move(s.at, by)
	case shell.Is(key, shell.Enter) && len(parts) > 0:
		env.Do.Push(coverPart{name: parts[list.Index(s.at)].Name})
	}
	return s
}

func (s cover) list(env shell.Env, parts []ahead.Section) widget.List {
	var rows []widget.Row
	for _, p := range parts {
		says := logbook.Clean(strings.Join(covering(env, p).Lines(), "; "))
		for _, l := range hanging(widget.Pad(logbook.Clean(p.Name), 12)+" ", says, env.W-3) {
			rows = append(rows, widget.Row{Key: p.Name, Text: func() string { return l }})
		}
	}
	return env.List(rows)
}

// View draws a line or more a section.
func (s cover) View(env shell.Env) string {
	head := append([]string{env.Style.Bold(" Covering with ground")}, hanging(" ", coverCaution, env.W)...)
	head = append(append(head, lost(env)...), "")
	list := s.list(env, ahead.Sections(env.Book, env.Site.ID))
	return strings.Join(append(head, list.View(s.at, env.H-len(head))...), "\n")
}

// Keys are the list's.
func (s cover) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("↑↓", "choose"), shell.On("Enter", "open"), shell.Back}
}

// Topic is that of its page.
func (s cover) Topic(shell.Env) string { return "cover" }

// Takes wants no scan.
func (s cover) Takes(shell.Env) shell.Taking { return shell.NoScan }

// lost says that pressure was lost and no repair is recorded.
func lost(env shell.Env) []string {
	text := ahead.LossLine(ahead.OpenLosses(env.Book, env.Site))
	if text == "" {
		return nil
	}
	var out []string
	for _, l := range hanging(" ", logbook.Clean(text), env.W) {
		out = append(out, env.Style.Warn(l))
	}
	return out
}

func covering(env shell.Env, p ahead.Section) audit.Covering {
	return audit.CoveringOf(env.Book, env.Audit, p)
}

// coverPart is one section: its joints with what each lacks.
type coverPart struct {
	name string
	top  widget.Scroll
}

func (s coverPart) section(env shell.Env) ahead.Section {
	for _, p := range ahead.Sections(env.Book, env.Site.ID) {
		if p.Name == s.name {
			return p
		}
	}
	return ahead.Section{Name: s.name}
}

// Update reads, and opens the form that says that it was covered.
func (s coverPart) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	switch {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case shell.Digit(key) == 1:
		env.Do.Push(newCovered(env, s, false))
	case shell.Digit(key) == 2:
		env.Do.Push(newCovered(env, s, true))
	case shell.Digit(key) == photoKey:
		env.Do.Push(photoOf(binding{of: s.name, file: logbook.Enclosed{Part: s.name}}))
	case shell.Digit(key) == 3 && covering(env, s.section(env)).Covered != nil:
		env.Do.Push(takeCoverBack(*covering(env, s.section(env)).Covered))
	case (shell.Digit(key) == 4 || shell.Digit(key) == 5) && s.asks(env):
		env.Do.Push(groundAsked(env, s.section(env)).screen(env, shell.Digit(key) == 5))
	case shell.Digit(key) == 6 && s.looked(env):
		env.Do.Push(takeGroundBack(env, s.name))
	default:
		head, rows := s.lines(env)
		room := env.H - len(head)
		s.top = s.top.Move(shell.Reads(key, room), len(rows), room)
	}
	return s
}

// View draws what stands of the section, then each joint.
func (s coverPart) View(env shell.Env) string {
	head, rows := s.lines(env)
	return strings.Join(append(head, s.top.View(rows, env.H-len(head), env.Style.Dim)...), "\n")
}

func (s coverPart) lines(env shell.Env) (head, rows []string) {
	p := s.section(env)
	stands := covering(env, p)
	head = append(head, env.Style.Bold(widget.Cut(logbook.Clean(" Covering "+p.Name), env.W)))
	for _, says := range stands.Lines() {
		head = append(head, hanging(" ", logbook.Clean(says), env.W)...)
	}
	head = append(append(append(head, hanging(" ", coverCaution, env.W)...), lost(env)...), "")
	column := env.JointColumn()
	for _, j := range p.Joints {
		rows = append(rows, widget.Cut(logbook.Clean("   "+widget.Columns([]int{column, 16}, j.Label, j.Fitting, string(env.Audit.StateOf(j)))), env.W))
		for _, l := range stands.Missing {
			if l.Joint == j.Label {
				rows = append(rows, lackLines(env, column, l)...)
			}
		}
	}
	for _, l := range stands.Missing {
		if l.Beside {
			rows = append(rows, hanging("   ", logbook.Clean(l.Joint+" "+strings.Join(l.Says, "; ")), env.W)...)
		}
	}
	for _, l := range enclosedLines(env.Site, ofPart(s.name)) {
		rows = append(rows, hanging("   enclosed ", logbook.Clean(l), env.W)...)
	}
	return head, append(append(rows, groundRows(env, stands)...), lookRows(env, s.name)...)
}

// asks tells whether there is something to look at in the section.
func (s coverPart) asks(env shell.Env) bool {
	return len(groundAsked(env, s.section(env)).stages) > 0
}

// looked tells whether a look at the section is recorded that could be taken back.
func (s coverPart) looked(env shell.Env) bool {
	_, found := env.Site.GroundOf(s.name)
	return found
}

func lackLines(env shell.Env, column int, l audit.Lack) []string {
	var out []string
	for _, says := range l.Says {
		out = append(out, hanging(strings.Repeat(" ", column+4), logbook.Clean(says), env.W)...)
	}
	return out
}

// Keys are the section's.
func (s coverPart) Keys(env shell.Env) shell.Keys {
	return shell.Keys{
		shell.On("1", "it was covered"), shell.On("2", "another day"),
		shell.When(covering(env, s.section(env)).Covered != nil, shell.On("3", "take back")),
		shell.When(s.asks(env), shell.On("4", "looked at")), shell.When(s.asks(env), shell.On("5", "seen earlier")),
		shell.When(s.looked(env), shell.On("6", "look back")),
		shell.On("0", "photo"), shell.On("↑↓ PgDn", "read"), shell.Back,
	}
}

// Topic is that of its page.
func (s coverPart) Topic(shell.Env) string { return "cover" }

// Takes wants no scan.
func (s coverPart) Takes(shell.Env) shell.Taking { return shell.NoScan }

const (
	notCovered = "it is not covered: go back"
	coveredAll = "covered all the same"
)

// newCovered asks who says that a section was covered. Where joints are missing
// it names them first: what has happened is recorded all the same. Where it was on
// another day than it is said, that is asked.
func newCovered(env shell.Env, s coverPart, otherDay bool) shell.Screen {
	now := covering(env, s.section(env))
	var text []string
	if now.Lacking() {
		text = []string{logbook.Clean(now.Lacks())}
	}
	return form.Ask{
		About: "covered",
		Title: s.name + " was covered",
		Text:  func(shell.Env) []string { return text },
		Form: form.New([]form.Field{
			{Item: "all the same", Label: "not all is settled there", Manner: form.Choice, Options: []string{coveredAll, notCovered}, Skip: func(form.Answers) bool { return !now.Lacking() }},
			{Item: "on", Label: "covered on (YYYY-MM-DD)", Manner: form.Text, Check: dayUpTo(env), Skip: func(a form.Answers) bool { return !otherDay || a.V("all the same") == notCovered }},
			{Item: "by", Label: "covered by (name)", Manner: form.Text, Skip: func(a form.Answers) bool { return a.V("all the same") == notCovered }},
		}),
		Done: func(env shell.Env, a form.Answers) {
			same := a.V("all the same")
			if same == notCovered {
				return
			}
			env.By = a.V("by")
			form.Saves(env, s.name+" covered", func(h acts.Head) acts.Act {
				return acts.CoverSectionOn(h, env.Beat, now, a.V("on"), same == coveredAll)
			})
		},
	}
}

// dayUpTo takes a date up to today.
func dayUpTo(env shell.Env) func(string) (string, error) {
	today := env.Now.Local().Format(time.DateOnly)
	return func(s string) (string, error) {
		if _, err := time.Parse(time.DateOnly, s); err != nil {
			return "", fmt.Errorf("%q is no date: write it as 2026-03-09", s)
		}
		if s > today {
			return "", fmt.Errorf("%s is still to come: today is %s", s, today)
		}
		return s, nil
	}
}

// takeCoverBack asks who says that a section was not covered, and why.
func takeCoverBack(k logbook.Cover) shell.Screen {
	return form.Ask{
		About: "covered",
		Title: k.Section + " was not covered: take it back",
		Text: func(shell.Env) []string {
			return []string{logbook.Clean("It was said by " + k.By + ", " + k.When("2 Jan 2006") + ". Both stay in the log. What was covered and is dug up again is no mistake: say that it was dug up.")}
		},
		Form: form.New([]form.Field{
			form.Reason("why", "why it is taken back", logbook.WhyCoverTakenBack),
			{Item: "by", Label: "said by (name)", Manner: form.Text},
		}),
		Done: func(env shell.Env, a form.Answers) {
			env.By = a.V("by")
			form.Saves(env, "cover taken back", func(h acts.Head) acts.Act { return acts.UncoverSection(h, k, a.V("why")) })
		},
	}
}
