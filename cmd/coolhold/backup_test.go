//go:build unix

package main

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"coolhold/logbook/store"
)

// withStick is a crew on a site of its own, with a folder for a stick.
func withStick(t *testing.T) (c *crew, stick string) {
	t.Helper()
	own := t.TempDir()
	c = &crew{t: t, log: filepath.Join(t.TempDir(), "site.coolhold"), clock: holdClock(t)}
	c.env = append(c.clock.env(), "COOLHOLD_LOG="+c.log, "COOLHOLD_THEME=", keysEnv+"="+c.scanning(), "XDG_CONFIG_HOME="+own, "COOLHOLD_KEY="+filepath.Join(own, "seal.key"))
	c.runs(exitDone, "site", "new", "--tag", "HF", "--plan", hillfoot, "--table", valley)
	stick = filepath.Join(own, "stick")
	if err := os.Mkdir(stick, 0o700); err != nil {
		t.Fatal(err)
	}
	return c, stick
}

// namesStick names it on the board.
func (c *crew) namesStick(dir string) {
	c.t.Helper()
	c.press("8", "4")
	c.types("folder of the stick", dir)
	c.waitFor("the stick of hillfoot-barn-invented is named")
}

// closesShift closes one in which nothing was welded.
func (c *crew) closesShift() {
	c.t.Helper()
	c.press("3")
	c.waitFor(": 0 to feel and look at")
	c.press("9")
	c.answers("close the shift", "1")
}

// reading is what stands on a screen in one line, as a person reads it.
func (c *crew) reading() string { return strings.Join(strings.Fields(c.screen()), " ") }

// says waits until a text stands on the screen, however it is broken into lines.
func (c *crew) says(text string) {
	c.t.Helper()
	if err := c.await(func() bool { return strings.Contains(c.reading(), text) }, patience); err != nil {
		c.t.Fatalf("%q: %v", text, err)
	}
}

func namesIn(t *testing.T, dir string) (names []string) {
	t.Helper()
	found, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range found {
		names = append(names, f.Name())
	}
	return names
}

const hillfootDay = "hillfoot-barn-invented-HF-2026-03-09"

// At the end of a shift a copy and the seal of the day go onto the stick by themselves,
// and whoever has the stick can check both. One that is not in is said, and the work goes
// on.
func TestAtTheEndOfAShiftACopyGoesOntoTheStick(t *testing.T) {
	t.Parallel()
	c, stick := withStick(t)
	c.opens()
	c.readsTableBack()
	c.startsShift()
	c.namesStick(stick)
	c.closesShift()
	c.says("copy on the stick: " + hillfootDay + ".coolhold, with the seal of 2026-03-09")
	want := []string{hillfootDay + ".coolhold", hillfootDay + ".seal", "hillfoot-barn-invented-HF.stick"}
	if got := namesIn(t, stick); !slices.Equal(got, want) {
		t.Fatalf("on the stick: %v, want %v", got, want)
	}
	copied := filepath.Join(stick, want[0])
	out := c.runs(exitDone, "verify", copied, "--seal", filepath.Join(stick, want[1]))
	if !strings.Contains(out, "day 2026-03-09") || !strings.Contains(out, "by Ada") {
		t.Errorf("verify says of the copy:\n%s", out)
	}
	if got, own := c.runs(exitDone, "register", "--log", copied), c.runs(exitDone, "register"); got != own {
		t.Error("the copy has another register than the log")
	}

	// The stick is not in; its folder is there all the same, as on many systems.
	if err := os.Rename(stick, stick+"-out"); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(stick, 0o700); err != nil {
		t.Fatal(err)
	}
	c.press("left")
	c.startsAgain()
	c.closesShift()
	c.says("NO COPY ON THE STICK: that of hillfoot-barn-invented is not in (")
	c.says("put it in, then: coolhold backup")
	if got := namesIn(t, stick); len(got) > 0 {
		t.Errorf("in the folder of the stick that is not in: %v", got)
	}
	c.press("esc")
	c.waitGone("NO COPY")
	c.startsAgain() // the board goes on
	c.leaves()

	// It is put in, and the verb does what was left.
	if err := errors.Join(os.Remove(stick), os.Rename(stick+"-out", stick)); err != nil {
		t.Fatal(err)
	}
	if out := c.runs(exitDone, "backup", "--by", "Ada"); out != "copy on the stick: "+hillfootDay+"-2.coolhold, with the seal of 2026-03-09\n" {
		t.Errorf("backup says %q", out)
	}
	if out := c.runs(exitDone, "backup"); out != "on the stick already: "+hillfootDay+"-2.coolhold, with the seal of 2026-03-09\n" {
		t.Errorf("once more it says %q", out)
	}
	if got := namesIn(t, stick); len(got) != 5 {
		t.Errorf("on the stick: %v", got)
	}
}

// startsAgain starts a shift with what the last one had.
func (c *crew) startsAgain() {
	c.t.Helper()
	c.waitFor("Start a shift: key 3.")
	c.press("3")
	for _, known := range []string{
		"operator 1: name", "qualification number", "valid to", "another operator", "control unit 1: serial", "last calibrated",
		"does it correct", "another control unit", "generator", "thermometer",
	} {
		c.answers(known, "enter")
	}
	c.answers("weather", "2", "1")
	c.waitFor("Next: ")
}

// A signed day is on the stick with the seal that was made as it was signed.
func TestASignedDayGoesOntoTheStick(t *testing.T) {
	t.Parallel()
	env, log, stick := onStick(t)
	env = append(env, "COOLHOLD_KEY="+filepath.Join(t.TempDir(), "seal.key"))
	if got := verb(t, env, "backup", stick); got.code != exitDone {
		t.Fatal(got)
	}
	var seen []string
	for {
		got := verb(t, env, append([]string{"sign", "--day", "2026-03-08", "--by", "Hedda Roan"}, seen...)...)
		if got.code == exitDone {
			if !strings.Contains(got.out, "\ncopy on the stick: ") || !strings.HasSuffix(got.out, "-2026-03-08.coolhold, with the seal of 2026-03-08\n") {
				t.Errorf("sign says:\n%s", got.out)
			}
			break
		}
		_, key, is := strings.Cut(got.out, " --seen ")
		if !is || len(seen) > 20 {
			t.Fatal(got)
		}
		seen = append(seen, "--seen", strings.Fields(key)[0])
	}
	notes, err := filepath.Glob(filepath.Join(stick, "*-2026-03-08.seal"))
	if err != nil || len(notes) != 1 {
		t.Fatal(notes, err)
	}
	if got := verb(t, env, "verify", "--seal", notes[0], "--log", log); got.code != exitDone {
		t.Errorf("the log against the seal on the stick: %+v", got)
	}
	if err := os.Rename(stick, stick+"-out"); err != nil {
		t.Fatal(err)
	}
	got := verb(t, env, append([]string{"sign", "--day", "2026-03-08", "--by", "Hedda Roan"}, seen...)...)
	if got.code != exitFindings || !strings.Contains(got.out, "day 2026-03-08") || !strings.Contains(got.err, "NO COPY ON THE STICK") {
		t.Errorf("signed while it is not in: %+v", got)
	}
}

// stickEdges are edges, a small log, and a stick that is named for its site.
func stickEdges(t *testing.T) (e edges, l *store.Log, stick string) {
	t.Helper()
	e, log, folder := atDesk(t)
	key := filepath.Join(t.TempDir(), "seal.key")
	e.getenv = func(name string) string { return map[string]string{"COOLHOLD_KEY": key}[name] }
	l, err := store.Open(log)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	return e, l, folder
}

// What lies on a stick is never replaced: an older copy, one of another log, a file that
// is no log at all, a seal alone. What a stick that was pulled has of a copy goes.
func TestNothingOnAStickIsReplaced(t *testing.T) {
	e, l, stick := stickEdges(t)
	const base = "larkrise-XM-2026-03-09"
	put := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(stick, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	put(base+".coolhold", "no log at all")
	put(base+"-2.seal", "a seal whose copy is gone")
	put(base+".coolhold.part-0123abcd", "of a stick that was pulled")
	put("other.part-0123abcd", "somebody's own")
	was := contents(t, stick)
	c := copied{log: l, dir: stick, base: base}
	b, err := sealNow(e, l.Path(), head(e, "Ada Invented"), "2026-03-09")
	if err != nil {
		t.Fatal(err)
	}
	c.sealed = b
	name, err := c.put()
	if err != nil || name != base+"-3.coolhold" || c.there {
		t.Fatalf("%q, already there %t, %v", name, c.there, err)
	}
	now := contents(t, stick)
	for file, text := range was {
		switch got, there := now[file]; {
		case strings.HasPrefix(file, base+".coolhold.part-"):
			if there {
				t.Errorf("%s is still there", file)
			}
		case !there || !bytes.Equal(got, text):
			t.Errorf("%s was replaced", file)
		}
	}
	if string(now[base+"-3.seal"]) != b.Note {
		t.Errorf("the seal beside it: %q", now[base+"-3.seal"])
	}
	// Of the same moment it is not made again; of a copy that was damaged since, it is.
	c = copied{log: l, dir: stick, base: base + "-3", sealed: b}
	if name, err := c.put(); err != nil || !c.there || name != base+"-3.coolhold" {
		t.Errorf("%q, already there %t, %v", name, c.there, err)
	}
	whole := now[base+"-3.coolhold"]
	whole[len(whole)/2] ^= 1
	put(base+"-3.coolhold", string(whole[:len(whole)-4096]))
	c = copied{log: l, dir: stick, base: base + "-3", sealed: b}
	if name, err := c.put(); err != nil || c.there || name != base+"-3-2.coolhold" {
		t.Errorf("%q, already there %t, %v", name, c.there, err)
	}
}

func contents(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	for _, name := range namesIn(t, dir) {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		all[name] = data
	}
	return all
}

// A folder that is none, that is another log's, or no stick at all, is said in a line.
func TestAStickThatIsNotNamed(t *testing.T) {
	t.Parallel()
	env, log, stick := onStick(t)
	run := func(code int, says string, args ...string) {
		t.Helper()
		got := verb(t, env, args...)
		if got.code != code || !strings.Contains(got.out+got.err, says) {
			t.Errorf("%v: %+v", args, got)
		}
	}
	run(exitFindings, "no stick is named for larkrise-cottage-invented on this machine; coolhold backup DIR names one", "backup")
	run(exitFindings, "no stick is named for larkrise-cottage-invented", "backup", "--none")
	run(exitUsage, "is not named: no such file or directory", "backup", filepath.Join(stick, "none"))
	run(exitUsage, "is not named: it is no folder", "backup", log)
	run(exitUsage, "a folder, or --none", "backup", stick, "--none")
	run(exitUsage, "--day", "backup", stick, "--day", "soon")
	if got := namesIn(t, stick); len(got) > 0 {
		t.Errorf("left on the stick: %v", got)
	}
	mark := filepath.Join(stick, "larkrise-cottage-invented-XM.stick")
	if err := os.WriteFile(mark, []byte("of another log"), 0o600); err != nil {
		t.Fatal(err)
	}
	run(exitUsage, "its larkrise-cottage-invented-XM.stick is of another log", "backup", stick)
	if err := os.Remove(mark); err != nil {
		t.Fatal(err)
	}
	run(exitDone, "is on the disk of the log: what takes one takes both", "backup", stick, "--by", "Ada Invented")
	run(exitDone, "no stick is named for larkrise-cottage-invented any more", "backup", "--none")
	if _, err := os.Stat(mark); errors.Is(err, fs.ErrNotExist) {
		t.Error("what lay on it is gone")
	}
	run(exitFindings, "no stick is named for", "backup")
}
