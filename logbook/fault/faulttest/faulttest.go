// Package faulttest holds what reads a file of a person against files with
// faults: an archive (txtar) of them, each followed by its exact lines.
package faulttest

import (
	"bytes"
	"errors"
	"os"
	"path"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"coolhold/logbook/fault"
)

// A Case is a file with all that is said of it, a line a fault.
type Case struct {
	Name string
	Data []byte
	Want string
}

// Cases are the files of an archive, least of them or more: what is read from
// nothing would pass for anything.
func Cases(t testing.TB, archive string, least int) []Case {
	t.Helper()
	a, err := txtar.ParseFile(archive)
	if err != nil {
		t.Fatal(err)
	}
	var cases []Case
	for i := 0; i+1 < len(a.Files); i += 2 {
		file, want := a.Files[i], a.Files[i+1]
		if strings.TrimSuffix(file.Name, path.Ext(file.Name))+".want" != want.Name || len(want.Data) == 0 {
			t.Fatalf("%s: %s is followed by %s, %d bytes", archive, file.Name, want.Name, len(want.Data))
		}
		cases = append(cases, Case{file.Name, file.Data, string(want.Data)})
	}
	if len(cases) < least || len(a.Files)%2 != 0 {
		t.Fatalf("%s: %d files with faults, want %d or more, and each with its lines", archive, len(cases), least)
	}
	return cases
}

// Seeds begin a fuzz with the sound files of a pattern and the faulty ones of an
// archive, least of them or more.
func Seeds(f *testing.F, sound, archive string, least int) {
	f.Helper()
	files, _ := filepath.Glob(sound)
	if len(files) == 0 {
		f.Fatalf("there is no %s", sound)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	for _, c := range Cases(f, archive, least) {
		f.Add(c.Data)
	}
}

// Refused lets parse read each file of an archive: it must give the exact faults,
// and hand out nothing beside them.
func Refused[T any](t *testing.T, archive string, least int, parse func([]byte) (T, error)) {
	t.Helper()
	for _, c := range Cases(t, archive, least) {
		t.Run(c.Name, func(t *testing.T) {
			v, err := parse(c.Data)
			if _, ok := err.(fault.List); !ok {
				t.Fatalf("the error is %T: %v", err, err)
			}
			if !reflect.DeepEqual(v, *new(T)) {
				t.Errorf("of a faulty file came %+v", v)
			}
			if got := err.Error() + "\n"; got != c.Want {
				t.Errorf("got\n%swant\n%s", got, c.Want)
			}
		})
	}
}

// Printable checks the faults of any data: they are in the order of its lines,
// none lies outside, and none would act on a screen.
func Printable(t testing.TB, data []byte, err error) {
	t.Helper()
	var faults fault.List
	if !errors.As(err, &faults) || len(faults) == 0 {
		t.Fatalf("the error is %T: %v", err, err)
	}
	last, lines := 1, bytes.Count(data, []byte("\n"))+1
	for _, f := range faults {
		if f.Line < last || f.Line > lines || f.What == "" {
			t.Fatalf("the fault %q after line %d, in a file of %d lines", f, last, lines)
		}
		if strings.ContainsFunc(f.String(), func(c rune) bool { return c < ' ' || c == 0x7f }) {
			t.Fatalf("the fault %q would act on a screen", f)
		}
		last = f.Line
	}
}
