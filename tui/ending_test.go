package tui

import (
	"context"
	"errors"
	"io"
	"strings"
	"sync"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/tui/shell"
)

// slowDisk is a log whose saves, once it is slow, wait until they may go on.
type slowDisk struct {
	*memLog
	mu    sync.Mutex
	slow  bool
	saves int           // that are done
	began chan struct{} // a save is at it
	goOn  chan struct{}
	board chan struct{} // closed with the first heartbeat: the board is shown
	once  sync.Once
}

func (l *slowDisk) Beat(at fusion.Stamp) error {
	l.once.Do(func() { close(l.board) })
	return l.memLog.Beat(at)
}

func (l *slowDisk) Append(ctx context.Context, act func(logbook.Reader) ([]logbook.Draft, error)) ([]logbook.Entry, error) {
	l.mu.Lock()
	slow := l.slow
	l.mu.Unlock()
	if slow {
		l.began <- struct{}{}
		<-l.goOn
	}
	defer func() { l.mu.Lock(); l.saves++; l.mu.Unlock() }()
	return l.memLog.Append(ctx, act)
}

// A goingTerminal types keys once the board is shown, and goes away when a save is
// at the slow disk.
type goingTerminal struct {
	log  *slowDisk
	keys []string
}

var errGone = errors.New("input/output error: the terminal is gone")

func (g *goingTerminal) Read(p []byte) (int, error) {
	<-g.log.board
	g.log.mu.Lock()
	g.log.slow = true
	g.log.mu.Unlock()
	if len(g.keys) == 0 {
		<-g.log.began
		return 0, errGone
	}
	key := g.keys[0]
	g.keys = g.keys[1:]
	return copy(p, key), nil
}

// Where the terminal goes away while a save is at a slow disk, that save and those
// behind it are stored before the program ends.
func TestATerminalThatGoesAway(t *testing.T) {
	log := &slowDisk{memLog: exampleAt(t, monday), began: make(chan struct{}), goOn: make(chan struct{}), board: make(chan struct{})}
	tty := &goingTerminal{log: log, keys: []string{"1", "\r", "\r"}}
	var mono time.Duration
	ids := 0
	ended := make(chan error, 1)
	go func() {
		ended <- Run(Program{
			Log: log, Theme: "plain", In: tty, Out: io.Discard, Clock: func() fusion.Stamp { return monday },
			Mono:    func() time.Duration { mono += 100 * time.Millisecond; return mono },
			NewID:   func() string { ids++; return strings.Repeat("i", ids) },
			Outside: shell.Outside{},
			Trace:   func(s string) string { return s },
		})
	}()
	go func() {
		log.goOn <- struct{}{} // the first, which had begun
		for range log.began {
			log.goOn <- struct{}{}
		}
	}()
	err := <-ended
	close(log.began)
	if left := shell.Left(""); !errors.Is(err, errGone) || errors.As(err, &left) {
		t.Errorf("ended with %v", err)
	}
	log.mu.Lock()
	defer log.mu.Unlock()
	if n := log.saves - 1; n < 2 {
		t.Errorf("%d saves are done after the start: those in the queue are lost", n)
	}
}
