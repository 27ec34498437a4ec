//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package store

import "os"

// unlock does nothing where the lock goes with the closing of the file.
func unlock(*os.File) {}

// unname leaves the name: here a file that is open cannot lose it.
func unname(*os.File) {}

// reopen opens a file once more.
func reopen(f *os.File) (*os.File, error) { return os.Open(f.Name()) }

// isOwn takes a file for one's own: here everybody has a folder for such files.
func isOwn(os.FileInfo) bool { return true }

// removeIdle removes a file; the system refuses one that is open.
func removeIdle(path string) { _ = os.Remove(path) }
