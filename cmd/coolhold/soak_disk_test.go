//go:build linux

package main

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"

	"coolhold/logbook/store/soaktest"
)

// spaceEnv is set in a copy of the test that has mounts of its own.
const spaceEnv = "COOLHOLD_TEST_SPACE"

// inSpace runs the rest of a test where it may mount: in a copy of itself in user
// and mount namespaces of its own. It is true in that copy.
func inSpace(t *testing.T) bool {
	t.Helper()
	if os.Getenv(spaceEnv) != "" {
		return true
	}
	if out, err := exec.Command("unshare", "-rm", "true").CombinedOutput(); err != nil {
		t.Skipf("SKIPPED: this system gives no mounts of one's own: %v %s", err, out)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("unshare", "-rm", self, "-test.run", "^"+t.Name()+"$", "-test.v")
	cmd.Env = append(os.Environ(), spaceEnv+"=1")
	out, err := cmd.CombinedOutput()
	t.Logf("%s", out)
	if err != nil {
		t.Error(err)
	}
	return false
}

// mounts puts a file system at a folder until the test has ended.
func mounts(t *testing.T, source, folder, kind string, flags uintptr, data string) {
	t.Helper()
	if err := errors.Join(os.MkdirAll(folder, 0o700), unix.Mount(source, folder, kind, flags, data)); err != nil {
		t.Fatalf("%s: %v", folder, err)
	}
	t.Cleanup(func() { _ = unix.Unmount(folder, unix.MNT_DETACH) })
}

// A log on a small disk is written until the disk is full, again and again with a
// little room made: what was told as stored is there, what was refused is not, and
// the log opens.
func TestSoakDiskFull(t *testing.T) {
	t.Parallel()
	s := soaktest.New(t, "disk full", "a log on a tmpfs of 1 MB with a file that takes what is left")
	if !inSpace(t) {
		s.HandOn()
		return
	}
	disk := filepath.Join(t.TempDir(), "disk")
	mounts(t, "none", disk, "tmpfs", 0, "size=1m")
	log := filepath.Join(disk, "full.coolhold")
	e, _, _ := sealEdges(t)
	if _, _, err := writeExample(e, log, ""); err != nil {
		t.Fatal(err)
	}
	env, said := append(holdClock(t).env(), "TMPDIR="+t.TempDir()), map[string]bool{}
	full := 0
	for n := range soaktest.Rounds(t, 3, 200, 2000) {
		fills(t, filepath.Join(disk, "other"), (n%12)*4096)
		for i := range 4 {
			s.Ran()
			text := fmt.Sprintf("text %d-%d.%s", n, i, strings.Repeat("x", n%7*300))
			got := limited(t, env, "note", "XM-0001", text, "--by", "Ada Invented", "--log", log)
			if said[text] = saidStored(got); !said[text] {
				full++
			}
		}
		if err := os.Remove(filepath.Join(disk, "other")); err != nil {
			t.Fatal(err)
		}
		if n%20 == 19 { // begin anew before the log itself fills the disk
			holdsWhatWasSaid(s, log, said)
			if err := errors.Join(os.Remove(log), os.Remove(log+".journal")); err != nil {
				t.Fatal(err)
			}
			if _, _, err := writeExample(e, log, ""); err != nil {
				t.Fatal(err)
			}
			clear(said)
		}
	}
	holdsWhatWasSaid(s, log, said)
	if _, err := readPlain(log); err != nil {
		s.Loses("%v", err)
	}
	s.Counts("%d saves did not find room", full)
	if full == 0 {
		t.Error("the disk was never full")
	}
}

// fills leaves so many bytes of a disk free.
func fills(t *testing.T, name string, free int) {
	t.Helper()
	var st unix.Statfs_t
	if err := unix.Statfs(filepath.Dir(name), &st); err != nil {
		t.Fatal(err)
	}
	take := int(st.Bavail)*int(st.Bsize) - free
	if err := os.WriteFile(name, make([]byte, max(0, take)), 0o600); err != nil {
		t.Fatal(err)
	}
}

// holdsWhatWasSaid holds the texts of a log against what was said of each.
func holdsWhatWasSaid(s *soaktest.Soak, log string, said map[string]bool) {
	plain, err := readPlain(log)
	if err != nil {
		s.Loses("%v", err)
		return
	}
	all := bytes.Join(plain.lines, nil)
	for text, stored := range said {
		switch n := bytes.Count(all, []byte(text)); {
		case stored && n != 1:
			s.Loses("%.20s was told as stored and is there %d times", text, n)
		case !stored && n != 0:
			s.Lies("%.20s was told as not stored and is there", text)
		}
	}
}

// Another user of the machine can neither read nor change a log, and is told so in
// a line or two.
func TestSoakAnotherUser(t *testing.T) {
	t.Parallel()
	s := soaktest.New(t, "another user", "verbs run as uid 65534 on a log of one's own")
	if os.Geteuid() != 0 {
		t.Skip("SKIPPED: only root can be somebody else")
	}
	dir := t.TempDir()
	log := filepath.Join(dir, "own.coolhold")
	e, _, _ := sealEdges(t)
	if _, _, err := writeExample(e, log, ""); err != nil {
		t.Fatal(err)
	}
	self := forAll(t, dir)
	before := beside(t, log)
	for _, args := range [][]string{{"register"}, {"audit"}, {"verify"}, {"copy", filepath.Join(dir, "copy")}, {"note", "XM-0001", "from elsewhere", "--by", "Eve Invented"}} {
		s.Ran()
		cmd := exec.Command(self, append(args, "--log", log)...)
		cmd.Env = append(os.Environ(), selfEnv+"=1", raceEnv, "TMPDIR=/tmp", "HOME=/tmp", "XDG_CONFIG_HOME=/tmp", "XDG_DATA_HOME=/tmp")
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		out, err := cmd.CombinedOutput()
		if lines := strings.Split(strings.TrimSpace(string(out)), "\n"); err == nil || len(lines) > 2 || !strings.Contains(lines[len(lines)-1], log) {
			s.Lies("%s: %v\n%s", args, err, out)
		}
	}
	for name, data := range beside(t, log) {
		if !bytes.Equal(before[name], data) {
			s.Loses("%s was changed by another user", name)
		}
	}
}

// forAll puts the program where any user may run it, and opens the way to it.
func forAll(t *testing.T, dir string) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "coolhold")
	// Another process copies it: what is open for writing here, and handed on to a program
	// that another test starts just now, could not be run.
	err = exec.Command("cp", self, name).Run()
	err = errors.Join(err, os.Chmod(name, 0o755))
	for up := dir; err == nil && up != os.TempDir() && up != "/"; up = filepath.Dir(up) {
		err = os.Chmod(up, 0o755)
	}
	if err != nil {
		t.Fatal(err)
	}
	return name
}

// The stick that a log lies on is pulled under the board, and put back: what was
// shown as stored is there, what was not stored is said.
func TestSoakStickPulled(t *testing.T) {
	t.Parallel()
	s := soaktest.New(t, "stick pulled", "the folder of the log is unmounted under the board in a walk and mounted again")
	if !inSpace(t) {
		s.HandOn()
		return
	}
	dir := t.TempDir()
	kept, stick := filepath.Join(dir, "kept"), filepath.Join(dir, "stick")
	if err := os.Mkdir(kept, 0o700); err != nil {
		t.Fatal(err)
	}
	mounts(t, kept, stick, "", unix.MS_BIND, "")
	p := &striker{s: s, random: rand.New(rand.NewPCG(20260309, 5))}
	p.site(t, filepath.Join(stick, "site.coolhold"))
	for range soaktest.Rounds(t, 2, 50, 500) {
		for range 1 + p.random.IntN(6) {
			p.strikes(false)
		}
		s.Ran()
		if strings.Contains(p.screen(), "NOT STORED") { // of the last time: what is waited for is this one
			p.press("esc")
			p.waitGone("NOT STORED")
		}
		if err := unix.Unmount(stick, unix.MNT_DETACH); err != nil {
			t.Fatal(err)
		}
		_, next := p.looking()
		if next.before != nil {
			next.before(p)
		}
		for _, k := range strings.Fields(next.keys) {
			p.press(p.fill(k)...)
		}
		failed := func() bool { return strings.Contains(p.screen(), "NOT STORED") }
		// A key struck twice would mean something else.
		if err := p.await(func() bool { return failed() || !next.stores && p.wentOn(next) }, patience); err != nil {
			t.Fatalf("after %q nothing came: %v", next.sight, err)
		}
		mounts(t, kept, stick, "", unix.MS_BIND, "")
		if p.random.IntN(2) == 0 {
			p.kill()
			p.revives()
		}
	}
}
