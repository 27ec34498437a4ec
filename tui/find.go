package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/textinput"
	"github.com/charmbracelet/bubbletea"
	"github.com/sahilm/fuzzy"

	"coolhold/logbook"
	"coolhold/tui/desk"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A target is what a search can go to: a joint, a weld, a batch, a test, a screen, a verb of the
// command line.
type target struct {
	kind, name string
	key        string // what would have gone there
	open       func(shell.Env)
}

func (t target) id() string { return t.kind + " " + t.name }

// find goes to what a few letters name. Its cursor follows a target.
type find struct {
	title string
	in    textinput.Model
	of    func(shell.Env) []target
	at    string
}

func newFind(shell.Env) shell.Screen { return finding("Go to", targets) }

func finding(title string, of func(shell.Env) []target) find {
	in := textinput.New()
	in.Prompt = ""
	in.Focus()
	return find{title: title, in: in, of: of}
}

// Update takes letters, moves the cursor, and goes.
func (s find) Update(env shell.Env, msg tea.Msg) shell.Screen {
	hits := s.hits(env)
	list := s.list(env, hits)
	switch by := shell.Chooses(msg); {
	case shell.Is(msg, shell.Leave), shell.Is(msg, shell.BackOne) && s.in.Value() == "":
		env.Do.Pop()
	case by != 0:
		s.at = list.Move(s.at, by)
	case shell.Is(msg, shell.Enter) && len(hits) > 0:
		env.Do.Pop()
		hits[list.Index(s.at)].open(env)
	default:
		before := s.in.Value()
		s.in, _ = s.in.Update(msg)
		if s.in.Value() != before {
			s.at = ""
		}
	}
	return s
}

// hits are what the letters name, the likeliest first; without a letter all of it. What
// is just so called comes before what only looks like it, and what stands on the screens
// before a verb.
func (s find) hits(env shell.Env) []target {
	all := s.of(env)
	text := strings.TrimSpace(s.in.Value())
	if text == "" {
		return all
	}
	names := make([]string, len(all))
	for i, t := range all {
		names[i] = t.name
	}
	hits := slices.DeleteFunc(slices.Clone(all), func(t target) bool { return !strings.Contains(strings.ToLower(t.name), strings.ToLower(text)) })
	if len(hits) == 0 { // letters of it, in their order: beside the word itself they are noise
		for _, m := range fuzzy.Find(text, names) {
			hits = append(hits, all[m.Index])
		}
	}
	rank := func(t target) int {
		switch name := strings.ToLower(t.name); {
		case t.kind == "verb":
			return 3
		case name == strings.ToLower(text):
			return 0
		case strings.HasPrefix(name, strings.ToLower(text)):
			return 1
		}
		return 2
	}
	slices.SortStableFunc(hits, func(a, b target) int { return rank(a) - rank(b) })
	return hits
}

func (s find) list(env shell.Env, hits []target) widget.List {
	var rows []widget.Row
	for _, t := range hits {
		rows = append(rows, widget.Row{Key: t.id(), Text: func() string {
			room := max(12, env.W-10-widget.Width(t.key)-4)
			return widget.Pad(t.kind, 7) + widget.Pad(widget.Cut(t.name, room), room) + " " + t.key
		}})
	}
	return env.List(rows)
}

// View draws the letters and what they name, each with the key that goes there too.
func (s find) View(env shell.Env) string {
	hits := s.hits(env)
	in := []rune(s.in.Value())
	at := min(s.in.Position(), len(in))
	under := string(append(in[at:len(in):len(in)], ' ')[0])
	typed := logbook.Clean(string(in[:at])) + env.Style.Cursor(logbook.Clean(under)) + logbook.Clean(string(in[min(len(in), at+1):]))
	lines := []string{env.Style.Bold(" " + s.title), widget.Cut(" / "+typed, env.W), ""}
	if len(hits) == 0 {
		lines = append(lines, " Nothing of this site is called so.")
	}
	return strings.Join(append(lines, s.list(env, hits).View(s.at, env.H-len(lines))...), "\n")
}

// Keys are the search's.
func (s find) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("type", "a few letters"), shell.On("↑↓ PgDn", "choose"), shell.On("Enter", "go there"), shell.BackTo("back")}
}

// Name says that one search stands on the stack at a time.
func (s find) Name() string { return "find " + s.title }

// Topic is that of its page.
func (s find) Topic(shell.Env) string { return "find" }

// Takes is text.
func (s find) Takes(shell.Env) shell.Taking { return shell.TextField }

// targets are all that can be gone to on the open site.
func targets(env shell.Env) []target {
	all := jointTargets(env)
	all = append(all, weldTargets(env)...)
	all = append(all, batchTargets(env)...)
	all = append(all, testTargets(env)...)
	all = append(all, screenTargets(env)...)
	if env.Outside.Verbs == nil {
		return all
	}
	for _, v := range env.Outside.Verbs() {
		all = append(all, target{"verb", v.Name + ": " + v.Does, "in a shell", func(env shell.Env) {
			env.Do.Say("in a shell: coolhold " + v.Name + " --help")
		}})
	}
	return all
}

func jointTargets(env shell.Env) []target {
	var all []target
	for _, j := range env.Sight.All() {
		all = append(all, target{"joint", j.Label, "↑↓ to it, Enter", func(env shell.Env) { env.Do.Push(joint{label: j.Label}) }})
	}
	return all
}

func weldTargets(env shell.Env) []target {
	var all []target
	for _, w := range env.Book.Welds(env.Site.ID) {
		all = append(all, weldTarget(w))
	}
	return all
}

func weldTarget(w logbook.Weld) target {
	return target{"weld", w.ID + " in " + w.Joint, "9, to it, Enter", func(env shell.Env) { env.Do.Push(desk.NewWeld(w.ID)) }}
}

// testTargets are the pressure tests that count, by number, section and day.
func testTargets(env shell.Env) []target {
	var all []target
	for _, t := range env.Audit.Tests() {
		name := logbook.Clean(t.ID + ", pressure test of " + t.Of.Name + ", " + t.When().Local().Format("2 January"))
		all = append(all, target{"test", name, "9, then 7", func(env shell.Env) { env.Do.Push(desk.NewTest(t.ID)) }})
	}
	return all
}

// batchTargets are the batches of fittings, coils and stubs that the site's welds name.
func batchTargets(env shell.Env) []target {
	of := map[string][]logbook.Weld{}
	var names []string
	for _, w := range env.Book.Welds(env.Site.ID) {
		for _, item := range logbook.BatchItems {
			v := w.Answers[item].V
			if v == "" || w.Answered(item) != v {
				continue // not known, or none
			}
			name := logbook.Clean(v)
			if len(of[name]) == 0 {
				names = append(names, name)
			}
			if n := len(of[name]); n == 0 || of[name][n-1].ID != w.ID {
				of[name] = append(of[name], w)
			}
		}
	}
	slices.Sort(names)
	var all []target
	for _, name := range names {
		welds := of[name]
		all = append(all, target{"batch", name, logbook.Count(len(welds), "weld"), func(env shell.Env) {
			env.Do.Push(finding(fmt.Sprintf("Welds with batch %s", name), func(shell.Env) []target {
				var of []target
				for _, w := range welds {
					of = append(of, weldTarget(w))
				}
				return of
			}))
		}})
	}
	return all
}

// screenTargets are the screens, by what they are for.
func screenTargets(env shell.Env) []target {
	var all []target
	for _, k := range boardKeys(env) {
		all = append(all, target{"screen", k.name, fmt.Sprintf("%d", k.digit), k.do})
	}
	for _, m := range []struct {
		key string
		of  menu
	}{{"6", planAhead()}, {"8", seldom()}} {
		for _, l := range m.of.lines {
			all = append(all, target{"screen", l.text, fmt.Sprintf("%s, then %d", m.key, l.digit), l.open})
		}
	}
	for _, p := range desk.Places(env) {
		all = append(all, target{"screen", p.Name, "9, then " + p.Key, p.Open})
	}
	return append(all, target{"screen", "what runs and what waits", "→", func(env shell.Env) { env.Do.Push(newHolds(env)) }})
}
