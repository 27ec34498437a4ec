//go:build scripts

// The tag stands here as long as go.mod does not list what the scripts import.

package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain lets the test binary be the program, for the scripts.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"coolhold": func() { os.Exit(run(os.Args[1:], realEdges())) },
	})
}

// The scripts in testdata read like a manual: what is typed, what is answered,
// and the exit code. The top-level tables and plans lie beside them.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:   "testdata",
		Setup: copyExamples,
		Cmds:  map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
	})
}

func copyExamples(env *testscript.Env) error {
	for _, dir := range []string{"tables", "plans"} {
		from := os.DirFS(filepath.Join("..", "..", "testdata", dir))
		if err := os.CopyFS(filepath.Join(env.WorkDir, dir), from); err != nil {
			return err
		}
	}
	return nil
}

// exits CODE COMMAND… runs a command that must end with that code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND…")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	var ee *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &ee) {
		got = ee.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}
