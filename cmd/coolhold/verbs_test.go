package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook/fault/faulttest"
)

// ran is what one run of the program left behind.
type ran struct {
	code     int
	out, err string
}

// tryRun runs the program with nothing from outside but its arguments.
func tryRun(args ...string) ran {
	var out, err bytes.Buffer
	code := run(args, edges{
		in: strings.NewReader(""), out: &out, err: &err,
		now:    func() fusion.Stamp { return fusion.Stamp{} },
		getenv: func(string) string { return "" },
		rand:   strings.NewReader(""),
	})
	return ran{code, out.String(), err.String()}
}

// Each fault of the bad files comes out with its file in front, and nothing
// else does.
func TestCheckBadFiles(t *testing.T) {
	dir := t.TempDir()
	for verb, archive := range map[string]string{"table": "table", "plan": "plan", "kit": "kits"} {
		for _, c := range faulttest.Cases(t, "../../testdata/bad/"+archive+".txtar", 17) {
			file := filepath.Join(dir, c.Name)
			if err := os.WriteFile(file, c.Data, 0o600); err != nil {
				t.Fatal(err)
			}
			got := tryRun(verb, "check", file)
			lines := file + ":" + strings.ReplaceAll(strings.TrimSpace(c.Want), "\n", "\n"+file+":") + "\n"
			if got.code != exitInput || got.out != lines {
				t.Errorf("%s: exit code %d\ngot\n%swant\n%s", file, got.code, got.out, lines)
			}
			if !strings.HasPrefix(got.err, "coolhold: 1 file not in order") {
				t.Errorf("%s: stderr %q", file, got.err)
			}
		}
	}
}

// No flag of one run reaches the next.
func TestRunsAreApart(t *testing.T) {
	args := []string{"time", "--table", "../../testdata/tables/valley.toml", "--fitting", "cap 40", "--ambient", "10"}
	first := tryRun(append(args, "--json")...)
	second := tryRun(args...)
	if !strings.HasPrefix(first.out, "{") || !strings.HasPrefix(second.out, "cap 40 at 10 °C\n") {
		t.Errorf("got\n%s\nand\n%s", first.out, second.out)
	}
	if third := tryRun("time"); third.code != exitUsage || !strings.Contains(third.err, "--table and --fitting and --ambient missing") {
		t.Errorf("got %+v", third)
	}
}

func TestReport(t *testing.T) {
	for _, tc := range []struct {
		err  error
		code int
		line string
	}{
		{nil, exitDone, ""},
		{errors.New("no"), exitFindings, "coolhold: no\n"},
		{errors.New("two\n  lines"), exitFindings, "coolhold: two lines\n"},
		{usage("bad %s", "flag"), exitUsage, "coolhold: bad flag\n"},
		{exitWith(exitRefused, errors.New("no")), exitRefused, "coolhold: no\n"},
		{fmt.Errorf("log: %w", exitWith(exitLog, errors.New("locked"))), exitLog, "coolhold: log: locked\n"},
		{&exitError{code: exitFindings}, exitFindings, ""},
		{exitWith(exitInput, nil), exitDone, ""},
	} {
		var w bytes.Buffer
		if got := report(&w, tc.err); got != tc.code || w.String() != tc.line {
			t.Errorf("%v: got %d, %q, want %d, %q", tc.err, got, w.String(), tc.code, tc.line)
		}
	}
}

// fullDisk takes nothing.
type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestFullDiskIsNoSuccess(t *testing.T) {
	for _, args := range [][]string{
		{"table", "check", "../../testdata/tables/valley.toml"},
		{"plan", "joints", "../../testdata/plans/hillfoot.toml"},
		{"time", "--table", "../../testdata/tables/valley.toml", "--fitting", "cap 40", "--ambient", "10"},
	} {
		var errs bytes.Buffer
		code := run(args, edges{out: fullDisk{}, err: &errs})
		if code != exitFindings || strings.Count(errs.String(), "\n") != 1 || !strings.Contains(errs.String(), "no space left") {
			t.Errorf("%s: exit code %d, %q", args, code, errs.String())
		}
	}
}

func TestInputTooLarge(t *testing.T) {
	file := filepath.Join(t.TempDir(), "large.toml")
	if err := os.WriteFile(file, bytes.Repeat([]byte("#\n"), 1<<20), 0o600); err != nil {
		t.Fatal(err)
	}
	got := tryRun("table", "check", file)
	if got.code != exitInput || got.out != file+":1: the file is larger than 1 MiB: is it the right file?\n" {
		t.Errorf("got %d, %q", got.code, got.out)
	}
}

func TestInputIsAFolder(t *testing.T) {
	got := tryRun("plan", "joints", t.TempDir())
	if got.code != exitInput || got.out != "" || !strings.Contains(got.err, "check that it is a file you may read") {
		t.Errorf("got %+v", got)
	}
}

func TestClock(t *testing.T) {
	a, b := now(), now()
	if a.IsZero() || a.Wall.Location() != b.Wall.Location() || b.Boot < a.Boot {
		t.Errorf("the clock went from %+v to %+v", a, b)
	}
}
