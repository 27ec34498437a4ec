// Package whole writes a file whole or not at all. The file is made under another
// name in the same folder, synced, and only then given its own; last the folder is
// synced, so that the name outlives a power cut. Names that end in ".part-" and
// eight hex digits are what a crash left behind; they may be deleted.
package whole

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"sync"
)

var (
	// ErrUnsynced: the file stands there whole, but a power cut may take its name.
	ErrUnsynced = errors.New("written, but its folder is not synced")
	// ErrNoFile: what stands there is a link, a device or a folder; a file in its
	// place would not be what was meant.
	ErrNoFile = errors.New("no plain file has that name, and nothing else is replaced")
	// ErrOpen: on Windows no file takes the name of one that a program has open.
	ErrOpen = errors.New("another program has that file open: close it there, or give another name")
)

// A Fill makes a file at a name that nothing has yet.
type Fill func(part string) error

// Bytes is the Fill of a file that holds data.
func Bytes(data []byte, perm fs.FileMode) Fill {
	return func(part string) error {
		f, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, perm)
		if err != nil {
			return err
		}
		_, err = f.Write(data)
		return errors.Join(err, f.Close())
	}
}

// CopyOf is the Fill of a file that holds what another does.
func CopyOf(from string, perm fs.FileMode) Fill {
	return func(part string) error {
		in, err := os.Open(from)
		if err != nil {
			return err
		}
		defer in.Close()
		out, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, perm)
		if err != nil {
			return err
		}
		_, err = io.Copy(out, in)
		return errors.Join(err, out.Close())
	}
}

// New writes a file and replaces nothing: where the name is taken the error wraps
// fs.ErrExist, also where another program was quicker. Errors of fill come back as
// they are.
func New(path string, fill Fill) error {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s: %w", path, fs.ErrExist)
	}
	return write(path, fill, claim)
}

// Replace writes a file, in the place of one that stands there already.
func Replace(path string, fill Fill) error {
	info, err := os.Lstat(path)
	if err != nil {
		return write(path, fill, rename)
	}
	if !info.Mode().IsRegular() {
		return fmt.Errorf("%s: %w", path, ErrNoFile)
	}
	return write(path, fill, func(part, path string) error {
		_ = os.Chmod(part, info.Mode().Perm()) // who may read it stays as it was, where the file system has rights
		return rename(part, path)
	})
}

func write(path string, fill Fill, name func(part, path string) error) error {
	mark := make([]byte, 4)
	_, _ = rand.Read(mark) // never fails
	part := fmt.Sprintf("%s.part-%x", path, mark)
	begun(part)
	err := fill(part)
	if err == nil {
		err = SyncFile(part)
	}
	making.Lock() // a file gets its name, or is abandoned
	if err == nil {
		err = name(part, path)
	}
	if err != nil {
		_ = os.Remove(part)
	}
	delete(making.parts, part)
	making.Unlock()
	if err != nil {
		return err
	}
	return SyncFolder(path)
}

// making are the files that are being made and have no name of their own yet.
var making = struct {
	sync.Mutex
	parts map[string]bool
}{parts: map[string]bool{}}

func begun(part string) {
	making.Lock()
	defer making.Unlock()
	making.parts[part] = true
}

// Abandon removes whatever is being made, and lets no file get its name any more: it is
// for a program that was told to end and does so right after.
func Abandon() {
	making.Lock() // and never unlocked
	for part := range making.parts {
		_ = os.Remove(part)
	}
}

// claim names a finished file without replacing another. A hard link does that in
// one step; where the file system has none, the name is taken first.
func claim(part, path string) error {
	err := os.Link(part, path)
	if err == nil {
		return os.Remove(part)
	}
	if errors.Is(err, fs.ErrExist) {
		return err
	}
	return takeName(part, path)
}

// takeName is claim for file systems without links. A crash between its two steps
// leaves an empty file.
func takeName(part, path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	return errors.Join(f.Close(), rename(part, path))
}

// SyncFile makes what a file holds last.
func SyncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// SyncFolder makes the name of a new file last. Windows has no such call and needs
// none.
func SyncFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(filepath.Dir(path))
	if err == nil {
		err = errors.Join(f.Sync(), f.Close())
	}
	if err != nil {
		return fmt.Errorf("%s: %w: %w", path, ErrUnsynced, err)
	}
	return nil
}
