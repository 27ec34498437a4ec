//go:build unix

package main

import (
	"bufio"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	bolt "go.etcd.io/bbolt"
)

// Ctrl-C while a verb waits for the log: it says so, ends with the code that shells know,
// and neither the log nor the folder is another than before.
func TestCtrlCLeavesNothingBehind(t *testing.T) {
	t.Parallel()
	env := []string{selfEnv + "=1", raceEnv}
	dir := t.TempDir()
	log := filepath.Join(dir, "example.coolhold")
	if got := verb(t, env, "demo", "--keep", log, "--no-screen"); got.code != exitDone {
		t.Fatal(got)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	was := fileText(t, log+".journal")
	other, err := bolt.Open(log, 0, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	for _, args := range [][]string{
		{"copy", filepath.Join(dir, "copy.coolhold")},
		{"register", "--out", filepath.Join(dir, "register.pdf")},
		{"note", "XM-0003", "a note", "--by", "Ada Invented", "--other"},
	} {
		before := namesIn(t, dir)
		cmd := exec.Command(self, append(args, "--log", log)...)
		cmd.Env = append(os.Environ(), env...)
		said, err := cmd.StderrPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		var all strings.Builder
		for lines := bufio.NewScanner(said); lines.Scan(); {
			all.WriteString(lines.Text() + "\n")
			if strings.Contains(lines.Text(), "waiting, at most") {
				if err := cmd.Process.Signal(syscall.SIGINT); err != nil {
					t.Fatal(err)
				}
			}
		}
		_ = cmd.Wait() // its code is looked at
		if code := cmd.ProcessState.ExitCode(); code != exitInterrupted || !strings.Contains(all.String(), "coolhold: interrupted; nothing half done is left") {
			t.Errorf("%v: exit code %d, said:\n%s", args, code, &all)
		}
		if now := namesIn(t, dir); strings.Join(now, " ") != strings.Join(before, " ") {
			t.Errorf("%v left %v, there was %v", args, now, before)
		}
		if fileText(t, log+".journal") != was {
			t.Errorf("%v stored something", args)
		}
	}
}
