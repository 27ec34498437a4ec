package tui

import (
	"fmt"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// tried is how many lines of what came are kept in sight.
const tried = 8

// Tryout shows what a scanner, a paste and a hand look like to the screens, by the
// same buffer, until Esc. It draws below what stands on the terminal and stores
// nothing.
func Tryout(o Program) error {
	if o.After == nil {
		o.After = shell.After
	}
	p := tea.NewProgram(tryout{o: o, w: 80}, tea.WithInput(pastes(o.In)), tea.WithOutput(o.Out), tea.WithFPS(FPS))
	_, err := p.Run()
	return err
}

// A tryout is what came so far, the newest last.
type tryout struct {
	o      Program
	buffer shell.ScanBuffer
	lines  []string
	w      int
	over   bool
}

// lapsed says that the buffer may have something to deliver.
type lapsed struct{}

func (m tryout) Init() tea.Cmd { return nil }

func (m tryout) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w = msg.Width
	case tea.KeyMsg:
		if msg.Type == tea.KeyEsc || msg.Type == tea.KeyCtrlC {
			m.over = true
			return m, tea.Quit
		}
		return m.heard(m.buffer.Take(msg, m.o.Mono(), shell.ScanField))
	case lapsed:
		return m.heard(m.buffer.Flush(m.o.Mono()))
	}
	return m, nil
}

func (m tryout) heard(b shell.ScanBuffer, came []tea.Msg, wait time.Duration) (tea.Model, tea.Cmd) {
	m.buffer = b
	for _, msg := range came {
		if line := cameAs(msg); line != "" {
			m.lines = append(m.lines, line)
		}
	}
	m.lines = m.lines[max(0, len(m.lines)-tried):]
	if wait <= 0 {
		return m, nil
	}
	return m, m.o.After(wait, lapsed{})
}

// cameAs says what a message was taken for.
func cameAs(msg tea.Msg) string {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		return fmt.Sprintf("a key: %s", logbook.Clean(msg.String()))
	case shell.Scan:
		if msg.All != "" {
			return fmt.Sprintf("a paste of %s, taken in one go: %s", logbook.Count(msg.Pace.Runes+msg.Over, "character"), logbook.Clean(msg.Text))
		}
		return fmt.Sprintf("a scan of %s in %d ms, longest gap %d ms: %s", logbook.Count(msg.Pace.Runes, "character"),
			msg.Pace.Took.Milliseconds(), msg.Pace.Longest.Milliseconds(), logbook.Clean(msg.Text))
	}
	return ""
}

func (m tryout) View() string {
	head := "Scan a code, paste a line, strike a key: it says how that is taken. Esc ends."
	if m.over {
		head = "Tried:"
	}
	lines := []string{head}
	for _, l := range m.lines {
		lines = append(lines, "  "+l)
	}
	for i, l := range lines {
		lines[i] = widget.Cut(l, m.w-1)
		if m.o.ASCII {
			lines[i] = widget.ASCII(lines[i])
		}
	}
	return strings.Join(lines, "\n") + "\n"
}
