//go:build unix

package main

import (
	"path/filepath"
	"testing"
)

// A document that nobody can read in a terminal is not poured into one.
func TestNoPDFIntoATerminal(t *testing.T) {
	log := filepath.Join(t.TempDir(), "example.coolhold")
	env := []string{selfEnv + "=1", raceEnv, "COOLHOLD_LOG=" + log}
	if got := verb(t, env, "demo", "--keep", log, "--no-screen"); got.code != exitDone {
		t.Fatalf("demo: exit code %d: %s", got.code, got.err)
	}
	for format, want := range map[string]int{"pdf": exitUsage, "xlsx": exitUsage, "csv": exitDone} {
		x := openBoard(t, env, "register", "--format", format)
		if code := x.exitCode(); code != want {
			t.Errorf("%s ended with exit code %d, want %d:\n%s", format, code, want, x.screen())
		}
	}
	x := openBoard(t, env, "register", "--format", "pdf")
	x.waitFor("name a file with --out")
}
