package tui

import (
	"slices"
	"strings"
	"testing"

	"coolhold/tui/shell"
)

// The theme that is turned to is kept for the next start, and named; where it
// cannot be kept that is said and the theme holds all the same.
func TestTheThemeIsKept(t *testing.T) {
	var kept []string
	d := driveWith(t, exampleAt(t, monday), monday, 80, 24, func(o *shell.Outside) {
		o.KeepTheme = func(name string) error { kept = append(kept, name); return nil }
	})
	d.keys("8", "2", "2", "2", "2")
	if want := []string{"dark", "bright", "plain", "dark"}; !slices.Equal(kept, want) {
		t.Errorf("kept %q, want %q", kept, want)
	}
	d.lacks("!")
	d.sees("Mon 9 Mar 09:00:00", "theme dark, of dark, bright, plain")
	d.keys("esc")
	d.lacks("theme dark")
	d = driveWith(t, exampleAt(t, monday), monday, 80, 24, func(o *shell.Outside) { o.KeepTheme = func(string) error { return errDisk } })
	d.keys("8", "2")
	d.sees("no space left on device")
	if !strings.Contains(d.m.View(), "\x1b[") {
		t.Error("the theme was not turned")
	}
}
