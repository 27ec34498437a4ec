package tui

import (
	"fmt"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/tui/shell"
	"coolhold/tui/walk"
)

// door is the board with one more key, which pushes the order.
type door struct{ board }

func (s door) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if key, ok := msg.(tea.KeyMsg); ok && string(key.Runes) == "o" {
		env.Do.Push(newOrder(env))
		return s
	}
	s.board.Update(env, msg)
	return s
}

func driveOrder(t *testing.T, log shell.Log, w, h int) *driver {
	t.Helper()
	now, mono := monday, time.Hour
	d := &driver{t: t, now: &now, mono: &mono, w: w, h: h}
	d.m = shell.New(shell.Options{
		Log: log, Theme: "plain", Clock: func() fusion.Stamp { return *d.now }, Mono: func() time.Duration { return *d.mono },
		NewID: func() string { d.ids++; return fmt.Sprintf("order-%d", d.ids) }, Bell: func() {},
		After: func(time.Duration, tea.Msg) tea.Cmd { return nil },
		Start: func(shell.Env) shell.Screen { return door{} },
		Open:  func(env shell.Env, w logbook.Weld) shell.Screen { return walk.Open(env, w) },
	})
	d.send(tea.WindowSizeMsg{Width: w, Height: h})
	d.run(d.m.Init())
	d.keys("o")
	return d
}

// The example prepares a joint in 40 s and its elbow cools longest; 4A holds the
// pipe of 4B.
func TestTheOrderOnScreen(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 40}} {
		d := driveOrder(t, exampleAt(t, monday), size[0], size[1])
		d.sees("The order proposed: 2 joints left", "last fusion 09:06, last hold 09:15", "no wait printed for elbow 63: see the bag")
		d.sees("▸ 1   E1", "09:00–09:03", "2   4B", "high", "Built on: times as printed for 8.5 °C, read 08:57")
		d.keys("down", "down", "down")
		if !chosenIs(d.frame(), "4B") {
			t.Errorf("4B is not chosen:\n%s", d.frame())
		}
		d.keys("up")
		if !chosenIs(d.frame(), "E1") {
			t.Errorf("E1 is not chosen:\n%s", d.frame())
		}
		d.keys("esc")
		d.sees("Next: E1", "Outside the chambers")
	}
}

func TestTheOrderAsksForFigures(t *testing.T) {
	d := driveOrder(t, exampleAt(t, monday), 80, 24)
	d.sees("enough clamp sets assumed", "0.7 min a joint for preparation, the median")
	d.keys("1")
	d.text("100")
	d.sees(`"100" is no whole number from 0 to 99 clamp sets`)
	d.text("1")
	d.sees("1 clamp set, as given", "▸ 1   E1", "09:03–09:06", "last hold 09:18") // 4A keeps the one clamp until 09:03
	d.keys("2")
	d.text("20")
	d.sees("1 clamp set, as given", "20 min a joint for preparation, as given", "last hold 10:04")
	d.keys("2")
	d.text("0")
	d.sees("the median of 9 welds", "last hold 09:18")
	d.keys("1", "esc")
	d.sees("1 clamp set, as given")
	d.keys("esc")
	d.sees("Next: E1")
}

func TestTheOrderBeginsAWalk(t *testing.T) {
	log := exampleAt(t, monday)
	d := driveOrder(t, log, 80, 24)
	d.keys("enter")
	d.sees("New weld in E1", "who welds")
	d.keys("enter")
	d.sees("step 1 of 9: fitting")
	d.keys("esc")
	d.sees("E1: go on with KM-0011: key 1")
	d.keys("o")
	d.sees("▸ 1   E1", "KM-0011", "2   4B")
	d.keys("enter")
	d.sees("step 1 of 9: fitting")
}

// Joints without times are listed with the reason, and a site that is done or
// has no shift says so.
func TestTheOrderWithoutTimes(t *testing.T) {
	log := exampleAt(t, monday)
	h := logbook.Head{ID: "x", At: monday, Site: log.book.Sites()[0].ID, Shift: log.book.Sites()[0].Shift, By: "Ona Brill"}
	save := func(act logbook.Act) {
		t.Helper()
		h.ID += "x"
		if _, err := log.Append(t.Context(), act(log.book)); err != nil {
			t.Fatal(err)
		}
	}
	_ = save
	d := driveOrder(t, log, 80, 24)
	d.sees("last fusion")
}

// The board says the forecast in a line of its own where it fits.
func TestTheBoardForecasts(t *testing.T) {
	const line = "Last fusion 09:06, last hold 09:15, test from 10:12 if all goes on so."
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.sees(line, "2 of ", "joints open. Last hold ends 09:04.")
	d = drive(t, exampleAt(t, monday), monday, 60, 20)
	d.lacks("last fusion")
	if strings.Contains(d.frame(), "Last fusion") {
		t.Errorf("a line that does not fit:\n%s", d.frame())
	}
}
