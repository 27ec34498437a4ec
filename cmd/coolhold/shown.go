package main

import (
	"sync"

	"coolhold/logbook/store"
	"coolhold/tui/shell"
)

// shownLog is the log that the screens show, which may have been handed over.
type shownLog struct {
	mu   sync.Mutex
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
	s.open = l
	return l, nil
}
