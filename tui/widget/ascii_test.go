package widget

import (
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

func TestASCII(t *testing.T) {
	for text, want := range map[string]string{
		"":                           "",
		"plain":                      "plain",
		"5…14 °C, 2.4…2.8 Ω":         "5~14 oC, 2.4~2.8 R",
		"▸ 3B  hold over: release →": "> 3B  hold over: release >",
		"─── 14 × 20 · ✓ done":       "--- 14 x 20 . * done",
		"Jürgen Łoś, Ærø, Straße":    "Jurgen Los, Aro, Strase",
		"e\u0301clair":               "eclair",
		"\x1b[1;4m▸ übel\x1b[0m │":   "\x1b[1;4m> ubel\x1b[0m |",
		"水 and 👩‍🔧":                  "?? and ??",
		"½ of ① and ５":               "? of ? and 5?",
		"\xff bytes":                 "? bytes",
	} {
		if got := ASCII(text); got != want {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
	}
}

// Whatever a text holds, its form in ASCII takes the same cells.
func TestASCIITakesTheSameCells(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.Rune().Filter(unicode.IsPrint)).Draw(t, "text")
		got := ASCII(text)
		if !isASCII(got) {
			t.Fatalf("%q is %q", text, got)
		}
		if Width(got) != Width(text) {
			t.Fatalf("%q is %d wide, %q is %d", text, Width(text), got, Width(got))
		}
	})
}
