package main

import (
	"fmt"
	"os"
	"os/signal"
	"sync"

	"coolhold/logbook/whole"
)

// exitInterrupted is the code of a verb that was told to end, as shells have it.
const exitInterrupted = 130

// A saving is what must not be broken off in the middle. A save of the log outlives that
// too: it only could not be said whether it was stored.
type saving struct {
	mu   sync.Mutex
	n    int
	idle sync.Cond
}

var underSave = func() *saving { s := &saving{}; s.idle.L = &s.mu; return s }()

// begin says that something is saved, until end.
func (s *saving) begin() (end func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.n++
	return sync.OnceFunc(func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		if s.n--; s.n == 0 {
			s.idle.Broadcast()
		}
	})
}

// last waits until nothing is saved, and lets nothing be saved any more.
func (s *saving) last() {
	s.mu.Lock() // and never unlocked
	for s.n > 0 {
		s.idle.Wait()
	}
}

// endsCleanly has a verb that is told to end leave nothing half done: what it saves is
// saved, no part of a file stays, the terminal's line is wiped. Told twice, it ends at
// once.
var endsCleanly = sync.OnceFunc(func() {
	told := make(chan os.Signal, 2)
	signal.Notify(told, endings...)
	go func() {
		<-told
		go func() { <-told; os.Exit(exitInterrupted) }()
		underSave.last()
		whole.Abandon()
		fmt.Fprintln(os.Stderr, "\ncoolhold: interrupted; nothing half done is left")
		os.Exit(exitInterrupted)
	}()
})
