package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain lets the test binary be the program: as coolhold in the scripts,
// and wherever selfEnv is set.
func TestMain(m *testing.M) {
	version = func() string { return "(devel)" } // whatever built the tests: what is kept must not change with it
	if os.Getenv(selfEnv) != "" || strings.TrimSuffix(filepath.Base(os.Args[0]), ".exe") == "coolhold" {
		os.Exit(run(os.Args[1:], testEdges()))
	}
	debug.SetGCPercent(400) // much is made and little kept
	// The tests in a terminal wait for hands, not for the processor.
	if err := flag.Set("test.parallel", "8"); err != nil {
		panic(err)
	}
	code := m.Run()
	server.end()
	os.Exit(code)
}

// scriptClock is how the clock of a script stands at its beginning, 2026-03-09 08:00 UTC.
const scriptClock = "1773043200000 3600000 boot-1\n"

// prepare copies the examples and holds the clock: the same script gives the
// same bytes on any day.
func prepare(env *testscript.Env, examples, bin string) error {
	clock := filepath.Join(env.WorkDir, ".clock")
	env.Setenv(clockEnv, clock)
	env.Setenv("PATH", bin+string(filepath.ListSeparator)+env.Getenv("PATH"))
	env.Vars = append(env.Vars, raceEnv)
	env.Setenv("HOME", filepath.Join(env.WorkDir, "home")) // a key or a theme that is kept stays in the script's folder
	if err := os.WriteFile(clock, []byte(scriptClock), 0o600); err != nil {
		return err
	}
	return copyExamples(env.WorkDir, examples)
}

func copyExamples(work, examples string) error {
	for _, dir := range []string{"tables", "plans", "kits", "photos"} {
		if err := os.CopyFS(filepath.Join(work, dir), os.DirFS(filepath.Join(examples, dir))); err != nil {
			return err
		}
	}
	return nil
}

// exits CODE COMMAND… runs a command that must end with that code.
func exits(start func(*testscript.TestScript, []string) int) func(*testscript.TestScript, bool, []string) {
	return func(ts *testscript.TestScript, neg bool, args []string) {
		if neg || len(args) < 2 {
			ts.Fatalf("usage: exits CODE COMMAND…")
		}
		want, err := strconv.Atoi(args[0])
		ts.Check(err)
		if got := start(ts, args[1:]); got != want {
			ts.Fatalf("exit code %d, want %d", got, want)
		}
	}
}

// holds N FOLDER counts the files in a folder, hidden ones too.
func holds(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: holds N FOLDER")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	found, err := os.ReadDir(ts.MkAbs(args[1]))
	ts.Check(err)
	if len(found) != want {
		ts.Fatalf("%d files in %s, want %d: %v", len(found), args[1], want, found)
	}
}

// flip FILE TEXT turns one bit wherever the file holds the text.
func flip(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: flip FILE TEXT")
	}
	data := []byte(ts.ReadFile(args[0]))
	turned := bytes.Clone([]byte(args[1]))
	turned[0] ^= 1
	if !bytes.Contains(data, []byte(args[1])) {
		ts.Fatalf("%s does not hold %q", args[0], args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), bytes.ReplaceAll(data, []byte(args[1]), turned), 0o600))
}

// repeat N FILE LINE writes a file of that line so many times.
func repeat(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: repeat N FILE LINE")
	}
	n, err := strconv.Atoi(args[0])
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), bytes.Repeat([]byte(args[2]+"\n"), n), 0o600))
}
