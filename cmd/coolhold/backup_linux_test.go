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
