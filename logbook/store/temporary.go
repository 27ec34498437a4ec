package store

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"coolhold/logbook/whole"
)

// A temporary copy of a log, made to be read, has a name that nobody gives a file of
// his own.
const (
	temporaryBegins = "coolhold-reading-"
	temporaryEnds   = ".tmp"
)

// leftAfter is the age at which no program reads a temporary copy any more.
const leftAfter = time.Hour

var sweeps sync.Once

// newTemporary is an empty file for a copy of a log, which goes with the program
// however that ends: where the system can, no folder names it.
func newTemporary() (*os.File, error) {
	f, err := os.CreateTemp("", temporaryBegins+"*"+temporaryEnds)
	if err != nil {
		return nil, err
	}
	unname(f)
	if info, err := f.Stat(); err == nil {
		sweeps.Do(func() { sweep(os.TempDir(), info.ModTime()) }) // the folder's own clock, as the others' age is
	}
	return f, nil
}

func discard(tmp *os.File) {
	_ = tmp.Close()
	_ = os.Remove(tmp.Name()) // mostly it has no name any more
}

// sweep removes what killed programs left in a folder: of the name, a plain file of
// this account, old, and open nowhere.
func sweep(dir string, now time.Time) {
	found, _ := os.ReadDir(dir) // what cannot be listed stays
	for _, f := range found {
		if !strings.HasPrefix(f.Name(), temporaryBegins) || !strings.HasSuffix(f.Name(), temporaryEnds) {
			continue
		}
		info, err := f.Info()
		if err == nil && info.Mode().IsRegular() && now.Sub(info.ModTime()) > leftAfter && isOwn(info) {
			removeIdle(filepath.Join(dir, f.Name()))
		}
	}
}

// openBeside opens a file that stands beside a log. One that it makes has the rights of
// the log.
func openBeside(log, path string, flag int) (*os.File, error) {
	if err := whole.Plain(path); err == nil {
		return os.OpenFile(path, flag, 0)
	} else if !os.IsNotExist(err) {
		return nil, err
	}
	perm := own
	if info, err := os.Stat(log); err == nil {
		perm = info.Mode().Perm()
	}
	f, err := os.OpenFile(path, flag|os.O_CREATE, perm)
	if err == nil {
		_ = f.Chmod(perm) // the umask took some; a file system without rights has none to give
	}
	return f, err
}
