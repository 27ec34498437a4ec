package store

import (
	"context"
	"errors"
	"testing"
	"time"

	"coolhold/logbook"
)

// A program that is stopped by Ctrl-Z must not have the lock: it is stopped when no log
// is open, and none is opened between that and the stop.
func TestStillHasNoLogOpen(t *testing.T) {
	l := fresh(t)
	over, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := l.Append(context.Background(), func(logbook.Reader) ([]logbook.Draft, error) {
		if _, ok := Still(over); ok {
			t.Error("still, with a save under way")
		}
		return nil, nil
	})
	if err != nil {
		t.Fatal(err)
	}
	letGo, ok := Still(over)
	if !ok {
		t.Fatal("not still with nothing under way")
	}
	soon, cancel := context.WithTimeout(context.Background(), 20*time.Millisecond)
	defer cancel()
	if _, err := l.Book(soon, ""); !errors.Is(err, ErrLocked) {
		t.Errorf("read while it had to be still: %v", err)
	}
	read := make(chan error)
	go func() { _, err := l.Book(context.Background(), ""); read <- err }()
	letGo()
	if err := <-read; err != nil {
		t.Errorf("after that: %v", err)
	}
}
