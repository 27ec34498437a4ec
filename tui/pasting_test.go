package tui

import (
	"os"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// A reading is what came in one read, after a pause, and what the screen library is
// given for it.
type reading struct {
	after time.Duration
	came  string
	given string
}

func TestEveryPasteEnds(t *testing.T) {
	const start, end = "\x1b[200~", "\x1b[201~"
	for what, reads := range map[string][]reading{
		"a paste":                  {{0, start + "text" + end, start + "text" + end}, {0, "\x1b", "\x1b"}, {0, "\x03", "\x03"}},
		"in pieces":                {{0, start + "te", start + "te"}, {0, "xt\x1b[2", "xt\x1b[2"}, {0, "01~", "01~"}, {0, "\x1b", "\x1b"}},
		"its end alone":            {{0, start + "text", start + "text"}, {0, "\x1b|[201~", "\x1b[201~"}, {0, "\x03", "\x03"}},
		"slow, but it ends":        {{0, start + "text", start + "text"}, {time.Minute, "more" + end, "more" + end}, {0, "\x1b", "\x1b"}},
		"no end, Esc":              {{0, start, start}, {0, "\x1b", end + "\x1b"}, {0, "\x1b", "\x1b"}},
		"no end, Ctrl-C":           {{0, start + "text", start + "text"}, {0, "x\x03", "x" + end + "\x03"}, {0, "\x03", "\x03"}},
		"no end, a key after long": {{0, start + "text", start + "text"}, {pasteQuiet, "1", end + "1"}, {0, "2", "2"}},
		"a start within":           {{0, start + start + "x", start + start + "x"}, {0, "\x1b", end + "\x1b"}},
		"two pastes, one open":     {{0, start + "a" + end + start + "b", start + "a" + end + start + "b"}, {0, "\x03", end + "\x03"}},
		"keys":                     {{0, "\x1b[A", "\x1b[A"}, {0, "\x03", "\x03"}, {0, "\x1b", "\x1b"}},
	} {
		from, to, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		at, rest := time.Time{}, ""
		p := &pasting{File: from, now: func() time.Time { return at }}
		p.more = func(time.Duration) bool { _, _ = to.WriteString(rest); return rest != "" }
		for _, r := range reads {
			var first string
			at = at.Add(r.after)
			first, rest, _ = strings.Cut(r.came, "|") // a bar: what comes a moment later
			if _, err := to.WriteString(first); err != nil {
				t.Fatal(err)
			}
			buf := make([]byte, 256)
			n, err := p.Read(buf)
			if err != nil || string(buf[:n]) != r.given {
				t.Errorf("%s: %q came, %q was given (%v), want %q", what, r.came, buf[:n], err, r.given)
			}
		}
		from.Close()
		to.Close()
	}
}

// Input in which every paste has its end is given on as it came, however it is cut,
// unless it stands still.
func TestWholePastesAreLeftAlone(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		from, to, err := os.Pipe()
		if err != nil {
			rt.Fatal(err)
		}
		defer from.Close()
		defer to.Close()
		piece := rapid.SampledFrom([]string{"\x1b[200~\x1b[201~", "\x1b[200~4006123\x1b[201~", "\x1b[200~a\rb\x1b[201~", "k", "\x1b[A", "\r"})
		all := strings.Join(rapid.SliceOfN(piece, 1, 12).Draw(rt, "input"), "")
		p := &pasting{File: from, now: func() time.Time { return time.Time{} }, more: func(time.Duration) bool { return false }}
		given, buf := "", make([]byte, 256)
		for rest := all; rest != ""; {
			n := rapid.IntRange(1, len(rest)).Draw(rt, "cut")
			if rest[:n] == "\x1b" && n < len(rest) {
				n = min(len(rest), 7) // a lone Esc is a key
			}
			if _, err := to.WriteString(rest[:n]); err != nil {
				rt.Fatal(err)
			}
			m, err := p.Read(buf)
			if err != nil {
				rt.Fatal(err)
			}
			given, rest = given+string(buf[:m]), rest[n:]
		}
		if given != all {
			rt.Fatalf("%q came, %q was given", all, given)
		}
	})
}
