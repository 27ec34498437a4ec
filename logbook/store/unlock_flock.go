//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package store

import (
	"os"
	"syscall"
)

// unlock lets the lock of bbolt go. Closing the file is not enough here: its
// map, which is left behind, keeps the lock.
func unlock(f *os.File) { _ = syscall.Flock(int(f.Fd()), syscall.LOCK_UN) }

// unname takes the name from a file that is open: the file lasts as long as somebody
// has it open.
func unname(f *os.File) { _ = os.Remove(f.Name()) }

// reopen opens a file once more that may have no name.
func reopen(f *os.File) (*os.File, error) {
	syscall.ForkLock.RLock()
	defer syscall.ForkLock.RUnlock()
	fd, err := syscall.Dup(int(f.Fd()))
	if err != nil {
		return nil, err
	}
	syscall.CloseOnExec(fd)
	return os.NewFile(uintptr(fd), f.Name()), nil
}

// isOwn tells whether a file is of the account that runs the program.
func isOwn(info os.FileInfo) bool {
	sys, ok := info.Sys().(*syscall.Stat_t)
	return ok && int(sys.Uid) == os.Geteuid()
}

// removeIdle removes a file unless some program has it locked.
func removeIdle(path string) {
	f, err := os.Open(path)
	if err != nil {
		return
	}
	defer f.Close()
	if syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil {
		_ = os.Remove(path)
	}
}
