//go:build unix

package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
)

// A locale without UTF-8 is sent ASCII, and so is who asks for it; a locale that says
// nothing is not.
func TestOnlyASCII(t *testing.T) {
	for _, tt := range []struct {
		flag string
		env  map[string]string
		want bool
	}{
		{"", nil, false},
		{"", map[string]string{"LANG": "de_DE.UTF-8"}, false},
		{"", map[string]string{"LANG": "C.utf8"}, false},
		{"", map[string]string{"LANG": "C"}, true},
		{"", map[string]string{"LANG": "de_DE.ISO-8859-1"}, true},
		{"", map[string]string{"LC_ALL": "C", "LANG": "de_DE.UTF-8"}, true},
		{"", map[string]string{"LC_ALL": "", "LC_CTYPE": "en_GB.UTF-8", "LANG": "C"}, false},
		{"", map[string]string{"LC_CTYPE": "POSIX", "LANG": "en_GB.UTF-8"}, true},
		{"true", map[string]string{"LANG": "en_GB.UTF-8"}, true},
		{"false", map[string]string{"LANG": "C"}, false},
	} {
		e := edges{getenv: func(name string) string { return tt.env[name] }, ascii: &tt.flag}
		if got := onlyASCII(e); got != tt.want {
			t.Errorf("%q %v: %v, want %v", tt.flag, tt.env, got, tt.want)
		}
	}
}

// A sign whose bytes come in two pieces is still one sign.
func TestASCIIInPieces(t *testing.T) {
	var out bytes.Buffer
	l := &lettered{Writer: &out, only: func() bool { return true }}
	for _, b := range []byte("5…14 °C → 2.4 Ω, ü\xff!") {
		if n, err := l.Write([]byte{b}); n != 1 || err != nil {
			t.Fatal(n, err)
		}
	}
	if got, want := out.String(), "5~14 oC > 2.4 R, u?!"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Verb and board say the same in ASCII on such a terminal; what goes into a file or a
// pipe is never changed.
func TestATerminalWithoutUTF8(t *testing.T) {
	t.Parallel()
	log := filepath.Join(t.TempDir(), "example.coolhold")
	env := []string{selfEnv + "=1", raceEnv, "COOLHOLD_LOG=" + log, "COOLHOLD_THEME=", "XDG_CONFIG_HOME=" + t.TempDir(), "LANG=C"}
	if got := verb(t, env, "demo", "--keep", log, "--no-screen"); got.code != exitDone {
		t.Fatal(got)
	}
	if piped := verb(t, env, "drawing").out; !strings.Contains(piped, "─") {
		t.Errorf("a pipe is sent other signs:\n%s", piped)
	}
	for _, tt := range []struct {
		args  []string
		ascii bool
	}{{[]string{"drawing"}, true}, {[]string{"drawing", "--ascii=false"}, false}, {[]string{"--ascii", "drawing"}, true}} {
		x := openBoard(t, env, tt.args...)
		x.exitCode()
		<-x.ended
		if got := !strings.ContainsFunc(string(x.said), func(r rune) bool { return r >= 0x80 }); got != tt.ascii || !strings.Contains(string(x.said), "1A") {
			t.Errorf("%q: in ASCII %v, want %v\n%s", tt.args, got, tt.ascii, x.said)
		}
	}
	x := openBoard(t, env)
	x.waitFor("joints open.")
	x.press("esc")
	x.waitFor("> leave")
	x.press("1")
	x.exitCode()
	<-x.ended
	if strings.ContainsFunc(string(x.said), func(r rune) bool { return r >= 0x80 }) {
		t.Errorf("the board is not in ASCII:\n%s", x.said)
	}
}
