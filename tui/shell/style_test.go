package shell

import (
	"strings"
	"testing"
)

// A theme is what the eye sees of it: sixteen colours by their codes (ECMA-48), none
// in plain. What is dim, bold, a warning, an alarm or the cursor's row can be told
// apart in each, save in plain, where signs do it.
func TestThemes(t *testing.T) {
	const on = "\x1b[30;107m"
	for name, want := range map[string]map[string]string{
		"dark":   {"dim": "\x1b[37mx\x1b[0m", "bold": "\x1b[1;97mx\x1b[0m", "warn": "\x1b[1;93mx\x1b[0m", "alarm": "\x1b[1;7mx\x1b[0m", "pick": "\x1b[7mx\x1b[0m", "page": "x"},
		"bright": {"dim": "\x1b[30;107mx\x1b[0m", "bold": "\x1b[1;30;107mx\x1b[0m", "warn": "\x1b[1;31;107mx\x1b[0m", "alarm": "\x1b[1;7;30;107mx\x1b[0m", "pick": "\x1b[7;30;107mx\x1b[0m", "page": on + "x\x1b[0m"},
		"plain":  {"dim": "x", "bold": "x", "warn": "x", "alarm": "x", "pick": "x", "page": "x"},
	} {
		s := NewStyle(name)
		for part, f := range map[string]func(string) string{"dim": s.Dim, "bold": s.Bold, "warn": s.Warn, "alarm": s.Alarm, "pick": s.Pick, "page": s.Page} {
			if got := f("x"); got != want[part] {
				t.Errorf("%s in %s is %q, want %q", part, name, got, want[part])
			}
		}
		if s.Name != name {
			t.Errorf("%s calls itself %s", name, s.Name)
		}
	}
	if s := NewStyle("unheard of"); s.Name != "dark" {
		t.Errorf("an unknown theme is %s", s.Name)
	}
	// white stays under what is marked within a line
	if got := NewStyle("bright").Page("a\x1b[1mb\x1b[0mc"); strings.Count(got, on) != 2 || !strings.Contains(got, "\x1b[0m"+on+"c") {
		t.Errorf("a page is %q", got)
	}
}
