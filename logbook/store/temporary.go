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
	foldersBegin    = "coolhold-copy-"
	copyBegins      = "copy.coolhold" // what stands in such a folder
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
		sweepOnce(info)
	}
	return f, nil
}

// TemporaryCopy is a name for a copy of a log that goes on to somewhere else, in a folder
// of its own, and removes both. What a killed program leaves of them is swept at a later
// start.
func TemporaryCopy() (path string, remove func(), err error) {
	dir, err := os.MkdirTemp("", foldersBegin+"*")
	if err != nil {
		return "", nil, err
	}
	if info, err := os.Stat(dir); err == nil {
		sweepOnce(info)
	}
	return filepath.Join(dir, copyBegins), func() { _ = os.RemoveAll(dir) }, nil
}

// sweepOnce sweeps the folder of temporary files, by its own clock, as the others' age is.
func sweepOnce(made os.FileInfo) {
	sweeps.Do(func() { sweep(os.TempDir(), made.ModTime()) })
}

func discard(tmp *os.File) {
	_ = tmp.Close()
	_ = os.Remove(tmp.Name()) // mostly it has no name any more
}

// sweep removes what killed programs left in a folder: of the name, of this account, old,
// and open nowhere; a plain file, or a folder with a copy and nothing of anybody else.
func sweep(dir string, now time.Time) {
	found, _ := os.ReadDir(dir) // what cannot be listed stays
	for _, f := range found {
		file := strings.HasPrefix(f.Name(), temporaryBegins) && strings.HasSuffix(f.Name(), temporaryEnds)
		folder := strings.HasPrefix(f.Name(), foldersBegin)
		if !file && !folder {
			continue
		}
		info, err := f.Info()
		if err != nil || now.Sub(info.ModTime()) <= leftAfter || !isOwn(info) {
			continue
		}
		path := filepath.Join(dir, f.Name())
		switch {
		case file && info.Mode().IsRegular():
			removeIdle(path)
		case folder && info.IsDir():
			sweepFolder(path)
		}
	}
}

// sweepFolder removes a copy and the parts of it, then the folder, which stays where
// anything else is in it.
func sweepFolder(dir string) {
	found, _ := os.ReadDir(dir)
	for _, f := range found {
		if f.Type().IsRegular() && strings.HasPrefix(f.Name(), copyBegins) {
			removeIdle(filepath.Join(dir, f.Name()))
		}
	}
	_ = os.Remove(dir)
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
