package whole

import (
	"errors"
	"os"
	"syscall"
	"time"
)

const (
	sharingViolation = syscall.Errno(32) // another program has it open
	patience         = time.Second       // how long such a program is waited for
	retry            = 5 * time.Millisecond
)

// rename waits a moment for a program that has the file open: this system renames
// over none such, and a verb that reads is done within milliseconds.
func rename(part, path string) error {
	for over := time.After(patience); ; wait() {
		err := os.Rename(part, path)
		if !errors.Is(err, syscall.ERROR_ACCESS_DENIED) && !errors.Is(err, sharingViolation) {
			return err
		}
		select {
		case <-over:
			if opened(path) {
				return ErrOpen
			}
			return err
		default:
		}
	}
}

// wait is between two tries; in a test the other program is done then.
var wait = func() { time.Sleep(retry) }

// opened tells whether a program has the file open: the refusal of a rename does not
// say so, it is the same where the rights are missing.
func opened(path string) bool {
	name, err := syscall.UTF16PtrFromString(path)
	if err != nil {
		return false
	}
	h, err := syscall.CreateFile(name, syscall.GENERIC_READ, 0, nil, syscall.OPEN_EXISTING, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	if err == nil {
		_ = syscall.CloseHandle(h)
	}
	return errors.Is(err, sharingViolation)
}
