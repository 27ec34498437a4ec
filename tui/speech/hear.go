package speech

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/tui/shell"
)

// The words that are a key wherever they are given, and those that are one where no
// text is asked for. With a blank before it any word is text.
var (
	everywhere = map[string]tea.KeyType{"back": tea.KeyLeft, "leave": tea.KeyEsc, "help": tea.KeyF1, "runs": tea.KeyRight}
	atChoices  = map[string]tea.KeyType{
		"enter": tea.KeyEnter, "space": tea.KeySpace, "up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft, "right": tea.KeyRight,
		"pgup": tea.KeyPgUp, "pgdown": tea.KeyPgDown, "esc": tea.KeyEsc, "tab": tea.KeyTab,
	}
)

// Words are those that are keys.
const (
	Words    = "back, leave, help, runs, again, enter, space, up, down, pgup, pgdown"
	sayAgain = "again"
)

// Keys are the keys that a line stands for; none: all is to be said again.
func Keys(line string, into shell.Taking) (keys []tea.KeyMsg, known bool) {
	word := strings.ToLower(strings.TrimSpace(line))
	bare := !strings.HasPrefix(line, " ")
	if k, is := everywhere[word]; is && bare {
		return []tea.KeyMsg{{Type: k}}, true
	}
	enter := tea.KeyMsg{Type: tea.KeyEnter}
	k, named := atChoices[word]
	switch text := []rune(strings.TrimSpace(line)); {
	case word == "":
		return []tea.KeyMsg{enter}, true
	case word == sayAgain && bare:
		return nil, true
	case named && into != shell.TextField && into != shell.ScanText:
		return []tea.KeyMsg{keyOf(k)}, true
	case into.Typed() || into == shell.ScanText || into == shell.FigureList && len(text) > 1 && strings.Trim(word, "0123456789., ") == "":
		for _, r := range text {
			keys = append(keys, keyOfRune(r))
		}
		return append(keys, enter), true
	case len(text) == 1:
		return []tea.KeyMsg{keyOfRune(text[0])}, true
	case into.Scanned(): // as a scanner gives it
		return []tea.KeyMsg{{Type: tea.KeyRunes, Runes: text, Paste: true}}, true
	}
	return nil, false
}

func keyOf(k tea.KeyType) tea.KeyMsg {
	if k == tea.KeySpace {
		return keyOfRune(' ')
	}
	return tea.KeyMsg{Type: k}
}

func keyOfRune(r rune) tea.KeyMsg {
	if r == ' ' {
		return tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{r}}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}
}
