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
		env.Do.Push(typedSite())
	case shell.Digit(key) == 2:
		env.Do.Push(siteFromFiles())
	case shell.Digit(key) == 3 && env.Outside.Example != nil:
		env.Do.Say("writing the worked example …")
		env.Do.Follow(env.Outside.Example)
	case shell.Digit(key) == 4:
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
	return strings.Join(append(lines, "", "  1  type the job in here: bags, site, chambers", "  2  open a site from a plan file and table files", "  3  see the worked example (invented; in a log of its own)", "  4  open a log that was handed over, on a stick say"), "\n")
}

// Keys are the ways on.
func (s welcome) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("1", "type the job"), shell.On("2", "files"), shell.On("3", "example"), shell.On("4", "open a log"), shell.On("Esc", "leave")}
}

// Topic is that of its page.
func (s welcome) Topic(shell.Env) string { return "welcome" }

// Takes wants no scan.
func (s welcome) Takes(shell.Env) shell.Taking { return shell.NoScan }

// handedOver asks for the file of a log that somebody else kept, and opens it.
func handedOver(env shell.Env) {
	open := env.Outside.OpenLog
	if open == nil {
		env.Do.Say("opening a log is not available here")
		return
	}
	env.Do.Push(handedLog{form: logForm()})
}

// handedLog asks for the file of a log until one can be opened. What was typed stays
// meanwhile.
type handedLog struct {
	form form.Form
	say  string
	busy bool
}

// Topic is that of its page.
func (s handedLog) Topic(shell.Env) string { return "openlog" }

func logForm() form.Form {
	return form.New([]form.Field{{Item: "file", Label: "file of the log, with its folder", Hint: "Type its name, or drop it here. ~ is your own folder.", Manner: form.Text, Scan: true}})
}

// Update asks, has the file opened, and says why it is not.
func (s handedLog) Update(env shell.Env, msg tea.Msg) shell.Screen {
	switch m := msg.(type) {
	case openedMsg:
		if !s.busy {
			return s
		}
		if s.busy = false; m.err != nil {
			s.say = logbook.Clean(strings.Join(strings.Fields(m.err.Error()), " "))
			return s
		}
		m.shows(env)
		return s
	case tea.KeyMsg:
		s.say = "" // of another name
	}
	switch {
	case shell.Is(msg, shell.Leave):
		env.Do.Pop()
		return s
	case s.busy:
		return s
	}
	f, event := s.form.Update(msg)
	switch {
	case event != form.Complete:
		s.form = f
	case env.Pending > 0:
		s.say = "not opened: something is not stored yet in this log; try again"
	default:
		s.busy = true
		open, file := env.Outside.OpenLog, f.Given.V("file")
		env.Do.Look(func() tea.Msg {
			log, err := open(file)
			return openedMsg{log, err}
		})
	}
	return s
}

// View asks for the file.
func (s handedLog) View(env shell.Env) string {
	lines := []string{env.Style.Bold(" Open a log that was handed over")}
	for _, l := range widget.Wrap("From then on the screens show that log, and what is recorded goes into it. coolhold begins with your own again at its next start.", env.W-2) {
		lines = append(lines, " "+l)
	}
	lines = append(lines, "", s.form.View(env.Style, env.W, env.H-len(lines)-1))
	if s.busy {
		lines = append(lines, "    opening …")
	}
	for _, l := range widget.Wrap(s.say, env.W-4) {
		if l != "" {
			lines = append(lines, env.Style.Warn("  ! "+l))
		}
	}
	return strings.Join(lines, "\n")
}

// Keys are the form's.
func (s handedLog) Keys(shell.Env) shell.Keys { return append(s.form.Keys(), shell.Leave) }

// Takes is the form's.
func (s handedLog) Takes(shell.Env) shell.Taking { return s.form.Takes() }

// newSites turns to another site of the log, or opens a new one.
func newSites() shell.Screen { return sites{} }

type sites struct{}

// mostSites have a digit; of a log with more the others are named on the command line.
const mostSites = 7

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
		env.Do.Replace(typedSite())
	case shell.Digit(key) == 8:
		env.Do.Replace(siteFromFiles())
	case shell.Digit(key) == 0:
		handedOver(env)
	case key.Type == tea.KeyRunes:
		all := env.Book.Sites()
		if n := shell.Digit(key) - 1; n >= 0 && n < min(len(all), mostSites) {
			env.Do.Site(all[n].ID)
			env.Do.Pop()
		}
	}
	return s
}

// View lists the sites.
func (s sites) View(env shell.Env) string {
	lines := []string{env.Style.Bold(" Sites in this log"), ""}
	all := env.Book.Sites()
	for i, site := range all[:min(len(all), mostSites)] {
		lines = append(lines, widget.Cut("  "+string(rune('1'+i))+"  "+logbook.Clean(site.Name)+", "+logbook.Clean(site.Address), env.W))
	}
	return strings.Join(append(lines, "", "  9  type a new job in here", "  8  open a new site from files", "  0  open a log that was handed over, on a stick say"), "\n")
}

// Keys are the list's.
func (s sites) Keys(env shell.Env) shell.Keys {
	return shell.Keys{shell.Digits(min(7, len(env.Book.Sites())), "turn to it"), shell.On("9", "type a new job"), shell.On("8", "from files"), shell.BackOne, shell.On("0", "open a log"), shell.Back}
}

// Topic is that of its page.
func (s sites) Topic(shell.Env) string { return "sites" }

// Takes wants no scan.
func (s sites) Takes(shell.Env) shell.Taking { return shell.NoScan }
