package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A siteFiles opens a site from files: each is read and checked when it is given, and
// what was given stays at an error.
type siteFiles struct {
	plan   *shell.Input
	tables []shell.Input
	box    form.FileBox
	tag    *form.Form // once the files are there
	say    string
	opens  bool
}

func siteFromFiles() shell.Screen {
	return siteFiles{box: form.NewFileBox("plan", "plan file", "")}
}

// Update asks for the plan, the tables, then the letters.
func (s siteFiles) Update(env shell.Env, msg tea.Msg) shell.Screen {
	switch m := msg.(type) {
	case openedMsg:
		return s.opened(env, m)
	case tea.KeyMsg:
		s.say = ""
		if shell.Is(m, shell.Leave) {
			return s.leave(env)
		}
	}
	switch {
	case s.opens:
		return s
	case s.tag != nil:
		return s.letters(env, msg)
	case shell.Is(msg, shell.BackOne) && s.box.Fresh():
		return s.back()
	}
	box, in, blank := s.box.Update(env, msg)
	s.box = box
	switch {
	case in != nil && s.plan == nil:
		s.plan = in
		s.box = tableBox(0)
	case in != nil:
		s.tables = append(s.tables[:len(s.tables):len(s.tables)], *in)
		s.box = tableBox(len(s.tables))
	case blank:
		s.tag = tagForm()
	}
	return s
}

func tableBox(had int) form.FileBox {
	if had == 0 {
		return form.NewFileBox("table", "table file", "")
	}
	return form.NewFileBox("table", "a further table file", "no further table")
}

func tagForm() *form.Form {
	f := form.New([]form.Field{{Item: "tag", Label: "two letters for this laptop's log", Manner: form.Text, Blank: true, Keep: true, Check: tagLetters, Hint: "They stand in every weld number, as ink on the pipe. Enter alone: drawn at random; kept where the log exists."}})
	return &f
}

func (s siteFiles) leave(env shell.Env) siteFiles {
	box, leaves := s.box.Leaves()
	if s.box = box; leaves {
		env.Do.Pop()
	}
	return s
}

// back takes the file out that was given last.
func (s siteFiles) back() siteFiles {
	switch n := len(s.tables); {
	case n > 0:
		s.tables = s.tables[:n-1]
		s.box = tableBox(n - 1)
	case s.plan != nil:
		s.plan, s.box = nil, form.NewFileBox("plan", "plan file", "")
	}
	return s
}

func (s siteFiles) letters(env shell.Env, msg tea.Msg) siteFiles {
	if shell.Is(msg, shell.BackOne) && s.tag.Empty() {
		s.tag = nil
		return s
	}
	f, event := s.tag.Update(msg)
	s.tag = &f
	if event != form.Complete {
		return s
	}
	var tables []acts.File
	for _, t := range s.tables {
		tables = append(tables, t.File)
	}
	s.opens = true
	opensSite(env, f.Given.V("tag"), s.plan.File, tables)
	return s
}

func (s siteFiles) opened(env shell.Env, m openedMsg) siteFiles {
	if m.err != nil {
		s.opens, s.tag = false, nil
		s.say = m.fault()
		return s
	}
	m.shows(env)
	return s
}

// Topic is that of its page.
func (s siteFiles) Topic(shell.Env) string { return "sitefiles" }

// View lists what was given, and asks for the next.
func (s siteFiles) View(env shell.Env) string {
	lines := []string{env.Style.Bold(" Open a site from files"), ""}
	given := func(what string, in shell.Input) {
		for _, l := range widget.Wrap(fmt.Sprintf("%s %s: no fault found, %s", what, logbook.Clean(in.Name), in.Says), env.W-2) {
			lines = append(lines, " "+l)
		}
	}
	if s.plan != nil {
		given("plan", *s.plan)
	}
	for _, t := range s.tables {
		given("table", t)
	}
	for _, l := range widget.Wrap(s.say, env.W-4) {
		if l != "" {
			lines = append(lines, env.Style.Warn("  ! "+l))
		}
	}
	if s.plan == nil {
		for _, l := range widget.Wrap("The plan lists the joints that must exist; each table is a typed copy of what is printed on a bag. What they look like: coolhold help plan, coolhold help table.", env.W-2) {
			lines = append(lines, " "+l)
		}
	}
	lines = append(lines, "")
	switch {
	case s.opens:
		lines = append(lines, " opening …")
	case s.tag != nil:
		lines = append(lines, strings.Split(s.tag.View(env.Style, env.W, env.H-len(lines)), "\n")...)
	default:
		lines = append(lines, s.box.View(env, env.H-len(lines))...)
	}
	return strings.Join(lines, "\n")
}

// Keys are those of what is asked.
func (s siteFiles) Keys(shell.Env) shell.Keys {
	if s.tag != nil {
		return shell.Keys{shell.On("type, Enter", "give it"), shell.On("←", "one back"), shell.On("Esc", "leave")}
	}
	return append(s.box.Keys(), shell.On("←", "one back"))
}

// Takes is what is asked.
func (s siteFiles) Takes(shell.Env) shell.Taking {
	switch {
	case s.opens:
		return shell.NoScan
	case s.tag != nil:
		return s.tag.Takes()
	}
	return s.box.Takes()
}
