//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A theme that is chosen on the board is there at the next start; a flag, NO_COLOR and
// the environment go before it, and a file that holds none keeps nobody out.
func TestTheThemeIsRemembered(t *testing.T) {
	t.Parallel()
	conf := t.TempDir()
	file := filepath.Join(conf, "coolhold", "theme")
	const white, black = "\x1b[38;5;16;48;5;231m", "\x1b[38;5;252;48;5;16m"
	log := filepath.Join(t.TempDir(), "example.coolhold") // written once, for all boards but one
	if got := verbInside(t, holdClock(t).env(), "demo", "--keep", log, "--no-screen"); got.code != exitDone {
		t.Fatal(got)
	}
	board := func(turns int, wants string, env []string, args ...string) {
		t.Helper()
		x := openBoard(t, append([]string{selfEnv + "=1", raceEnv, "TMPDIR=" + t.TempDir(), "XDG_CONFIG_HOME=" + conf, "COOLHOLD_THEME=", "COOLHOLD_LOG=" + log}, env...), args...)
		x.waitFor("joints open.")
		if turns > 0 {
			x.press("8")
			x.waitFor("2  theme")
			for range turns {
				x.press("2")
			}
			x.press("esc")
		}
		x.press("esc")
		x.waitFor("▸ leave")
		x.press("1")
		if code := x.exitCode(); code != exitDone {
			t.Errorf("exit code %d", code)
		}
		<-x.ended
		first := string(x.said)
		for _, page := range []string{white, black} {
			if got := strings.Contains(first, page); got != (page == wants) && turns == 0 {
				t.Errorf("%q %q: the page %q is painted: %v", env, args, page, got)
			}
		}
	}
	board(0, black, nil)
	board(0, white, []string{"COLORFGBG=0;15"}) // the terminal's own page is white
	board(0, black, []string{"COLORFGBG=15;default;0"})
	if _, err := os.Stat(file); err == nil {
		t.Error("a theme is kept that nobody chose")
	}
	board(1, "", nil)
	if got := fileText(t, file); got != "bright\n" {
		t.Errorf("kept as %q", got)
	}
	board(0, white, nil)
	board(0, white, []string{"COLORFGBG=15;0"}) // what was chosen goes before it
	board(0, black, nil, "demo", "--theme", "dark")
	board(0, black, []string{"COOLHOLD_THEME=dark"})
	board(0, "", []string{"NO_COLOR=1"})
	board(0, "", []string{"TERM=xterm"}) // few colours: white is 107
	if err := os.WriteFile(file, []byte("mauve\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	board(0, black, nil)
}

// What a terminal says of itself decides whether it has more than sixteen colours.
func TestFewColours(t *testing.T) {
	for _, tt := range []struct {
		env map[string]string
		few bool
	}{
		{map[string]string{"TERM": "xterm-256color"}, false},
		{map[string]string{"TERM": "screen-256color"}, false},
		{map[string]string{"TERM": "xterm", "COLORTERM": "truecolor"}, false},
		{map[string]string{"TERM": "xterm"}, true},
		{map[string]string{"TERM": "linux"}, true},
		{map[string]string{"TERM": "vt220"}, true},
	} {
		e := edges{out: &strings.Builder{}, getenv: func(name string) string { return tt.env[name] }}
		if got := fewColours(e); got != tt.few {
			t.Errorf("%v: few colours %v", tt.env, got)
		}
	}
}
