package main

import (
	"bytes"
	"runtime"
	"testing"
	"time"

	"coolhold/fusion"
)

// The line names the stage, how much of it is done, and about how long it takes yet; it
// comes only for what takes longer than a second, and is gone before anything is written.
func TestProgress(t *testing.T) {
	boot := time.Hour
	var out bytes.Buffer
	p := &progress{w: &out, now: func() fusion.Stamp { return fusion.Stamp{Boot: boot} }}
	p.enters("reading")
	p.step(1, 4)
	boot += 999 * time.Millisecond
	p.draw()
	if out.Len() > 0 {
		t.Errorf("drawn within a second: %q", &out)
	}
	boot += 1001 * time.Millisecond
	p.draw()
	if got := out.String(); got != "\r\x1b[Kreading [#####...............] 1 of 4, about 6s left" {
		t.Errorf("a stage that is counted: %q", got)
	}
	out.Reset()
	said := &watched{w: &out, before: p.clears}
	if _, err := said.Write([]byte("said\n")); err != nil || out.String() != "\r\x1b[Ksaid\n" {
		t.Errorf("beside what is written: %q, %v", &out, err)
	}
	out.Reset()
	p.enters("judging")
	boot += 3 * time.Second
	p.draw()
	if got := out.String(); got != "\r\x1b[Kjudging … 3s" {
		t.Errorf("a stage that is not counted: %q", got)
	}
	out.Reset()
	p.end()
	p.end()
	p.step(4, 4)
	p.draw()
	if got := out.String(); got != "\r\x1b[K" {
		t.Errorf("after its end: %q", got)
	}
	for _, quiet := range []*progress{nil, newProgress(edges{err: &bytes.Buffer{}})} {
		quiet.enters("reading")
		quiet.step(1, 2)
		if quiet.end(); quiet != nil && (quiet.w != nil || quiet.over != nil) {
			t.Error("a line where stderr is no terminal")
		}
	}
}

// What is saved is saved before a program that was told to end does.
func TestASaveIsNotBrokenOff(t *testing.T) {
	s := &saving{}
	s.idle.L = &s.mu
	first, second := s.begin(), s.begin()
	saved := 0
	ended := make(chan int)
	begun := make(chan bool)
	go func() { close(begun); s.last(); ended <- saved }()
	<-begun
	first()
	first() // twice is once
	for range 1000 {
		runtime.Gosched() // it would end now, if it did not wait
	}
	select {
	case <-ended:
		t.Fatal("it ended while something was saved")
	default:
	}
	saved = 1
	second()
	if got := <-ended; got != 1 {
		t.Error("it ended before the last save")
	}
}
