package whole

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// ErrNotPlain: what has that name is a folder, a pipe or a device.
var ErrNotPlain = errors.New("it is no plain file")

// Plain refuses what is no plain file, nor a link to one, before anything opens it: a
// pipe would wait for somebody at its other end, for ever.
func Plain(name string) error {
	info, err := os.Stat(name)
	if err != nil {
		return err
	}
	if what := kindOf(info.Mode()); what != "" {
		return &fs.PathError{Op: "open", Path: name, Err: fmt.Errorf("%w but %s", ErrNotPlain, what)}
	}
	return nil
}

func kindOf(mode fs.FileMode) string {
	switch {
	case mode.IsRegular():
		return ""
	case mode.IsDir():
		return "a folder"
	case mode&fs.ModeNamedPipe != 0:
		return "a pipe"
	case mode&fs.ModeSocket != 0:
		return "a socket"
	}
	return "a device"
}

// Open opens a plain file to read.
func Open(name string) (*os.File, error) {
	if err := Plain(name); err != nil {
		return nil, err
	}
	return os.Open(name)
}

// Read reads a plain file.
func Read(name string) ([]byte, error) {
	f, err := Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}
