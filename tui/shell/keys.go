package shell

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// The keys that mean the same on every screen, all within reach of a glove.
// Digits choose what a screen offers under them.
var (
	Up       = key.NewBinding(key.WithKeys("up"), key.WithHelp("↑", "up"))
	Down     = key.NewBinding(key.WithKeys("down"), key.WithHelp("↓", "down"))
	PageUp   = key.NewBinding(key.WithKeys("pgup"), key.WithHelp("PgUp", "page up"))
	PageDown = key.NewBinding(key.WithKeys("pgdown"), key.WithHelp("PgDn", "page down"))
	Enter    = key.NewBinding(key.WithKeys("enter"), key.WithHelp("Enter", "open or take"))
	Leave    = key.NewBinding(key.WithKeys("esc"), key.WithHelp("Esc", "leave"))
	BackOne  = key.NewBinding(key.WithKeys("left"), key.WithHelp("←", "one back"))
	Runs     = key.NewBinding(key.WithKeys("right"), key.WithHelp("→", "runs"))
	PutAside = key.NewBinding(key.WithKeys("ctrl+z"), key.WithHelp("Ctrl+Z", "put coolhold aside"))
	Quit     = key.NewBinding(key.WithKeys("ctrl+c"), key.WithHelp("Ctrl+C", "leave coolhold"))
)

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
