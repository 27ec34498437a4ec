package main

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"coolhold/fusion"
	"coolhold/logbook/store"
)

// A progress is the line on stderr of work that takes longer than a second: which stage,
// how much of it is done and about how long it takes yet, as far as that can be counted.
// It is drawn on a terminal only, and gone before anything else is written there.
type progress struct {
	mu      sync.Mutex
	w       io.Writer // nil where nothing is drawn
	now     func() fusion.Stamp
	began   time.Duration // on the boot clock
	stage   string
	since   time.Duration // when the stage began
	done    int
	of      int // 0: the stage is not counted
	drawn   bool
	over    chan struct{} // closed at the end; nil: not begun
	stopped bool
}

const (
	barAfter = time.Second
	barEvery = 200 * time.Millisecond
	barWidth = 20
)

// newProgress is drawn on what e.err is, once a stage has begun. What is written through
// e.err wipes it away first.
func newProgress(e edges) *progress {
	p := &progress{now: e.now}
	if onTerminal(e.err) {
		p.w = e.err
		if o, is := e.err.(*watched); is {
			p.w = o.w
		}
	}
	return p
}

// begins has what takes long of a log be told too.
func (p *progress) begins() {
	if p == nil || p.w == nil {
		return
	}
	p.enters("working")
	store.WhenBusy(p.at)
}

// enters begins a stage. From the first on it is drawn by itself, whatever the work does.
func (p *progress) enters(stage string) {
	if p == nil || p.w == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	at := p.now().Boot
	if p.over == nil && !p.stopped {
		p.began, p.over = at, make(chan struct{})
		go p.runs(p.over)
	}
	if stage != p.stage {
		p.stage, p.since = stage, at
	}
	p.done, p.of = 0, 0
}

// at is enters and step in one: the log's reader says both.
func (p *progress) at(stage string, done, of int) {
	if done == 0 {
		p.enters(stage)
	}
	p.step(done, of)
}

// step says how much of the stage is done.
func (p *progress) step(done, of int) {
	if p == nil || p.w == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.done, p.of = done, of
}

func (p *progress) runs(over chan struct{}) {
	beat := time.NewTicker(barEvery)
	defer beat.Stop()
	for {
		select {
		case <-over:
			return
		case <-beat.C:
			p.draw()
		}
	}
}

// draw draws the line, once the work has taken so long that somebody waits.
func (p *progress) draw() {
	p.mu.Lock()
	defer p.mu.Unlock()
	at := p.now().Boot
	if p.stopped || at-p.began < barAfter {
		return
	}
	p.drawn = true
	fmt.Fprint(p.w, "\r\x1b[K"+barLine(p.stage, p.done, p.of, at-p.since))
}

// barLine is the line of a stage that has taken so long.
func barLine(stage string, done, of int, ran time.Duration) string {
	if of <= 0 || done <= 0 {
		return fmt.Sprintf("%s … %v", stage, ran.Round(time.Second))
	}
	done = min(done, of)
	full := barWidth * done / of
	line := fmt.Sprintf("%s [%s%s] %d of %d", stage, strings.Repeat("#", full), strings.Repeat(".", barWidth-full), done, of)
	if left := time.Duration(float64(ran) / float64(done) * float64(of-done)).Round(time.Second); left > 0 {
		line += fmt.Sprintf(", about %v left", left)
	}
	return line
}

// clears wipes the line away: something else is written.
func (p *progress) clears() {
	if p == nil || p.w == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.clear()
}

func (p *progress) clear() {
	if p.drawn {
		fmt.Fprint(p.w, "\r\x1b[K")
		p.drawn = false
	}
}

// end wipes the line away for good.
func (p *progress) end() {
	if p == nil || p.w == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.clear()
	if p.stopped {
		return
	}
	p.stopped = true
	store.WhenBusy(nil)
	if p.over != nil {
		close(p.over)
		p.over = nil
	}
}
