package main

import (
	"fmt"
	"strings"

	"coolhold/logbook"
)

// An enclosedFile is how a file that a log names by its hash is found in a folder.
type enclosedFile struct {
	File  string `json:"file"` // its name, as enclosed
	Hash  string `json:"hash"`
	Entry uint64 `json:"entry"`
	Of    string `json:"of"`              // what it is of: a weld, a joint, a section, a test, the site
	Is    string `json:"is"`              // a code of those below
	Found string `json:"found,omitempty"` // where it lies, of its content or else of its name
}

// How an enclosed file is found.
const (
	fileSame    = "same"
	fileChanged = "changed"
	fileMissing = "missing"
)

// line is the file in one line for a person.
func (f enclosedFile) line() string {
	name := fmt.Sprintf("%s (entry %d)", logbook.Clean(f.File), f.Entry)
	switch f.Is {
	case fileSame:
		return fmt.Sprintf("same     %s: %s", name, logbook.Clean(f.Found))
	case fileChanged:
		return fmt.Sprintf("CHANGED  %s: %s has other content than was enclosed", name, logbook.Clean(f.Found))
	}
	return fmt.Sprintf("MISSING  %s: nothing in the folder has its content or its name", name)
}

// holdFiles looks for every enclosed file of the log in a folder and below it. Its
// content says which it is; a file that was renamed is the same.
func (v *verification) holdFiles(dir string) error {
	h, err := heapOf(dir, nil)
	if err != nil {
		return err
	}
	v.filesIn, v.files = dir, []enclosedFile{}
	for _, e := range v.enclosed {
		b, is := e.Open().(logbook.Enclosed)
		if !is {
			continue
		}
		f := enclosedFile{File: b.File, Hash: b.Hash, Entry: e.Seq, Of: logbook.Enclosure{Enclosed: b, Weld: e.Weld, Joint: e.Joint}.Of()}
		f.Found, f.Is = h.find(b)
		v.files = append(v.files, f)
	}
	return nil
}

// filesFault is an error where an enclosed file is not as it was. It says nothing of
// the log.
func (v *verification) filesFault() error {
	var not []enclosedFile
	for _, f := range v.files {
		if f.Is != fileSame {
			not = append(not, f)
		}
	}
	if len(not) == 0 {
		return nil
	}
	what := more(strings.Join(strings.Fields(not[0].line()), " "), len(not))
	return exitWith(exitFindings, fmt.Errorf("an enclosed file is not as it was: %s; look for the file that was enclosed", logbook.Clean(what)))
}
