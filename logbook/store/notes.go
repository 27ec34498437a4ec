package store

import "sync"

// notes are what a person must know of a log and no error tells.
type notes struct {
	mu   sync.Mutex
	all  []string
	tell func(string)
}

// Tell hands on what a person must know of the log, one line each: what was said
// already, at the opening say, and what comes later.
func (l *Log) Tell(to func(line string)) {
	l.notes.mu.Lock()
	defer l.notes.mu.Unlock()
	l.notes.tell = to
	for _, line := range l.notes.all {
		to(line)
	}
	l.notes.all = nil
}

func (l *Log) say(lines ...string) {
	l.notes.mu.Lock()
	defer l.notes.mu.Unlock()
	for _, line := range lines {
		if l.notes.tell == nil {
			l.notes.all = append(l.notes.all, line)
			continue
		}
		l.notes.tell(line)
	}
}
