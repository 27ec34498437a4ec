package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"coolhold/fusion"
)

// A progress is a bar on stderr for work that takes longer than a second. It
// is drawn on a terminal only.
type progress struct {
	w     io.Writer // nil where nothing is drawn
	now   func() fusion.Stamp
	began time.Duration // on the boot clock
	drawn time.Duration // last, since then; 0: never
}

func newProgress(e edges) *progress {
	p := &progress{now: e.now, began: e.now().Boot}
	if onTerminal(e.err) {
		p.w = e.err
	}
	return p
}

const (
	barAfter = time.Second
	barEvery = 100 * time.Millisecond
	barWidth = 30
)

// step draws how much is done.
func (p *progress) step(done, of int) {
	if p.w == nil || of <= 0 {
		return
	}
	ran := p.now().Boot - p.began
	if ran < barAfter || ran-p.drawn < barEvery {
		return
	}
	p.drawn = ran
	full := barWidth * min(done, of) / of
	fmt.Fprintf(p.w, "\rregister [%s%s] %d of %d", strings.Repeat("#", full), strings.Repeat(".", barWidth-full), done, of)
}

// end wipes the bar away.
func (p *progress) end() {
	if p.w != nil && p.drawn > 0 {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}
