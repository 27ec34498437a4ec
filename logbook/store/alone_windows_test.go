package store

import (
	"errors"
	"syscall"
	"testing"
)

// A log that another program has for itself is in use: it is waited for, and neither
// damaged nor away.
func TestShutByAnother(t *testing.T) {
	l := aDay(t)
	name, err := syscall.UTF16PtrFromString(l.path)
	if err != nil {
		t.Fatal(err)
	}
	h, err := syscall.CreateFile(name, syscall.GENERIC_READ, 0, nil, syscall.OPEN_EXISTING, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	if err != nil {
		t.Fatal(err)
	}
	for what, err := range entrances(l.path) {
		if !errors.Is(err, ErrLocked) {
			t.Errorf("%s: %v", what, err)
		}
	}
	done := make(chan error)
	go func() { _, err := l.Append(bg, saves("waited", 1)); done <- err }()
	if err := syscall.CloseHandle(h); err != nil {
		t.Fatal(err)
	}
	if err := <-done; err != nil {
		t.Errorf("after it was let go: %v", err)
	}
}
