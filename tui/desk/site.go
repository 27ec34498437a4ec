package desk

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A site is what is found on the site as a whole, on no joint or weld of it, and what is
// decided about that.
type site struct {
	top widget.Scroll
	by  string
}

func ofSite(env shell.Env) subject {
	var found []audit.Finding
	for _, f := range env.Audit.Findings {
		if f.Joint == "" && f.Weld == "" {
			found = append(found, f)
		}
	}
	return subject{env.Site.ID, "the site", found}
}

// Update scrolls, and opens what is decided.
func (s site) Update(env shell.Env, msg tea.Msg) shell.Screen {
	s.by = heard(s.by, msg)
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	switch by := shell.Reads(key, pageRoom(env)); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.top = s.top.Move(by, len(s.page(env)), pageRoom(env))
	case shell.Digit(key) == 1:
		accept(env, s.by, ofSite(env))
	case shell.Digit(key) == 9:
		takeBack(env, s.by, ofSite(env), logbook.Weld{})
	}
	return s
}

func (s site) page(env shell.Env) []string {
	l := &leaf{st: env.Style, width: env.W}
	if l.found(ofSite(env)); len(l.lines) == 0 {
		l.put(" ", "nothing is found on the site as a whole")
	}
	return l.lines
}

// View draws the part of the page that fits under its title.
func (s site) View(env shell.Env) string {
	title := env.Style.Bold(widget.Cut(" "+logbook.Clean(env.Site.Name)+": the site as a whole", env.W))
	return strings.Join(append([]string{title}, s.top.View(s.page(env), pageRoom(env), env.Style.Dim)...), "\n")
}

// Keys are the page's.
func (s site) Keys(env shell.Env) shell.Keys {
	return shell.Keys{
		shell.On("1", "accept"),
		shell.When(takesBack(ofSite(env), logbook.Weld{}), shell.On("9", "take back")),
		shell.On("↑↓ PgDn", "read"), shell.Back,
	}
}

// Topic is that of its page.
func (s site) Topic(shell.Env) string { return "site" }

// Takes wants no scan.
func (s site) Takes(shell.Env) shell.Taking { return shell.NoScan }
