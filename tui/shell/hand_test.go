package shell

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
)

// leftBy is a root that ended with three acts, and the command that stores the first.
func leftBy(t *testing.T, log *scripted) (r Root, first tea.Cmd) {
	t.Helper()
	b := benchOn(t, log)
	log.tries, log.stored = nil, nil
	b.saves("one", "two", "three")
	if len(b.cmds) != 1 || b.r.Undone() != 3 {
		t.Fatalf("%d commands, %d undone", len(b.cmds), b.r.Undone())
	}
	return b.r, b.cmds[0]
}

// over is a context that has ended.
func over() context.Context {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	return ctx
}

// What the screens leave is stored once, in its order, whether its first began or
// not, and else it is said what is so.
func TestWhatIsLeftIsStored(t *testing.T) {
	disk, unknown := errors.New("no space left"), fmt.Errorf("%w: the disk is gone", logbook.ErrNotKnown)
	for _, c := range []struct {
		what   string
		script []error
		begun  bool
		stored []string
		says   string
	}{
		{"nothing began", nil, false, []string{"one", "two", "three"}, ""},
		{"the first was stored", nil, true, []string{"one", "two", "three"}, ""},
		{"the first was stored, but its journal", []error{logbook.ErrStored}, true, []string{"one", "two", "three"}, ""},
		{"the first was shut out", []error{held{"backup"}}, true, []string{"one", "two", "three"}, ""},
		{"the first was in doubt", []error{unknown}, true, []string{"one", "two", "three"}, ""},
		{"the first failed", []error{disk}, true, nil, "NOT STORED: the one, the two, the three (no space left)"},
		{"the second fails", []error{nil, disk}, true, []string{"one"}, "NOT STORED: the two, the three (no space left)"},
		{"all are shut out", []error{held{"backup"}}, false, nil, "NOT STORED: the one, the two, the three (site.log: in use by backup)"},
		{"the second is in doubt", []error{nil, unknown}, true, []string{"one"},
			"not known whether stored: the two (not known whether it is stored: the disk is gone); NOT STORED: the three (nothing is stored after it)"},
		{"the last is in doubt", []error{nil, nil, unknown}, false, []string{"one", "two"}, "not known whether stored: the three (not known whether it is stored: the disk is gone)"},
	} {
		log := &scripted{}
		r, first := leftBy(t, log)
		log.script = c.script
		if c.begun {
			first() // its message comes to nobody
		}
		err := r.Drain(context.Background())
		says := ""
		if err != nil {
			says = err.Error()
		}
		if says != c.says || !slices.Equal(log.stored, c.stored) {
			t.Errorf("%s: stored %q, says %q; want %q, %q", c.what, log.stored, says, c.stored, c.says)
		}
		if left := Left(""); errors.As(err, &left) != (c.says != "") {
			t.Errorf("%s: %v is not known as what is left", c.what, err)
		}
		first() // too late: it must store nothing
		if !slices.Equal(log.stored, c.stored) {
			t.Errorf("%s: afterwards stored %q", c.what, log.stored)
		}
	}
}

// On a slow disk what began is waited for, and at the end of the patience it is not
// known whether it is stored.
func TestWhatIsLeftOnASlowDisk(t *testing.T) {
	for _, wakes := range []bool{true, false} {
		log := &scripted{}
		r, first := leftBy(t, log)
		log.block = make(chan struct{})
		ended := make(chan struct{})
		go func() { first(); close(ended) }()
		<-log.block
		if !wakes {
			err := r.Drain(over()) // takes as long as one who is shut out
			const want = "not known whether stored: the one (not known whether it is stored: it was still being written); NOT STORED: the two, the three (nothing is stored after it)"
			if err == nil || err.Error() != want {
				t.Errorf("%v, want %s", err, want)
			}
			log.block <- struct{}{}
			<-ended
			continue
		}
		go func() {
			log.block <- struct{}{}
			for range 2 {
				<-log.block
				log.block <- struct{}{}
			}
		}()
		if err := r.Drain(context.Background()); err != nil || !slices.Equal(log.stored, []string{"one", "two", "three"}) {
			t.Errorf("%v, stored %q", err, log.stored)
		}
		<-ended
	}
}

// A document that was being made is said to be unfinished.
func TestAnUnfinishedDocumentIsSaid(t *testing.T) {
	b := benchOn(t, &scripted{})
	r, _ := b.r.asked(func(r Root) (Root, tea.Cmd) {
		return r.fetch(func(Log) (string, error) { return "", nil })
	})
	if err := r.Drain(context.Background()); err == nil || err.Error() != "not finished: a document or a seal that was being made" {
		t.Error(err)
	}
	if err := b.r.Drain(context.Background()); err != nil {
		t.Error(err)
	}
}
