package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// A stick that is full, or whose switch is on, is said once in plain words as the shift is
// closed; nothing is left on it, and the board goes on.
func TestAStickThatTakesNoCopy(t *testing.T) {
	if !inSpace(t) {
		return
	}
	c, stick := withStick(t)
	mounts(t, "stick", stick, "tmpfs", 0, "size=64k")
	c.opens()
	c.readsTableBack()
	c.startsShift()
	c.namesStick(stick)
	c.closesShift()
	c.says("NO COPY ON THE STICK: that of hillfoot-barn-invented is full (")
	c.says("make room, then: coolhold backup")
	if got := namesIn(t, stick); len(got) != 1 {
		t.Errorf("left on the full stick: %v", got)
	}
	c.press("esc")
	c.waitGone("NO COPY")
	if err := unix.Mount("", stick, "", unix.MS_REMOUNT|unix.MS_RDONLY, "size=4m"); err != nil {
		t.Fatal(err)
	}
	c.startsAgain()
	c.closesShift()
	c.says("NO COPY ON THE STICK: that of hillfoot-barn-invented cannot be written")
	c.press("esc")
	c.waitGone("NO COPY")
	c.startsAgain()
	c.leaves()
	if tmp, err := filepath.Glob(filepath.Join(os.TempDir(), "coolhold-copy-*")); err != nil || len(tmp) > 0 {
		t.Errorf("left on the own disk: %s, %v", strings.Join(tmp, " "), err)
	}
}

// A stick that comes in under another name is known by its mark, and that is said once. A
// folder with a copy of the mark on the disk of the log is no stick.
func TestAStickUnderAnotherName(t *testing.T) {
	if !inSpace(t) {
		return
	}
	c, own := withStick(t)
	disk, media := filepath.Join(own, "disk"), filepath.Join(own, "media")
	mounts(t, "none", disk, "tmpfs", 0, "size=8m")
	one, two := filepath.Join(media, "ONE"), filepath.Join(media, "TWO")
	mounts(t, disk, one, "", unix.MS_BIND, "")
	c.runs(exitDone, "backup", one, "--by", "Ada")
	if err := unix.Unmount(one, unix.MNT_DETACH); err != nil {
		t.Fatal(err)
	}
	mark := "hillfoot-barn-invented-HF.stick"
	text, err := os.ReadFile(filepath.Join(disk, mark))
	if err == nil {
		err = os.Mkdir(filepath.Join(media, "COPY"), 0o700)
	}
	if err == nil {
		err = os.WriteFile(filepath.Join(media, "COPY", mark), text, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	c.runs(exitFindings, "backup", "--by", "Ada")
	mounts(t, disk, two, "", unix.MS_BIND, "")
	if out := c.runs(exitDone, "backup", "--by", "Ada"); !strings.Contains(out, hillfootDay) || !strings.HasSuffix(out, "; the stick is at "+two+" now\n") {
		t.Errorf("under another name: %q", out)
	}
	if out := c.runs(exitDone, "backup", "--by", "Ada"); strings.Contains(out, " now") {
		t.Errorf("it is said again: %q", out)
	}
	if got := namesIn(t, filepath.Join(media, "COPY")); len(got) != 1 {
		t.Errorf("put into a copy of the stick's folder: %v", got)
	}
}
