// Bare is a board that knows nothing: the floor of what is done in a terminal. It
// draws a list of 24 lines at a frame rate, moves its mark with the arrows, and looks
// at the time once a second. With a log it stores something at key s as coolhold does:
// open, put, commit, close, a line that is synced.
//
//	bare FRAMES [LOG]
package main

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/.ci/bench/puts"
)

type tick time.Time

type stored struct{ n int }

type model struct {
	at, n int
	log   *puts.Log
	now   time.Time
}

func every() tea.Cmd { return tea.Tick(time.Second, func(t time.Time) tea.Msg { return tick(t) }) }

func (m model) Init() tea.Cmd { return every() }

func (m model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tick:
		m.now = time.Time(msg)
		return m, every()
	case stored:
		m.n = msg.n
	case tea.KeyMsg:
		switch msg.String() {
		case "up":
			m.at = max(0, m.at-1)
		case "down":
			m.at = min(15, m.at+1)
		case "s":
			n, log := m.n+1, m.log
			return m, func() tea.Msg {
				if err := log.Put(1); err != nil {
					panic(err)
				}
				return stored{n}
			}
		case "ctrl+c":
			return m, tea.Quit
		}
	}
	return m, nil
}

func (m model) View() string {
	lines := []string{fmt.Sprintf("bare  stored %d  %s", m.n, m.now.Format("15:04:05")), strings.Repeat("─", 80)}
	for i := range 16 {
		mark := " "
		if i == m.at {
			mark = "▸"
		}
		lines = append(lines, fmt.Sprintf(" %s C44-%dA   coupler 40     high %d", mark, i, i))
	}
	for range 5 {
		lines = append(lines, "")
	}
	return strings.Join(append(lines, " ? keys"), "\n")
}

func main() {
	fps, err := strconv.Atoi(os.Args[1])
	m := model{now: time.Now()}
	if err == nil && len(os.Args) > 2 {
		m.log, err = puts.Open(os.Args[2])
	}
	if err == nil {
		_, err = tea.NewProgram(m, tea.WithAltScreen(), tea.WithFPS(fps)).Run()
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
