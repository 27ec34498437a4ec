package main

import (
	"errors"
	"fmt"
	"sync"

	"coolhold/logbook"
	"coolhold/logbook/store"
	"coolhold/tui"
	"coolhold/tui/shell"
)

// boardTwins are the twins of the logs that the board has open, one after another.
type boardTwins struct {
	e    edges
	own  string // the log that --twin speaks of
	mu   sync.Mutex
	last *follower
	done bool   // what --twin says was done, or is not to be: it speaks of the start
	said error  // why the twin that was asked for is not kept
	note string // of the twin that was asked for, to be said when the board is left
}

// of is the follower of a log as it is kept now, nil where it has no twin: somebody may
// have named another meanwhile.
func (b *boardTwins) of(l *store.Log) *follower {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.last != nil && b.last.log != l {
		b.last = nil
	}
	b.last = followerNow(b.e, l, b.last)
	if b.done || absolute(l.Path()) != absolute(b.own) {
		return b.last
	}
	note, err := chooseTwin(b.e, l, b.last, *b.e.twin)
	if errors.Is(err, store.ErrTwinAhead) { // the strip says what holds of the one that it has
		note, err = fmt.Sprintf("--twin %s was not done: %v", *b.e.twin, err), nil
	}
	b.done, b.said = err == nil, err
	b.note += note
	b.last = followerNow(b.e, l, b.last)
	return b.last
}

// look sees, before a log is shown, whether its twin says that it was put back; it
// waits a moment for the stick and no longer. The log itself keeps the answer.
func (b *boardTwins) look(l *store.Log) {
	inTime(twinLook, func() struct{} {
		if f := b.of(l); f != nil {
			s := f.twin.Look()
			f.mu.Lock()
			f.late = s.Err != nil || s.Behind() > 0
			f.mu.Unlock()
		}
		return struct{}{}
	})
}

// follow brings a log's twin up and says how that stands.
func (b *boardTwins) follow(log shell.Log) shell.TwinState {
	l, ok := log.(*store.Log)
	if !ok {
		return shell.TwinState{}
	}
	f := b.of(l)
	b.mu.Lock()
	said := b.said
	b.mu.Unlock()
	if said != nil {
		return shell.TwinState{Trouble: "no twin: " + said.Error()}
	}
	if f == nil {
		return shell.TwinState{}
	}
	return f.state(f.twin.Follow())
}

// state is how the twin stands, for the strip.
func (f *follower) state(s store.TwinState) shell.TwinState {
	out := shell.TwinState{Trouble: trouble(s)}
	f.mu.Lock()
	defer f.mu.Unlock()
	switch {
	case s.Err == nil:
		if f.late {
			out.Brought = int(f.brought + s.Brought)
		}
		f.late, f.brought = false, 0
		f.kept.Entries, f.kept.At = s.Twin, f.e.now().Wall
	case noCopy(s.Err):
		out.Halts = errors.Is(s.Err, store.ErrTwinAhead)
		_ = f.noteNoCopy(s) // what cannot be kept holds for this board at least
	default:
		out.Since, out.Behind = f.kept.At, int(f.behind(s))
		f.brought += s.Brought
		if !f.late {
			f.late = true
			_ = f.keep() // said again at the end, if it cannot be
		}
	}
	return out
}

// run shows the board on a log, nil where there is none yet, with its twin.
func (b *boardTwins) run(o tui.Program, l *store.Log) error {
	if dir := *b.e.twin; dir != "" && dir != noTwin {
		if err := folder(dir); err != nil {
			fmt.Fprintln(b.e.err, "coolhold:", logbook.Clean(err.Error())) // said on the strip too: nobody is kept from the board
		}
	}
	if l != nil {
		b.look(l)
	}
	open := o.Outside.OpenLog
	o.Outside.OpenLog = func(file string) (shell.Log, error) {
		log, err := open(file)
		if l, ok := log.(*store.Log); ok {
			b.look(l)
		}
		return log, err
	}
	o.Outside.Twin = b.follow
	defer b.end()
	return shows(o)
}

// end brings the twin of the last log up when the board is left.
func (b *boardTwins) end() {
	err, _ := inTime(2*twinEnd, func() error {
		b.mu.Lock()
		defer b.mu.Unlock()
		b.e.sayTwin(b.note, nil)
		if b.last != nil {
			b.last = followerNow(b.e, b.last.log, b.last)
		}
		if b.last == nil {
			return b.said
		}
		return b.last.settle(0)
	})
	b.e.sayTwin("", err)
}
