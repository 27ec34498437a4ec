package shell

import (
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
)

// What is wrong with the log's files stands on the screen until the end, below the
// title, and takes no room that the screen is not told of.
func TestWhatIsWrongStands(t *testing.T) {
	var news []string
	r := New(Program{
		Log: slowLog{}, Theme: "plain", Clock: func() fusion.Stamp { return fusion.Stamp{Wall: time.Unix(0, 0)} },
		Mono: func() time.Duration { return time.Hour }, NewID: func() string { return "id" },
		After:   func(time.Duration, tea.Msg) tea.Cmd { return nil },
		Outside: Outside{News: func() []string { out := news; news = nil; return out }},
		Start:   func(Env) Screen { return still{} },
	})
	send := func(msg tea.Msg) { m, _ := r.Update(msg); r = m.(Root) }
	send(tea.WindowSizeMsg{Width: 80, Height: 24})
	send(r.load(slowLog{}, false)())
	before := r.env().H
	news = []string{"site.coolhold: page 7: is used twice\x1b[2J"}
	send(Tick())
	for range 3 {
		send(tea.KeyMsg{Type: tea.KeyEsc})
	}
	rows := strings.Split(r.View(), "\n")
	if len(rows) != 24 || !strings.Contains(rows[1], "page 7: is used twice") || strings.Contains(rows[1], "\x1b[2J") || r.env().H != before-1 {
		t.Errorf("%d rows, %d for the screen, %d before:\n%s", len(rows), r.env().H, before, r.View())
	}
	news = []string{strings.Repeat("much to say ", 40)}
	send(Tick())
	rows = strings.Split(r.View(), "\n")
	if len(rows) != 24 || r.env().H != before-wrongRows || !strings.Contains(rows[3], "…") {
		t.Errorf("%d rows, %d for the screen:\n%s", len(rows), r.env().H, r.View())
	}
}
