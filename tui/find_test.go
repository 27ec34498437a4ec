package tui

import (
	"strings"
	"testing"

	"coolhold/tui/shell"
)

// A few letters go to a joint, a weld, a batch, a screen or a verb, and each says the
// key that goes there too.
func TestSearchAndGo(t *testing.T) {
	find := func(letters string) *driver {
		d := driveWith(t, exampleAt(t, monday), monday, 80, 24, func(o *shell.Outside) {
			o.Verbs = func() []shell.Verb { return []shell.Verb{{Name: "recall", Does: "find every weld with a batch"}} }
		})
		d.keys("/")
		d.sees("Go to", "type a few letters", "F1 keys")
		for _, r := range letters {
			d.keys(string(r))
		}
		return d
	}
	for _, tt := range []struct {
		letters   string
		hit, key  string
		then, not string
	}{
		{"5b", "joint  5B", "↑↓ to it, Enter", "circuit 5, leg B", "Go to"},
		{"0006", "weld   KM-0006 in 5A", "9, to it, Enter", "KM-0006   joint 5A, chamber A", "Go to"},
		{"readin", "screen readiness", "6, then 1", "Readiness: ", "Go to"},
		{"order of", "screen order of", "6, then 2", "The order proposed", "Go to"},
		{"weather", "screen weather", "2", "▸ weather", "Go to"},
		{"sign the", "screen sign the day", "9, then 5", "Sign Mon 9 Mar 2026", "Go to"},
		{"cover a", "screen cover a chamber", "9, then 4", "Covering with ground", "Go to"},
		{"theme", "screen theme", "8, then 2", "theme dark", "Go to"},
		{"what runs", "screen what runs", "→", "What runs and what waits", "Go to"},
		{"recall", "verb   recall: find every weld", "in a shell", "in a shell: coolhold recall --help", "Go to"},
	} {
		d := find(tt.letters)
		if row := strings.Split(d.frame(), "\n"); !chosenIs(d.frame(), tt.hit) || !chosenIs(d.frame(), tt.key) {
			t.Errorf("%q: the first is not %q by %q:\n%s", tt.letters, tt.hit, tt.key, strings.Join(row, "\n"))
			continue
		}
		d.keys("enter")
		d.sees(tt.then)
		d.lacks(tt.not)
		if tt.then == "theme dark" || strings.HasPrefix(tt.hit, "verb") {
			continue
		}
		d.keys("esc")
		d.sees("joints open.") // one Esc leads back to the board
	}
	d := find("W-4000")
	d.keys("enter")
	d.sees("Welds with batch W-4000-7", "KM-0001 in 1A")
	d.keys("enter")
	d.sees("KM-0001   joint 1A")

	d = find("zzqx")
	d.sees("Nothing of this site is called so.")
	d.keys("enter")
	d.sees("zzqx")
	d.keys("esc")
	d.sees("joints open.")
}

// Where text is typed / and ? are text; F1 and F3 act there too.
func TestAStrokeIsTextWhereTextIsTyped(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.choose("KM-0001")
	d.keys("enter")
	d.keys("2")
	d.keys("/", "?")
	d.sees("/?█")
	d.keys("f1")
	d.sees("On every screen")
	d.keys("esc")
	d.sees("/?█")
	d.keys("f3")
	d.sees("Go to")
	d.keys("esc")
	d.sees("/?█")
}
