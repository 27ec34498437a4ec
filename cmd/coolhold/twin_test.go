//go:build unix

package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// onStick is the worked example with a twin on a stick, and the environment that the
// programs on it share.
func onStick(t *testing.T) (env []string, log, stick string) {
	t.Helper()
	dir := t.TempDir()
	log, stick = filepath.Join(dir, "example.coolhold"), filepath.Join(dir, "stick")
	env = append(holdClock(t).env(), "COOLHOLD_THEME=", "COOLHOLD_LOG="+log, "XDG_CONFIG_HOME="+filepath.Join(dir, "config"), keysEnv+"="+log+".scanning")
	if err := os.Mkdir(stick, 0o700); err != nil {
		t.Fatal(err)
	}
	if got := verb(t, env, "demo", "--keep", log, "--no-screen"); got.code != exitDone {
		t.Fatal(got)
	}
	return env, log, stick
}

// twinFile is the one twin in a folder, "" where there is none yet.
func twinFile(t *testing.T, dir string) string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "*.twin"))
	if err != nil || len(names) > 1 {
		t.Fatal(names, err)
	}
	return strings.Join(names, "")
}

// A stick is pulled in the middle of the work and put in again: the strip says it, the
// walk does not notice.
func TestTheStickIsPulled(t *testing.T) {
	t.Parallel()
	env, log, stick := onStick(t)
	x := openBoard(t, env, "--twin", stick)
	x.waitFor("joints open.")
	inStep := func() bool {
		name := twinFile(t, stick)
		return name != "" && fileText(t, name) == fileText(t, log+".journal")
	}
	if err := x.await(inStep, patience); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(stick, stick+"-out"); err != nil {
		t.Fatal(err)
	}
	x.waitFor("twin away since")
	before := fileText(t, log+".journal")
	x.press("2")
	x.waitFor("▸ ")
	x.press("2", "1")
	x.waitFor("joints open.")
	x.waitFor("1 entry behind")
	if now := fileText(t, log+".journal"); !strings.HasPrefix(now, before) || !strings.Contains(now[len(before):], "weather changed") {
		t.Errorf("not stored: %q", now[min(len(before), len(now)):])
	}
	if err := os.Rename(stick+"-out", stick); err != nil {
		t.Fatal(err)
	}
	x.waitFor("the twin was 1 entry behind and is brought up")
	x.waitGone("twin away")
	if !inStep() {
		t.Error("the twin is not the journal")
	}
	if err := os.Rename(stick, stick+"-out"); err != nil {
		t.Fatal(err)
	}
	x.waitFor("twin away since")
	x.burst("\x03")
	x.waitFor("0 entries behind: ")
	if code := x.exitCode(); code != exitDone {
		t.Errorf("left with %d", code)
	}
}

// runs runs verbs that are done.
func runs(t *testing.T, env []string) func(args ...string) {
	return func(args ...string) {
		t.Helper()
		if got := verb(t, env, args...); got.code != exitDone {
			t.Fatal(got)
		}
	}
}

// putBack puts a log back to what it was before the newest entry, which its twin has,
// and gives its journal.
func putBack(t *testing.T, env []string, log, stick string) (journal string) {
	t.Helper()
	run := runs(t, env)
	run("twin", stick)
	old := map[string]string{log: fileText(t, log), log + ".journal": fileText(t, log+".journal")}
	run("note", "XM-0006", "lost", "--by", "Ada Invented")
	for name, text := range old {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return old[log+".journal"]
}

// A log that was put back shows its board, says what it lost and stores nothing until
// somebody decides; that is found out without a start.
func TestTheLogWasPutBack(t *testing.T) {
	t.Parallel()
	env, log, stick := onStick(t)
	run := runs(t, env)
	journal := putBack(t, env, log, stick)
	x := openBoard(t, env)
	x.waitFor("joints open.")
	x.waitFor("TWIN AHEAD: this log lost entry ")
	x.press("2")
	x.waitFor("▸ ")
	x.press("2", "1")
	x.waitFor("NOT STORED: what was found at the opening and 1 more") // not that of the opening alone
	if now := fileText(t, log+".journal"); now != journal {
		t.Error("something was stored")
	}
	x.press("esc")
	x.waitGone("NOT STORED")
	run("twin", "--aside", "--by", "Ada Invented", "--why", "the note was of another weld")
	x.waitGone("TWIN AHEAD")
	x.press("2")
	x.waitFor("▸ ")
	x.press("2", "1")
	stored := func() bool {
		return strings.Contains(fileText(t, log+".journal")[len(journal):], "weather changed")
	}
	if err := x.await(stored, patience); err != nil {
		t.Fatal(err)
	}
	x.burst("\x03")
	if code := x.exitCode(); code != exitDone {
		t.Errorf("left with %d", code)
	}
}

// A log was put back and the stick that tells it is lost: nothing is stored, by no program,
// and the stick is not left for another folder or for none until somebody says so with
// name and reason. The board that runs goes on then as one that is opened does, and does
// not name the old stick again when it is left.
func TestTheStickOfALogThatWasPutBackIsLost(t *testing.T) {
	t.Parallel()
	for name, other := range map[string]bool{"another folder": true, "none": false} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			env, log, stick := onStick(t)
			journal := putBack(t, env, log, stick)
			folder := filepath.Join(filepath.Dir(stick), "folder")
			if err := os.Mkdir(folder, 0o700); err != nil {
				t.Fatal(err)
			}
			x := openBoard(t, env)
			x.waitFor("TWIN AHEAD: this log lost entry ")
			x.waitFor("NOT STORED: what was found at the opening")
			if err := os.Rename(stick, stick+"-out"); err != nil {
				t.Fatal(err)
			}
			leave := []string{"twin", "--none"}
			if other {
				leave = []string{"twin", folder}
			}
			for _, args := range [][]string{
				leave, append(leave, "--by", "Ada Invented"), append(leave, "--by", "Ada Invented", "--why", " "),
				{"twin"}, {"twin", stick + "-out"}, {"twin", "--aside", "--by", "Ada Invented", "--why", "lost"},
				{"note", "XM-0006", "more", "--by", "Ada Invented"},
				{"note", "XM-0006", "more", "--by", "Ada Invented", "--twin", folder},
				{"note", "XM-0006", "more", "--by", "Ada Invented", "--twin", "none"},
			} {
				if got := verb(t, env, args...); got.code != exitLog || !strings.Contains(got.err, "--none --by NAME --why TEXT") || !strings.Contains(got.err, "coolhold restore") {
					t.Errorf("%s: %+v", args, got)
				}
			}
			if fileText(t, log+".journal") != journal || twinFile(t, folder) != "" {
				t.Error("something was stored or begun")
			}
			x.waitFor("TWIN AHEAD")
			runs(t, env)(append(leave, "--by", "Hedda Invented", "--why", "the stick is lost")...)
			x.waitGone("TWIN AHEAD")
			x.waitGone("NOT STORED") // by itself
			x.press("2")
			x.waitFor("▸ ")
			x.press("2", "1")
			more := func() string { return fileText(t, log+".journal")[len(journal):] }
			if err := x.await(func() bool { return strings.Contains(more(), "weather changed") }, patience); err != nil {
				t.Fatal(err)
			}
			first, _, _ := strings.Cut(more(), "\n")
			for _, says := range []string{`"kind":"twin set aside"`, `"by":"Hedda Invented"`, `"why":"the stick is lost"`, `"from":`} {
				if !strings.Contains(first, says) {
					t.Errorf("the first entry does not say %s: %s", says, first)
				}
			}
			if err := os.Rename(stick+"-out", stick); err != nil { // it is found, but is not the twin any more
				t.Fatal(err)
			}
			lost := fileText(t, twinFile(t, stick))
			x.burst("\x03")
			if code := x.exitCode(); code != exitDone {
				t.Errorf("left with %d", code)
			}
			got := verb(t, env, "twin")
			switch {
			case other && (got.code != exitDone || !strings.HasPrefix(got.out, folder) || fileText(t, twinFile(t, folder)) != fileText(t, log+".journal")):
				t.Errorf("%+v", got)
			case !other && (got.code != exitFindings || !strings.Contains(got.err, "no twin is kept")):
				t.Errorf("%+v", got)
			}
			if fileText(t, twinFile(t, stick)) != lost {
				t.Error("what was on the stick was changed")
			}
		})
	}
}

// The stick that is lost was mounted where the next one is: that is a decision too, and
// where a twin that is ahead is there, it is not begun anew.
func TestAnotherStickInTheSamePlace(t *testing.T) {
	env, log, stick := onStick(t)
	journal := putBack(t, env, log, stick)
	again := []string{"twin", stick, "--by", "Ada Invented", "--why", "the stick is lost"}
	if got := verb(t, env, again...); got.code != exitLog || !strings.Contains(got.err, "coolhold twin --aside") || fileText(t, log+".journal") != journal {
		t.Errorf("it is there: %+v", got)
	}
	if err := errors.Join(os.Rename(stick, stick+"-out"), os.Mkdir(stick, 0o700)); err != nil {
		t.Fatal(err)
	}
	if got := verb(t, env, "twin", stick); got.code != exitLog || twinFile(t, stick) != "" {
		t.Errorf("nobody decided: %+v", got)
	}
	// In a folder with a twin that has more, too, what is lost is found again.
	if got := verb(t, env, "twin", stick+"-out", "--by", "Ada Invented", "--why", "lost"); got.code != exitLog || !strings.Contains(got.err, "name another folder") {
		t.Errorf("%+v", got)
	}
	if fileText(t, log+".journal") != journal {
		t.Error("something was stored")
	}
	run := runs(t, env)
	run(again...)
	run("note", "XM-0006", "goes on", "--by", "Ada Invented")
	if fileText(t, twinFile(t, stick)) != fileText(t, log+".journal") {
		t.Error("the new twin is not the journal")
	}
	if got := verb(t, env, again...); got.code != exitFindings || !strings.Contains(got.err, "nothing to decide") {
		t.Errorf("no twin is ahead any more: %+v", got)
	}
	run("twin", "--none")
}

// Another twin is named while a board runs: the board brings that one up, and names the
// one that it began with neither while it runs nor when it is left.
func TestAnotherTwinIsNamedMeanwhile(t *testing.T) {
	t.Parallel()
	env, log, stick := onStick(t)
	folder := filepath.Join(filepath.Dir(stick), "folder")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	x := openBoard(t, env, "--twin", stick)
	x.waitFor("joints open.")
	inStep := func(dir string) func() bool {
		return func() bool {
			name := twinFile(t, dir)
			return name != "" && fileText(t, name) == fileText(t, log+".journal")
		}
	}
	if err := x.await(inStep(stick), patience); err != nil {
		t.Fatal(err)
	}
	runs(t, env)("twin", folder)
	left := fileText(t, twinFile(t, stick))
	if err := os.Rename(folder, folder+"-out"); err != nil {
		t.Fatal(err)
	}
	x.waitFor("twin away since")
	x.press("2")
	x.waitFor("▸ ")
	x.press("2", "1")
	x.waitFor("1 entry behind")
	if err := os.Rename(folder+"-out", folder); err != nil {
		t.Fatal(err)
	}
	x.waitFor("the twin was 1 entry behind and is brought up")
	x.burst("\x03")
	if code := x.exitCode(); code != exitDone {
		t.Errorf("left with %d", code)
	}
	if got := verb(t, env, "twin"); got.code != exitDone || !strings.HasPrefix(got.out, folder) || !inStep(folder)() {
		t.Errorf("%+v", got)
	}
	if fileText(t, twinFile(t, stick)) != left {
		t.Error("the twin that was left was brought up")
	}
}

// What is on the stick is enough to check what was sealed, without coolhold and without
// the laptop.
func TestTheRecipeOnTheStick(t *testing.T) {
	for _, tool := range []string{"bash", "openssl", "sha256sum", "base64", "paste"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("no %s here", tool)
		}
	}
	e, _, _ := sealEdges(t)
	l := smallLog(t, e)
	addNote(t, e, l, "before")
	twin := l.Twin(t.TempDir())
	if err := twin.Make(); err != nil {
		t.Fatal(err)
	}
	k, err := laptopKey(e)
	if err != nil {
		t.Fatal(err)
	}
	b, err := sealNow(e, l.Path(), head(e, "Ada Invented"), "")
	if err != nil {
		t.Fatal(err)
	}
	addNote(t, e, l, "after")
	if s := twin.Follow(); s.Err != nil {
		t.Fatal(s.Err)
	}
	seals, err := filepath.Glob(filepath.Join(filepath.Dir(twin.Path()), "*.seal"))
	if err != nil || len(seals) != 1 {
		t.Fatal(seals, err)
	}
	out := cook(t, recipe(t), k.Public(), fileText(t, seals[0]), fileText(t, twin.Path()))
	if !strings.Contains(out, "Signature Verified Successfully") || strings.Count(out, b.Root) != 2 {
		t.Error(out)
	}
}

// Every verb in somebody's name sees to the twin, and finds the log that it writes into.
func TestVerbsSeeToTheTwin(t *testing.T) {
	e := edges{getenv: func(string) string { return "" }}
	n := 0
	var look func(cmd *cobra.Command)
	look = func(cmd *cobra.Command) {
		for _, sub := range cmd.Commands() {
			look(sub)
		}
		if !writes(cmd) || cmd.RunE == nil {
			return
		}
		n++
		if cmd.Flags().Lookup("twin") == nil {
			t.Errorf("%s has no --twin", cmd.CommandPath())
		}
		if err := cmd.Flags().Set("log", "a.coolhold"); err != nil {
			t.Fatal(err)
		}
		if got := writtenLog(cmd); got != "a.coolhold" {
			t.Errorf("%s writes into %q", cmd.CommandPath(), got)
		}
		if cmd.Flags().Lookup("into") == nil {
			return
		}
		if err := errors.Join(cmd.Flags().Set("log", "b.coolhold"), cmd.Flags().Set("into", "b.coolhold")); err != nil {
			t.Fatal(err)
		}
		if got := writtenLog(cmd); got != "b.coolhold" {
			t.Errorf("%s writes into %q", cmd.CommandPath(), got)
		}
	}
	look(newRoot(e))
	if n < 20 {
		t.Errorf("%d verbs write", n)
	}
}
