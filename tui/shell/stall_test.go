package shell

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
)

// scripted is a log whose saves go as they are told to, one after another, and then
// well.
type scripted struct {
	mu     sync.Mutex
	script []error
	tries  []string // ids of the saves that were tried, marked where they said that they were tried before
	stored []string
	unread error         // of the reading
	block  chan struct{} // of a slow disk: a save says that it began, and waits
}

func (l *scripted) Append(ctx context.Context, act func(logbook.Reader) ([]logbook.Draft, error)) ([]logbook.Entry, error) {
	if l.block != nil {
		l.block <- struct{}{} // it began
		<-l.block
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	drafts, err := act(logbook.NewBook("KM", 1))
	if err != nil || len(drafts) == 0 {
		return nil, err
	}
	id := drafts[0].ID
	l.tries = append(l.tries, id+strings.Repeat(" again", len(logbook.TriedID(ctx))/max(1, len(id))))
	if len(l.script) > 0 {
		err, l.script = l.script[0], l.script[1:]
	}
	if err != nil && !errors.Is(err, logbook.ErrStored) {
		return nil, err
	}
	l.stored = append(l.stored, id)
	e, draftErr := drafts[0].Entry(uint64(len(l.stored)), 0)
	return []logbook.Entry{e}, errors.Join(err, draftErr)
}

func (l *scripted) Book(context.Context, string) (*logbook.Book, error) {
	return logbook.NewBook("KM", 1), l.unread
}
func (*scripted) Beat(fusion.Stamp) error         { return nil }
func (*scripted) LastBeat() (fusion.Stamp, error) { return fusion.Stamp{}, nil }
func (*scripted) Path() string                    { return "scripted" }

// held is the error of a log that another program has.
type held struct{ by string }

func (h held) Error() string  { return "site.log: in use by " + h.by }
func (h held) Unwrap() error  { return logbook.ErrInUse }
func (h held) Holder() string { return h.by }

// A bench is a root whose commands are run when the test says so.
type bench struct {
	t    *testing.T
	r    Root
	cmds []tea.Cmd
	quit bool
}

func benchOn(t *testing.T, log Log) *bench {
	b := &bench{t: t, r: New(Program{
		Log: log, Theme: "plain", Clock: func() fusion.Stamp { return fusion.Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)} },
		Mono: func() time.Duration { return time.Hour }, NewID: func() string { return "id" },
		After: func(time.Duration, tea.Msg) tea.Cmd { return nil },
		Start: func(Env) Screen { return still{} },
	})}
	b.send(tea.WindowSizeMsg{Width: 80, Height: 24})
	b.take(b.r.load(log, true))
	b.run()
	return b
}

func (b *bench) send(msg tea.Msg) {
	m, cmd := b.r.Update(msg)
	b.r = m.(Root)
	b.take(cmd)
}

func (b *bench) take(cmd tea.Cmd) {
	if cmd != nil {
		b.cmds = append(b.cmds, cmd)
	}
}

// run carries out what is to be done now, and not what follows from it.
func (b *bench) run() {
	cmds := b.cmds
	b.cmds = nil
	for _, cmd := range cmds {
		switch msg := cmd().(type) {
		case nil:
		case tea.BatchMsg:
			for _, c := range msg {
				b.take(c)
			}
		case tea.QuitMsg:
			b.quit = true
		default:
			b.send(msg)
		}
	}
}

// runs carries out all that follows.
func (b *bench) runs() {
	for len(b.cmds) > 0 {
		b.run()
	}
}

// saves asks for acts of one note each, named by their ids.
func (b *bench) saves(ids ...string) {
	for _, id := range ids {
		act := func(logbook.Reader) ([]logbook.Draft, error) {
			return []logbook.Draft{{ID: id, Body: logbook.Note{Text: id}}}, nil
		}
		r, cmd := b.r.enqueue(save{id, "the " + id, act})
		b.r = r
		b.take(cmd)
	}
}

func (b *bench) sees(texts ...string) {
	b.t.Helper()
	for _, text := range texts {
		if !strings.Contains(b.r.View(), text) {
			b.t.Errorf("%q is not on the screen:\n%s", text, b.r.View())
		}
	}
}

func (b *bench) lacks(text string) {
	b.t.Helper()
	if strings.Contains(b.r.View(), text) {
		b.t.Errorf("%q is on the screen:\n%s", text, b.r.View())
	}
}

func tried(t *testing.T, l *scripted, want ...string) {
	t.Helper()
	if !slices.Equal(l.tries, want) {
		t.Errorf("tried %q, want %q", l.tries, want)
	}
}

// While another program has the log the queue waits, however long, the strip says
// for whom and since when, and nothing is said to be not stored.
func TestTheQueueWaitsForTheLog(t *testing.T) {
	log := &scripted{}
	b := benchOn(t, log)
	log.tries = nil
	for range 100 {
		log.script = append(log.script, held{"backup (process 7)"})
	}
	b.saves("one", "two", "three")
	b.runs()
	b.sees("storing 3", "3 answers are not stored yet: backup (process 7) has the log, waited for since", "08:00:00")
	for range 98 {
		b.send(Tick())
		b.runs()
	}
	b.sees("storing 3", "backup (process 7)")
	b.lacks("NOT STORED")
	log.script[0] = held{} // nobody knows whom
	b.send(Tick())
	b.runs()
	b.sees("another program has the log")
	b.send(Tick())
	b.runs()
	b.lacks("storing")
	b.lacks("has the log")
	b.lacks("NOT STORED")
	if want := []string{"one", "two", "three"}; !slices.Equal(log.stored, want) {
		t.Errorf("stored %q, want %q", log.stored, want)
	}
}

// A save of which nothing is known stays at the head of the queue with its id, and is
// tried as one that was tried before; nothing overtakes it.
func TestNotKnownIsTriedAgain(t *testing.T) {
	log := &scripted{}
	b := benchOn(t, log)
	log.tries = nil
	unknown := fmt.Errorf("%w: the disk is gone", logbook.ErrNotKnown)
	log.script = []error{unknown, unknown, nil}
	b.saves("one", "two")
	b.runs()
	b.sees("Not known whether stored: the one. It is looked up again", "storing 2")
	b.lacks("NOT STORED")
	b.send(Tick())
	b.runs()
	tried(t, log, "one", "one again")
	b.send(Tick())
	b.runs()
	tried(t, log, "one", "one again", "one again", "two")
	b.lacks("Not known")
	b.lacks("storing")
	log.script, log.tries = []error{unknown, errors.New("looked up: nothing of it is stored")}, nil
	b.saves("three", "four")
	b.runs()
	b.send(Tick())
	b.runs()
	b.sees("NOT STORED: the three and 1 more after it: looked up: nothing of it is stored")
	b.lacks("Not known")
	tried(t, log, "three", "three again")
}

// A save that went through is not said to be not stored, though its journal or the
// reading of the log failed.
func TestStoredAllTheSame(t *testing.T) {
	for _, c := range []struct {
		script []error
		unread error
		says   string
	}{
		{script: []error{fmt.Errorf("%w, but not in its journal: no room", logbook.ErrStored)}, says: "STORED: the one: it is stored, but not in its journal: no room"},
		{unread: errors.New("input/output error"), says: "STORED: the one; but the log cannot be read again: input/output error"},
		{unread: held{"backup"}},
	} {
		log := &scripted{}
		b := benchOn(t, log)
		log.script, log.unread, log.tries = c.script, c.unread, nil
		told := &listens{}
		b.r.stack = []Screen{told}
		b.saves("one", "two")
		b.runs()
		b.sees(c.says)
		b.lacks("NOT STORED")
		b.lacks("storing")
		tried(t, log, "one", "two")
		if !slices.Equal(told.saved, []string{"one", "two"}) {
			t.Errorf("the screens heard of %q", told.saved)
		}
	}
}

// listens is a screen that keeps what it hears to be stored.
type listens struct {
	still
	saved []string
}

func (l *listens) Update(_ Env, msg tea.Msg) Screen {
	if m, ok := msg.(Saved); ok {
		l.saved = append(l.saved, m.ID)
	}
	return l
}

// What is slow begins once what was asked before it is stored, and what is asked
// while it runs is stored meanwhile.
func TestSavesGoOnWhileADocumentIsMade(t *testing.T) {
	log := &scripted{}
	b := benchOn(t, log)
	log.tries, log.stored = nil, nil
	var had []string
	document := fetch{func(Log) (string, error) { had = slices.Clone(log.stored); return "the register is in a file", nil }}
	b.saves("before")
	before := b.cmds
	b.cmds = nil
	r, cmd := b.r.do(&Do{wants: []any{document}})
	b.r = r
	b.take(cmd)
	b.runs()
	if had != nil {
		t.Fatal("it began before what was asked earlier was stored")
	}
	b.cmds = before
	b.run() // the save; its message asks for the document
	long := b.cmds
	b.cmds = nil
	if !b.r.fetching {
		t.Fatal("the document is not made")
	}
	b.saves("meanwhile", "too")
	b.runs()
	tried(t, log, "before", "meanwhile", "too")
	b.lacks("storing")
	if had != nil {
		t.Fatal("the document was made already")
	}
	b.cmds = long
	b.runs()
	b.sees("the register is in a file")
	if len(had) == 0 || had[0] != "before" || b.r.underWay() {
		t.Errorf("it had %q; under way %v", had, b.r.underWay())
	}
}

// A log is opened in the place of another only once all answers are in that one.
func TestAnotherLogWaitsForTheQueue(t *testing.T) {
	log := &scripted{}
	b := benchOn(t, log)
	log.script = []error{held{"backup"}}
	opened := false
	b.saves("one")
	r, cmd := b.r.do(&Do{wants: []any{follow{func() (Log, error) { opened = true; return &scripted{}, nil }}}})
	b.r = r
	b.take(cmd)
	b.runs()
	if opened {
		t.Error("opened while an answer waits")
	}
	b.send(Tick())
	b.runs()
	if !opened || b.r.log == log || !slices.Contains(log.stored, "one") {
		t.Errorf("opened %v; stored in the first log: %q", opened, log.stored)
	}
}

// Whoever leaves while the log cannot be had is told, and the second time leaves.
func TestLeavingTwice(t *testing.T) {
	log := &scripted{}
	b := benchOn(t, log)
	log.script = []error{held{"backup"}, held{"backup"}, held{"backup"}}
	b.saves("one")
	b.runs()
	ctrlC := tea.KeyMsg{Type: tea.KeyCtrlC}
	b.send(ctrlC)
	b.runs()
	b.sees("Leaving when all is stored. Ctrl+C once more leaves now")
	if b.quit {
		t.Fatal("left with an answer unsaid")
	}
	b.send(ctrlC)
	b.runs()
	if !b.quit || b.r.Undone() != 1 {
		t.Errorf("quit %v, %d undone", b.quit, b.r.Undone())
	}
}

// At the start the log is waited for too.
func TestTheFirstLookWaits(t *testing.T) {
	log := &scripted{unread: held{"backup (process 7)"}}
	b := benchOn(t, log)
	b.sees("reading the log", "The log is not read yet: backup (process 7) has it")
	b.send(Tick())
	b.runs()
	b.sees("reading the log")
	log.unread = nil
	b.send(Tick())
	b.runs()
	b.lacks("reading the log")
	b.lacks("not read yet")
	log.unread = held{"backup"}
	for range rereadEvery {
		b.send(Tick())
		b.runs()
	}
	b.lacks("cannot be read") // what was read stays, and is read anew in its turn
}
