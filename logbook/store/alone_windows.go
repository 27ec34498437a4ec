package store

import (
	"errors"
	"fmt"
	"syscall"
	"time"
)

const (
	deleteOnClose    = 0x04000000        // the file goes with the program that has it open, however that ends
	sharingViolation = syscall.Errno(32) // another program has it open
)

// alone is held by who changes the format. On this system the log's own lock must be let
// go a moment before the new file takes the name, and a second program that began to
// change the old one then would have its own new file, and what it wrote there, replaced
// by ours.
func alone(path string) (release func(), err error) {
	name, err := syscall.UTF16PtrFromString(path + ".changing")
	if err != nil {
		return nil, err
	}
	for over := time.After(Patience); ; time.Sleep(retry) {
		h, err := syscall.CreateFile(name, syscall.GENERIC_WRITE, 0, nil, syscall.OPEN_ALWAYS, deleteOnClose, 0)
		if err == nil {
			return func() { _ = syscall.CloseHandle(h) }, nil
		}
		if !errors.Is(err, sharingViolation) && !errors.Is(err, syscall.ERROR_ACCESS_DENIED) { // one that is about to go is refused so
			return nil, fmt.Errorf("%s.changing: %w", path, err)
		}
		select {
		case <-over:
			return nil, refuse(path, ErrLocked, "it is being brought to another format", "try again in a moment")
		default:
		}
	}
}

// shut tells whether a file could not be opened only because another program has it for
// itself, as one that makes copies or looks for viruses does for a moment.
func shut(err error) bool { return errors.Is(err, sharingViolation) }
