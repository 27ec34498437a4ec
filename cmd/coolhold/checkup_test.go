//go:build unix

package main

import (
	"regexp"
	"testing"
)

// In a terminal a checkup tells its size, and then what a scanner looks like there
// until Esc; a scan that runs into it presses nothing.
func TestACheckupInATerminal(t *testing.T) {
	t.Parallel()
	x := openBoard(t, []string{selfEnv + "=1", raceEnv, "TMPDIR=" + t.TempDir(), "XDG_DATA_HOME=" + t.TempDir()}, "checkup")
	x.waitFor("80×24")
	x.waitFor("Esc ends")
	x.burst("4006381333931\r")
	x.waitFor("a scan of 13 characters in")
	x.press("esc")
	if code := x.exitCode(); code != 0 {
		t.Errorf("ended with %d", code)
	}
	<-x.ended
	if all := regexp.MustCompile(`a scan of`).FindAllString(x.screen(), -1); len(all) != 1 {
		t.Errorf("%d scans are left on the screen:\n%s", len(all), x.screen())
	}
}
