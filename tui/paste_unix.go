//go:build unix

package tui

import (
	"io"
	"os"
	"time"

	"golang.org/x/sys/unix"
)

// pastes is a terminal's input in which every paste has an end.
func pastes(in io.Reader) io.Reader {
	f, ok := in.(*os.File)
	if !ok {
		return in
	}
	return &pasting{File: f, now: time.Now, more: func(within time.Duration) bool {
		ask := []unix.PollFd{{Fd: int32(f.Fd()), Events: unix.POLLIN}}
		n, err := unix.Poll(ask, int(within.Milliseconds()))
		return err == nil && n > 0
	}}
}
