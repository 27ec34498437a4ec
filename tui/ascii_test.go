package tui

import (
	"strings"
	"testing"
	"time"

	"coolhold/tui/shell"
)

// A tooWide is a screen that a narrow window has no room for, and one sign of which no
// ASCII is known.
type tooWide struct {
	shell.Screen
	sign string
}

func (s tooWide) View(shell.Env) string { return strings.Repeat(s.sign, 70) }

// What every test looks for in every frame is found where it is.
func TestAFrameThatDoesNotFitIsFound(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 200, 60)
	for sign, want := range map[string]map[int]string{
		"─": {60: "lost unsaid", 80: "", 200: ""},
		"☃": {60: "lost unsaid", 80: "in ASCII", 200: "in ASCII"},
	} {
		m := d.m.(shell.Root).With(tooWide{holds{}, sign})
		for _, size := range sizes {
			says := unfit(m, size)
			if wants, is := want[size[0]]; is && (wants == "" && says != "" || !strings.Contains(says, wants)) {
				t.Errorf("%q at %v: %q, want %q", sign, size, says, wants)
			}
		}
	}
}

// A terminal that has only ASCII is sent nothing else, in the themes with colours too.
func TestAWeldInASCII(t *testing.T) {
	for _, theme := range shell.Themes {
		now, mono := monday, time.Hour
		d := &driver{t: t, now: &now, mono: &mono, w: 120, h: 40}
		o := d.options()
		o.Log, o.ASCII, o.Theme = exampleAt(t, monday), true, theme
		d.begin(o)
		d.sees("> E1 ", "2B hold 3:5", "Enter open . ")
		for _, keys := range [][]string{{"1", "enter"}, {"esc", "7"}, {"7", "9"}, {"esc", "8"}, {"esc", "right"}} {
			d.keys(keys...)
			d.isASCII()
		}
		d.pass(4 * time.Minute)
		d.sees("2B hold over: release >")
	}
}

func (d *driver) isASCII() {
	d.t.Helper()
	for i, r := range d.m.View() {
		if r >= 0x80 {
			d.t.Fatalf("%q at %d of the frame:\n%s", r, i, d.m.View())
		}
	}
}
