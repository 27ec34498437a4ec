package shell

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
)

// slowLog is a log whose saves end when the test hands their messages on.
type slowLog struct{ err error }

func (l slowLog) Append(context.Context, func(logbook.Reader) ([]logbook.Draft, error)) ([]logbook.Entry, error) {
	return nil, l.err
}
func (slowLog) Book(context.Context, string) (*logbook.Book, error) {
	return logbook.NewBook("KM", 1), nil
}
func (slowLog) Beat(fusion.Stamp) error               { return nil }
func (slowLog) LastBeat() (fusion.Stamp, error)       { return fusion.Stamp{}, nil }
func (slowLog) Path() string                          { return "slow" }
func nothing(logbook.Reader) ([]logbook.Draft, error) { return nil, nil }

// still is a screen that does nothing.
type still struct{}

func (s still) Update(Env, tea.Msg) Screen { return s }
func (still) View(Env) string              { return "" }
func (still) Keys(Env) Keys                { return nil }
func (still) Takes(Env) Taking             { return NoScan }

// Ctrl-Z waits until what is to be stored is, and what reads the log is back: stopped
// in the middle of it coolhold would lock everybody out. A save that fails cancels it,
// so that it is seen.
func TestPutAsideOnceAllIsStored(t *testing.T) {
	ctrlZ := tea.KeyMsg{Type: tea.KeyCtrlZ}
	for _, fails := range []error{nil, errors.New("no space left on device")} {
		asides, log := 0, slowLog{fails}
		r := New(Program{
			Log: log, Theme: "plain", Clock: func() fusion.Stamp { return fusion.Stamp{Wall: time.Unix(0, 0)} },
			Mono: func() time.Duration { return time.Hour }, NewID: func() string { return "id" },
			After:    func(time.Duration, tea.Msg) tea.Cmd { return nil },
			PutAside: func(string) tea.Cmd { asides++; return nil },
			Start:    func(Env) Screen { return still{} },
		})
		send := func(msg tea.Msg, want int, when string) {
			t.Helper()
			m, _ := r.Update(msg)
			if r = m.(Root); asides != want {
				t.Errorf("%s: put aside %d times, want %d (a save fails: %v)", when, asides, want, fails)
			}
		}
		send(ctrlZ, 0, "the log is still read")
		send(r.load(log, false)(), 1, "the log is read")
		r, save := r.enqueue(save{"id", "a word", nothing})
		sent := func(msg tea.Msg) { m, _ := r.Update(msg); r = m.(Root) }
		sent(ctrlZ)
		if asides != 1 {
			t.Error("put aside while something is not stored")
		}
		sent(save())
		if want := map[bool]int{true: 2, false: 1}[fails == nil]; asides != want {
			t.Errorf("after the save: put aside %d times, want %d (it fails: %v)", asides, want, fails)
		}
		if fails != nil && !strings.Contains(r.lines[0].text, "NOT STORED") {
			t.Errorf("not said: %+v", r.lines)
		}
		sent(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("x")})
		r.opts.PutAside = nil // a system that cannot
		sent(ctrlZ)
	}
}
