package tui

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// welcome is what a person sees who has no log yet.
type welcome struct {
	notice string // what is wrong about the log's file, as found at the start
}

// Update opens a new site, the worked example, or a log that is there.
func (s welcome) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	switch {
	case shell.Is(key, shell.Leave):
		env.Do.Push(leaving())
	case shell.Digit(key) == 1:
		env.Do.Push(newSite())
	case shell.Digit(key) == 2 && env.Outside.Example != nil:
		env.Do.Say("writing the worked example …")
		env.Do.Follow(env.Outside.Example)
	case shell.Digit(key) == 3:
		handedOver(env)
	}
	return s
}

// View says what this is and what can be done.
func (s welcome) View(env shell.Env) string {
	lines := []string{env.Style.Bold(" coolhold: a logbook for electrofusion welds in ground loops"), ""}
	for _, l := range widget.Wrap(s.notice, env.W-2) {
		if l != "" {
			lines = append(lines, env.Style.Warn(" "+l))
		}
	}
	if s.notice != "" {
		lines = append(lines, "")
	}
	text := "It walks you through each joint, looks up fusion and cooling times in the fitting's own table, holds every joint until it has cooled, and keeps every weld. It records; it does not say that a weld is good. The fitting's instructions, the site's rules and local codes go first."
	for _, l := range widget.Wrap(text, env.W-2) {
		lines = append(lines, " "+l)
	}
	return strings.Join(append(lines, "", "  1  open a new site from its plan and its fusion tables", "  2  see the worked example (invented; in a log of its own)", "  3  open a log that was handed over, on a stick say"), "\n")
}

// Keys are the ways on.
func (s welcome) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("1", "new site"), shell.On("2", "example"), shell.On("3", "open a log"), shell.On("Esc", "leave")}
}

// Takes wants no scan.
func (s welcome) Takes(shell.Env) shell.Taking { return shell.NoScan }

// newSite asks for the files that describe a site.
func newSite() shell.Screen {
	return form.Ask{
		Title: "Open a new site",
		Text: func(shell.Env) []string {
			return []string{"The plan lists the joints that must exist; each table is a typed copy of what is printed on a bag. See testdata for examples."}
		},
		Form: form.New([]form.Field{
			{Item: "plan", Label: "plan file", Manner: form.Text},
			{Item: "tables", Label: "table files, with a space between", Manner: form.Text},
			{Item: "tag", Label: "two letters for this laptop's log", Manner: form.Text, Blank: true, Hint: "They stand in every weld number, as ink on the pipe. Blank: drawn at random; kept where the log exists."},
		}),
		Done: func(env shell.Env, a form.Answers) {
			h, open := env.Head(), env.Outside.OpenSite
			plan, tables, tag := a.V("plan"), strings.Fields(a.V("tables")), strings.ToUpper(a.V("tag"))
			env.Do.Follow(func() (shell.Log, error) { return open(h, tag, plan, tables) })
		},
	}
}

// handedOver asks for the file of a log that somebody else kept, and opens it.
func handedOver(env shell.Env) {
	open := env.Outside.OpenLog
	if open == nil {
		env.Do.Say("opening a log is not available here")
		return
	}
	env.Do.Push(form.Ask{
		Title: "Open a log that was handed over",
		Text: func(shell.Env) []string {
			return []string{"From then on the screens show that log, and what is recorded goes into it. coolhold begins with your own again at its next start."}
		},
		Form: form.New([]form.Field{{Item: "file", Label: "file of the log, with its folder", Manner: form.Text, Scan: true}}),
		Done: func(env shell.Env, a form.Answers) {
			if env.Pending > 0 {
				env.Do.Say("not opened: something is not stored yet in this log; try again")
				return
			}
			file := strings.Trim(a.V("file"), `'"`) // as a terminal quotes a file that is dropped on it
			env.Do.Follow(func() (shell.Log, error) { return open(file) })
		},
	})
}

// newSites turns to another site of the log, or opens a new one.
func newSites() shell.Screen { return sites{} }

type sites struct{}

// Update chooses.
func (s sites) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	switch {
	case shell.Is(key, shell.Leave) || shell.Is(key, shell.BackOne):
		env.Do.Pop()
	case shell.Digit(key) == 9:
		env.Do.Replace(newSite())
	case shell.Digit(key) == 0:
		handedOver(env)
	case key.Type == tea.KeyRunes:
		all := env.Book.Sites()
		if n := shell.Digit(key) - 1; n >= 0 && n < len(all) {
			env.Do.Site(all[n].ID)
			env.Do.Pop()
		}
	}
	return s
}

// View lists the sites.
func (s sites) View(env shell.Env) string {
	lines := []string{env.Style.Bold(" Sites in this log"), ""}
	for i, site := range env.Book.Sites() {
		lines = append(lines, widget.Cut("  "+string(rune('1'+i))+"  "+logbook.Clean(site.Name)+", "+logbook.Clean(site.Address), env.W))
	}
	return strings.Join(append(lines, "", "  9  open a new site", "  0  open a log that was handed over, on a stick say"), "\n")
}

// Keys are the list's.
func (s sites) Keys(env shell.Env) shell.Keys {
	return shell.Keys{shell.Digits(len(env.Book.Sites()), "go to it"), shell.On("9", "new site"), shell.On("0", "open a log"), shell.Back}
}

// Takes wants no scan.
func (s sites) Takes(shell.Env) shell.Taking { return shell.NoScan }
