package main

import (
	"sync"

	"coolhold/logbook/store"
	"coolhold/tui/shell"
)

// shownLog is the file of the log that the screens show: a further table goes
// into that one, which may have been handed over, and not into one's own.
type shownLog struct {
	mu   sync.Mutex
	path string
	open *store.Log // nil: none yet
}

// log is the log itself.
func (s *shownLog) log() *store.Log {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.open
}

func (s *shownLog) take(l *store.Log, err error) (shell.Log, error) {
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.path, s.open = l.Path(), l
	return l, nil
}

func (s *shownLog) file() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.path
}
