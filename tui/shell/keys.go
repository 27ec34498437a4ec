package shell

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// The keys that mean the same on every screen, all within reach of a glove.
// Digits choose what a screen offers under them.
var (
	Up       = On("↑", "up")
	Down     = On("↓", "down")
	PageUp   = On("PgUp", "page up")
	PageDown = On("PgDn", "page down")
	Enter    = On("Enter", "open or take")
	Leave    = On("Esc", "leave")
	BackOne  = On("←", "one back")
	Back     = BackTo("back")
	Runs     = On("→", "runs")
	Another  = On("Tab", "by another")
	Help     = On("? F1", "keys")
	Find     = On("/ F3", "find")
	PutAside = On("Ctrl+Z", "put coolhold aside")
	Quit     = On("Ctrl+C", "leave coolhold")
)

// Keys are what a screen does with the keyboard: what is not among them never
// reaches it. The first matter most: where the foot has no room for all, the last
// stand on the page of ? alone. One that is disabled has nothing to act on now; it
// is passed on all the same, since the screen says why.
type Keys []key.Binding

// named are the keys as they are shown, with what bubbletea calls them.
var named = map[string][]string{
	"↑": {"up"}, "↓": {"down"}, "↑↓": {"up", "down", "pgup", "pgdown"}, "↑↓←→": {"up", "down", "left", "right", "pgup", "pgdown"}, "←": {"left"}, "→": {"right"},
	"PgUp": {"pgup"}, "PgDn": {"pgdown"}, "Enter": {"enter"}, "Esc": {"esc"}, "Tab": {"tab"}, "Space": {" "},
	"Backspace": {"backspace"}, "Ctrl+Z": {"ctrl+z"}, "Ctrl+C": {"ctrl+c"}, "F1": {"f1"}, "F3": {"f3"},
	"?": {"?"}, "/": {"/"}, "or": {}, typing: {}, "scan": {},
	"digit": strings.Split("0 1 2 3 4 5 6 7 8 9", " "), "digits": strings.Split("0 1 2 3 4 5 6 7 8 9 . , -", " "),
}

// typing stands for a field in which any key is text.
const typing = "type"

// On is a binding from a key as it is shown: "1", "Enter", "↑↓ PgDn", "1-8",
// "Enter or digit".
func On(shown, does string) key.Binding {
	return key.NewBinding(key.WithKeys(keysShown(shown)...), key.WithHelp(shown, does))
}

// known are the keys as they are shown that were read before: each frame names them.
var known sync.Map

func keysShown(shown string) []string {
	if keys, ok := known.Load(shown); ok {
		return keys.([]string)
	}
	keys := []string{}
	for _, word := range strings.FieldsFunc(shown, func(r rune) bool { return r == ' ' || r == ',' }) {
		keys = append(keys, keysNamed(word)...)
	}
	keys = slices.Clip(keys)
	known.Store(shown, keys)
	return keys
}

func keysNamed(word string) []string {
	if keys, ok := named[word]; ok {
		return keys
	}
	low, high, ok := strings.Cut(word, "-")
	if !ok {
		high = low
	}
	if len(low) != 1 || len(high) != 1 || low > high || low < "0" || high > "9" {
		panic(fmt.Sprintf("%q is the name of no key", word)) // a slip of this program, seen by every test of that screen
	}
	var keys []string
	for d := low[0]; d <= high[0]; d++ {
		keys = append(keys, string(d))
	}
	return keys
}

// BackTo is the binding of Esc where ← does the same: there is nothing to go one back
// in.
func BackTo(where string) key.Binding {
	return key.NewBinding(key.WithKeys("esc", "left"), key.WithHelp("Esc", where))
}

// When is a binding that has something to act on only in some cases.
func When(is bool, b key.Binding) key.Binding {
	b.SetEnabled(is)
	return b
}

// Digits are the keys of so many lines that are numbered from 1.
func Digits(n int, does string) key.Binding {
	switch n = min(n, 9); n {
	case 0:
		return When(false, On("1-9", does))
	case 1:
		return On("1", does)
	}
	return On(fmt.Sprintf("1-%d", n), does)
}

// has tells whether a key is one of these, with something to act on or not.
func (all Keys) has(k tea.KeyMsg) bool {
	return slices.ContainsFunc(all, func(b key.Binding) bool { return slices.Contains(b.Keys(), k.String()) })
}

// Rest stands before the keys that need no place in the foot.
var Rest = key.Binding{}

// ShortHelp are those for the foot.
func (all Keys) ShortHelp() []key.Binding {
	if rest := slices.IndexFunc(all, func(b key.Binding) bool { return b.Keys() == nil }); rest >= 0 {
		all = all[:rest]
	}
	return slices.DeleteFunc(slices.Clone(all), func(b key.Binding) bool { return !b.Enabled() })
}

// FullHelp is all of them.
func (all Keys) FullHelp() [][]key.Binding { return [][]key.Binding{all} }

// Is tells whether a message is one of these keys.
func Is(msg tea.Msg, any ...key.Binding) bool {
	k, ok := msg.(tea.KeyMsg)
	return ok && key.Matches(k, any...)
}

// Steps is how many lines a key goes down, the page keys a page; 0 for any other
// key.
func Steps(msg tea.Msg, page int) int {
	switch {
	case Is(msg, Up):
		return -1
	case Is(msg, Down):
		return 1
	case Is(msg, PageUp):
		return -page
	case Is(msg, PageDown):
		return page
	}
	return 0
}

// Digit is the digit of a key, -1 where it is none.
func Digit(msg tea.Msg) int {
	k, ok := msg.(tea.KeyMsg)
	if !ok || k.Type != tea.KeyRunes || len(k.Runes) != 1 || k.Runes[0] < '0' || k.Runes[0] > '9' {
		return -1
	}
	return int(k.Runes[0] - '0')
}
