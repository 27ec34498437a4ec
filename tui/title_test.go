package tui

import (
	"fmt"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/tui/shell"
)

// A titled is a model that keeps the title which its commands gave the window.
type titled struct {
	tea.Model
	says *[]string
}

func (m titled) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if fmt.Sprintf("%T", msg) == "tea.setWindowTitleMsg" {
		*m.says = append(*m.says, fmt.Sprint(msg))
	}
	next, cmd := m.Model.Update(msg)
	return titled{next, m.says}, cmd
}

func driveTitled(t testing.TB, log shell.Log) (*driver, *[]string) {
	t.Helper()
	now, mono, says := monday, time.Hour, new([]string)
	d := &driver{t: t, now: &now, mono: &mono, w: 80, h: 24}
	o := d.options()
	o.Log, o.Titles = log, true
	d.m = titled{New(o), says}
	d.send(tea.WindowSizeMsg{Width: d.w, Height: d.h})
	d.run(d.m.Init())
	return d, says
}

// The title says what is released next, and is given only when it changes.
func TestTheTitleSaysWhatIsNext(t *testing.T) {
	d, says := driveTitled(t, exampleAt(t, monday))
	d.pass(time.Second)
	d.pass(time.Second)
	d.toStart("89")
	d.keys("1")
	d.pass(90 * time.Second)
	d.keys("1", "esc")
	d.pass(4 * time.Minute)
	d.keys("right", "1", "0", "1", "esc")
	want := []string{
		"09:04 2B release – Larkrise cottage (invented)", "09:02 E1 fusion ends – Larkrise cottage (invented)", "E1 FUSION ENDED – Larkrise cottage (invented)",
		"09:04 2B release – Larkrise cottage (invented)", "2B RELEASE – Larkrise cottage (invented)", "09:14 E1 release – Larkrise cottage (invented)",
	}
	if strings.Join(*says, "\n") != strings.Join(want, "\n") {
		t.Errorf("the titles were\n%s\nwant\n%s", strings.Join(*says, "\n"), strings.Join(want, "\n"))
	}
}
