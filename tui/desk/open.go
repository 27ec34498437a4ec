package desk

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// open is all that is open on the site as a person reads it: real faults first,
// a formality of one cause as one line. Its cursor follows a finding.
type open struct {
	at   string // key of the finding that tells the chosen line; "" is the first
	rule string // only the findings of this rule, each by itself; "": all, in groups
	by   string // the name last given on the foreman's screens
}

func newOpen(by string) shell.Screen { return open{by: by} }

// Update chooses a line and opens what it is about.
func (s open) Update(env shell.Env, msg tea.Msg) shell.Screen {
	s.by = heard(s.by, msg)
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	groups := s.groups(env)
	list := s.list(env, groups)
	switch by := shell.Chooses(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.at = list.Move(s.at, by)
	case shell.Is(key, shell.Enter) && len(groups) > 0:
		s.enter(env, groups[list.Index(s.at)])
	case shell.Digit(key) == 1 && len(ofSite(env).found) > 0:
		env.Do.Push(site{by: s.by})
	}
	return s
}

// enter goes to where a group is answered: a formality at once, what is alike to
// the list of it, one finding to the page of its weld or joint.
func (s open) enter(env shell.Env, g audit.Group) {
	f := g.First()
	switch several := len(g.Findings) > 1 && f.Rule == g.Findings[1].Rule; {
	case several && g.Once && f.Unanswerable() == "":
		env.Do.Push(acceptingAll(s.by, g))
	case several:
		env.Do.Push(open{rule: f.Rule, by: s.by})
	case f.Weld != "":
		env.Do.Push(Weld{id: f.Weld, by: s.by})
	case f.Joint != "":
		j := env.Joint(f.Joint)
		env.Do.Push(Weld{id: j.Stands, label: j.Label, by: s.by})
	case env.Audit.TestIn(f) != "" && f.Work: // done on the test's own pages
		env.Do.Push(pressureTest{id: env.Audit.TestIn(f), by: s.by})
	case f.Rule == audit.GroundToLook:
		env.Do.Push(coverPart{name: f.Part})
	case f.Rule == audit.TestMissing:
		env.Do.Push(pressures{by: s.by})
	case f.Unanswerable() == "": // of the site as a whole
		env.Do.Push(acceptingOne(s.by, g))
	default:
		env.Do.Push(site{by: s.by})
	}
}

func (s open) groups(env shell.Env) []audit.Group {
	found := env.Audit.Open()
	if s.rule == "" {
		return audit.Groups(found)
	}
	return audit.Singly(slices.DeleteFunc(found, func(f audit.Finding) bool { return f.Rule != s.rule }))
}

func (s open) list(env shell.Env, groups []audit.Group) widget.List {
	var rows []widget.Row
	for _, g := range groups {
		paint := env.Style.Warn
		if f := g.First(); f.Work || f.Cause != "" {
			paint = nil
		}
		for _, l := range hanging(widget.Pad(g.First().Word(), 6), logbook.Clean(g.Says()), env.W-3) {
			rows = append(rows, widget.Row{Key: g.First().Key, Text: func() string { return l }, Paint: paint})
		}
	}
	if len(groups) == 0 {
		rows = append(rows, widget.Row{Text: func() string {
			return " Nothing is open: every query is answered, and every joint that is being built has its weld."
		}})
	}
	return env.List(rows)
}

// View draws the list, and under it what to do about the chosen line.
func (s open) View(env shell.Env) string {
	groups := s.groups(env)
	n := 0
	for _, g := range groups {
		n += g.Counts()
	}
	title := fmt.Sprintf(" What is open on the site: %s", logbook.Count(n, "finding"))
	if len(groups) < n {
		title += fmt.Sprintf(" in %s", logbook.Count(len(groups), "line"))
	}
	if s.rule != "" && n > 0 {
		title = fmt.Sprintf(" %d of one kind, each decided by itself", n)
	}
	head := []string{env.Style.Bold(widget.Cut(title, env.W)), ""}
	list := s.list(env, groups)
	var foot []string
	if len(groups) > 0 {
		g := groups[list.Index(s.at)]
		foot = append(foot, "")
		for _, l := range widget.CutBelow(hanging(" To do: ", logbook.Clean(g.Do()), env.W), 2, env.W) {
			foot = append(foot, env.Style.Dim(l))
		}
	}
	rows := list.View(s.at, env.H-len(head)-len(foot))
	return strings.Join(append(append(head, rows...), foot...), "\n")
}

// Keys are the list's.
func (s open) Keys(env shell.Env) shell.Keys {
	return shell.Keys{
		shell.On("↑↓", "choose"), shell.When(len(s.groups(env)) > 0, shell.On("Enter", "read and decide")),
		shell.When(len(ofSite(env).found) > 0, shell.On("1", "the site as a whole")), shell.Back,
	}
}

// Topic is that of its page.
func (s open) Topic(shell.Env) string { return "open" }

// Takes wants no scan.
func (s open) Takes(shell.Env) shell.Taking { return shell.NoScan }

// acceptingOne asks for the name and the reason that settle a finding of the site as
// a whole.
func acceptingOne(by string, g audit.Group) shell.Screen {
	f := g.First()
	return acceptingAs(by, g, "Accept a finding on the site", "accepted",
		logbook.Clean(f.Says), "To do: "+logbook.Clean(f.Do)+".", "Basis: "+f.Basis)
}

// acceptingAll asks once for what one cause made on many welds.
func acceptingAll(by string, g audit.Group) shell.Screen {
	f, n := g.First(), len(g.Findings)
	welds := make([]string, n)
	for i, f := range g.Findings {
		welds[i] = f.Weld
	}
	return acceptingAs(by, g, fmt.Sprintf("Accept a formality on %d welds", n), fmt.Sprintf("formality accepted on %d welds", n),
		logbook.Clean(f.Says), "The same holds of "+logbook.Clean(audit.Runs(welds))+".", "Basis: "+f.Basis,
		"Your name stands under each of them. What changes on one is open again there.")
}

func acceptingAs(by string, g audit.Group, title, label string, text ...string) shell.Screen {
	return form.Ask{
		About: "accept",
		Title: title,
		Text:  func(shell.Env) []string { return text },
		Form:  form.New([]form.Field{whose(by), form.Reason("why", "reason", logbook.WhyAccepted)}),
		Done: func(env shell.Env, a form.Answers) {
			saveAs(env, a, label, func(h acts.Head) acts.Act { return acts.AcceptAll(h, env.Beat, g.Judged(), a.V("why")) })
		},
	}
}
