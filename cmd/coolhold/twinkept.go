package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// A keptTwin is where a log on this machine has its twin. A path is a matter of the
// machine and no fact of the log: it is kept beside the theme, and goes nowhere with
// a copy of the log, which would write over the same twin.
type keptTwin struct {
	File    string    `json:"file"` // the log's, from the root
	Log     string    `json:"log"`  // its id
	Dir     string    `json:"twin"`
	Entries uint64    `json:"entries"` // that the twin had when it was last in step
	At      time.Time `json:"at"`      // when that was
}

func twinsFile() string { return fileOfKept("twins") }

func keptTwins() []keptTwin {
	return readKept(twinsFile(), func(k keptTwin) bool { return k.File != "" && k.Dir != "" })
}

// twinOf is the twin that is kept for a log's file, whose id may not be known.
func twinOf(file, id string) (keptTwin, bool) {
	file = absolute(file)
	for _, k := range keptTwins() {
		if k.File == file && (id == "" || k.Log == id) {
			return k, true
		}
	}
	return keptTwin{}, false
}

// twinsAreRead tells whether what is kept of twins can be read, if there is anything.
func twinsAreRead() bool {
	_, err := os.ReadFile(twinsFile())
	return err == nil || errors.Is(err, fs.ErrNotExist)
}

// keepTwin keeps where a log has its twin; without a folder it has none any more.
func keepTwin(k keptTwin) error {
	k.File = absolute(k.File)
	kept := slices.DeleteFunc(keptTwins(), func(o keptTwin) bool { return o.File == k.File })
	if k.Dir != "" {
		k.Dir = absolute(k.Dir)
		kept = append(kept, k)
	}
	if err := writeKept(twinsFile(), kept); err != nil {
		return fmt.Errorf("where the twin is holds only for this once: %w", err)
	}
	return nil
}

// absolute is a name that means the same from any folder.
func absolute(name string) string {
	if long, err := filepath.Abs(name); err == nil {
		return long
	}
	return name
}

// folder wants a folder that is there.
func folder(dir string) error {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return usage("--twin %s: there is no such folder; put the stick in, or name another", dir)
	case err != nil:
		return usage("--twin %s: %w; name another folder", dir, err)
	case !info.IsDir():
		return usage("--twin %s is no folder; name one on another disk", dir)
	}
	return nil
}
