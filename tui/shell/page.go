package shell

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/tui/widget"
)

// An About is what the page of ? says of a screen besides its keys.
type About struct {
	Title string
	For   string   // what the screen is for, in two sentences
	Rules []string // slugs of the rules behind what it asks
}

// A Topical is a screen that says under which topic its page stands.
type Topical interface{ Topic(Env) string }

// A Teller is a screen that tells on its page what a key does in more words than the foot
// has room for, by the key as it is shown.
type Teller interface{ Tells(Env) map[string]string }

// toldOf are the keys of a screen in its own words.
func toldOf(s Screen, env Env) Keys {
	keys := slices.Clone(s.Keys(env))
	t, tells := s.(Teller)
	if !tells {
		return keys
	}
	says := t.Tells(env)
	for i := range keys {
		if text := says[keys[i].Help().Key]; text != "" {
			keys[i].SetHelp(keys[i].Help().Key, text)
		}
	}
	return keys
}

// page is the page of ? and F1 on the screen below it: what that is for, its keys as
// they were when the page was opened, and the rules behind what it asks.
type page struct {
	about About
	more  string // besides, as things stand
	keys  Keys   // of the screen
	all   Keys   // of every screen
	top   widget.Scroll
}

func (r Root) pageOf(env Env) page {
	p := page{keys: toldOf(r.top(), env), all: Keys{Help, Quit}}
	if r.opts.PutAside != nil {
		p.all = append(p.all, PutAside)
	}
	if r.opts.Find != nil {
		p.all = append(Keys{Find}, p.all...)
	}
	if !r.sideways(env) {
		p.all = append(Keys{On("→", "what runs and what waits")}, p.all...)
	}
	p.about = aboutOf(r.top(), env)
	if t, is := r.top().(Topical); is && t.Topic(env) == "board" {
		p.more = officePage(env.Office)
	}
	return p
}

// aboutOf is what is said of a screen.
func aboutOf(s Screen, env Env) About {
	t, is := s.(Topical)
	if !is {
		return About{}
	}
	return Topics[t.Topic(env)]
}

// Update reads, and goes back.
func (s page) Update(env Env, msg tea.Msg) Screen {
	if Is(msg, Leave, BackOne, Enter) {
		env.Do.Pop()
		return s
	}
	s.top = s.top.Move(Reads(msg, env.H), len(s.lines(env)), env.H)
	return s
}

// View draws the part of the page that fits.
func (s page) View(env Env) string {
	return strings.Join(s.top.View(s.lines(env), env.H, env.Style.Dim), "\n")
}

func (s page) lines(env Env) []string {
	title := "Keys"
	if s.about.Title != "" {
		title = s.about.Title
	}
	lines := []string{env.Style.Bold(widget.Cut(" "+logbook.Clean(title), env.W))}
	for _, text := range []string{s.about.For, s.more} {
		for _, l := range widget.Wrap(text, env.W-2) {
			if l != "" {
				lines = append(lines, " "+l)
			}
		}
	}
	lines = append(append(lines, ""), keyLines(s.keys, env)...)
	lines = append(append(lines, "", env.Style.Bold(" On every screen")), keyLines(s.all, env)...)
	return append(lines, s.ruleLines(env)...)
}

// keyLines are bindings, a line each; one with nothing to act on now says so.
func keyLines(keys Keys, env Env) []string {
	shown := shownWhole
	if env.Style.Spoken {
		shown = spokenKey
		keys = slices.DeleteFunc(slices.Clone(keys), func(b key.Binding) bool { return spokenKey(b) == "" })
	}
	width, column := env.W, 0
	for _, b := range keys {
		column = max(column, widget.Width(shown(b)))
	}
	var lines []string
	for _, b := range keys {
		if b.Keys() == nil {
			continue
		}
		does := b.Help().Desc
		if !b.Enabled() {
			does += " (there is nothing for it now)"
		}
		lead := "   " + widget.Pad(shown(b), column) + "  "
		for _, l := range widget.Wrap(logbook.Clean(does), max(8, width-column-6)) {
			lines = append(lines, lead+l)
			lead = strings.Repeat(" ", column+5)
		}
	}
	return lines
}

// spokenWords are the words that are given for keys where lines stand for them, each at
// most once; a key without one cannot be given so.
var spokenWords = map[string]string{
	"→": "runs", "←": "back", "↑↓": "up, down", "↑↓←→": "up, down, left, right", "↑": "up", "↓": "down", "PgDn": "pgdown", "Esc": "leave",
	"Enter": "an empty line", "Space": "space", "?": "help", "/": "/", "Tab": "tab", "type": "a text", "scan": "a scan", "or": "or",
}

// spokenKey is a binding as it is given in a line; "" where it cannot be.
func spokenKey(b key.Binding) string {
	var said []string
	for _, word := range strings.FieldsFunc(b.Help().Key, func(r rune) bool { return r == ' ' || r == ',' }) {
		if text, named := spokenWords[word]; named {
			said = append(said, text)
		} else if strings.Trim(word, "0123456789-") == "" || strings.HasPrefix(word, "digit") {
			said = append(said, word)
		}
	}
	return strings.Join(said, ", ")
}

// shownWhole is a key as it is shown, with the ← that the foot leaves out.
func shownWhole(b key.Binding) string {
	if shown := b.Help().Key; shown != "Esc" || !slices.Contains(b.Keys(), "left") {
		return shown
	}
	return "Esc ←"
}

// ruleLines are the rules behind what the screen asks, with what each rests on.
func (s page) ruleLines(env Env) []string {
	var lines []string
	put := func(lead, text string, style func(string) string) {
		for _, l := range widget.Wrap(text, max(8, env.W-widget.Width(lead)-1)) {
			lines = append(lines, style(lead+l))
			lead = strings.Repeat(" ", widget.Width(lead))
		}
	}
	plain := func(text string) string { return text }
	for _, slug := range s.about.Rules {
		at := slices.IndexFunc(audit.Rules, func(r audit.Rule) bool { return r.Slug == slug })
		if at < 0 {
			continue
		}
		r := audit.Rules[at]
		if lines == nil {
			lines = append(lines, "", env.Style.Bold(" Rules behind what is asked here"))
		}
		put("   ", r.Severity.String()+", "+strings.ReplaceAll(slug, "-", " ")+": "+r.Says+".", plain)
		put("      basis: ", r.Basis, env.Style.Dim)
	}
	return lines
}

// Keys are the page's.
func (s page) Keys(Env) Keys {
	return Keys{On("↑↓ PgDn", "read"), On("Esc ← Enter", "back")}
}

// Name says that there is one page at a time.
func (s page) Name() string { return "page" }

// Takes wants no scan.
func (s page) Takes(Env) Taking { return NoScan }
