//go:build linux

package main

import (
	"bytes"
	"fmt"
	"runtime"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"coolhold/fusion"
	"coolhold/logbook/store"
	"coolhold/tui"
	"coolhold/tui/shell"
)

// drawn opens the screens of a log without a terminal and goes on until the board
// stands there.
func drawn(log string, w, h int) (tea.Model, error) {
	l, err := store.Open(log)
	if err != nil {
		return nil, err
	}
	d, err := newDoer(log)
	if err != nil {
		return nil, err
	}
	n, began := 0, time.Now()
	var m tea.Model = tui.New(tui.Program{
		Log: l, Theme: "dark", Clock: func() fusion.Stamp { return d.h.At }, Mono: func() time.Duration { return time.Since(began) },
		NewID: func() string { n++; return fmt.Sprint("view ", n) }, After: soon, In: &bytes.Buffer{}, Out: &bytes.Buffer{},
	})
	m, cmd := m.Update(tea.WindowSizeMsg{Width: w, Height: h})
	todo := []tea.Cmd{m.Init(), cmd}
	for len(todo) > 0 {
		cmd := todo[0]
		todo = todo[1:]
		if cmd == nil {
			continue
		}
		switch msg := cmd().(type) {
		case nil:
		case tea.BatchMsg:
			todo = append(todo, msg...)
		default:
			var next tea.Cmd
			m, next = m.Update(msg)
			todo = append(todo, next)
		}
	}
	if !strings.Contains(m.View(), "joints open.") {
		return nil, fmt.Errorf("the board did not come:\n%s", m.View())
	}
	return m, nil
}

// soon is what comes after a part of a second; the tick of a second never comes.
func soon(d time.Duration, msg tea.Msg) tea.Cmd {
	if d >= time.Second {
		return nil
	}
	return shell.After(d, msg)
}

// viewing measures the drawing of a frame of which nothing has changed, beside a
// program that formats and measures the same cells.
func viewing(b bench) (rows []row, err error) {
	first := map[int]float64{}
	for _, window := range [][2]int{{80, 24}, {120, 40}} {
		for _, s := range b.all() {
			dir, done, err := b.aside()
			if err != nil {
				return rows, err
			}
			r := row{what: fmt.Sprintf("View %d×%d", window[0], window[1]), size: s.label(), unit: "ms", reach: "≤ 3 ×, ≤ 800 allocs, ≤ 1.5 × of 10 joints"}
			log, err := copied(b.dir, s.name, dir)
			if err != nil {
				return rows, err
			}
			m, err := drawn(log, window[0], window[1])
			done()
			if err != nil {
				return rows, err
			}
			frame := ansi.Strip(m.View())
			var allocs float64
			for range b.rounds {
				took, n := timed(100, func() { _ = m.View() })
				floor, _ := timed(100, func() { _ = cells(frame, window[0]) })
				r.ours, r.floor, allocs = append(r.ours, took), append(r.floor, floor), n
			}
			if s.last == 10 {
				first[window[0]] = median(r.ours)
			}
			r.note = fmt.Sprintf("%.0f allocs", allocs)
			r.met = func(r row) bool {
				return r.ratio() <= 3 && allocs <= 800 && median(r.ours) <= 1.5*first[window[0]]
			}
			rows = append(rows, r)
		}
	}
	return rows, nil
}

// timed is how many ms one call takes of so many, and how often it allocates.
func timed(n int, f func()) (each, allocs float64) {
	f()
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	began := time.Now()
	for range n {
		f()
	}
	took := time.Since(began)
	runtime.ReadMemStats(&after)
	return ms(took) / float64(n), float64(after.Mallocs-before.Mallocs) / float64(n)
}

// cells formats each word of a frame, measures it, and joins them to lines of the
// window's width.
func cells(frame string, width int) string {
	var lines []string
	for line := range strings.Lines(frame) {
		var b strings.Builder
		at := 0
		for _, word := range strings.Fields(line) {
			cell := fmt.Sprintf("\x1b[1m%s\x1b[0m ", word)
			at += ansi.StringWidth(cell)
			b.WriteString(cell)
		}
		if at < width {
			fmt.Fprintf(&b, "%*s", width-at, "")
		}
		lines = append(lines, b.String())
	}
	return strings.Join(lines, "\n")
}
