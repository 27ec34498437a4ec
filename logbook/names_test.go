package logbook

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// Pairs of Unicode's confusables.txt (UTS 39), by code point as they stand there.
var unicodePairs = [][2]rune{
	{0x0430, 'a'}, {0x03B1, 'a'}, {0x0251, 'a'}, {0x0391, 'A'}, {0x0410, 'A'}, {0x13AA, 'A'},
	{0x0392, 'B'}, {0x0412, 'B'}, {0x0441, 'c'}, {0x1D04, 'c'}, {0x0421, 'C'}, {0x0501, 'd'},
	{0x0435, 'e'}, {0x04BD, 'e'}, {0x0395, 'E'}, {0x0415, 'E'}, {0x0261, 'g'}, {0x050C, 'G'},
	{0x04BB, 'h'}, {0x0570, 'h'}, {0x0397, 'H'}, {0x041D, 'H'}, {0x0456, 'i'}, {0x03B9, 'i'},
	{0x0131, 'i'}, {0x0458, 'j'}, {0x0408, 'J'}, {0x037F, 'J'}, {0x039A, 'K'}, {0x041A, 'K'},
	{0x13DE, 'L'}, {0x039C, 'M'}, {0x041C, 'M'}, {0x039D, 'N'}, {0x0578, 'n'}, {0x03BF, 'o'},
	{0x043E, 'o'}, {0x0585, 'o'}, {0x03C3, 'o'}, {0x039F, 'O'}, {0x041E, 'O'}, {0x03C1, 'p'},
	{0x0440, 'p'}, {0x03A1, 'P'}, {0x0420, 'P'}, {0x051B, 'q'}, {0x0433, 'r'}, {0x0455, 's'},
	{0x0405, 'S'}, {0x03A4, 'T'}, {0x0422, 'T'}, {0x03C5, 'u'}, {0x057D, 'u'}, {0x03BD, 'v'},
	{0x0475, 'v'}, {0x0461, 'w'}, {0x051D, 'w'}, {0x0445, 'x'}, {0x03A7, 'X'}, {0x0425, 'X'},
	{0x0443, 'y'}, {0x03B3, 'y'}, {0x03A5, 'Y'}, {0x0423, 'Y'}, {0x0396, 'Z'}, {0x13C3, 'Z'},
}

func TestLettersThatLookAlikeAreNear(t *testing.T) {
	if len(unicodePairs) < 40 {
		t.Fatalf("%d pairs are tried", len(unicodePairs))
	}
	for _, p := range unicodePairs {
		for _, name := range []string{"Q%smnt Vwxyk", "Xwyvz B%sktn"} {
			latin, other := strings.ReplaceAll(name, "%s", string(p[1])), strings.ReplaceAll(name, "%s", string(p[0]))
			for _, written := range []string{other, strings.ToUpper(other), strings.ToLower(other)} {
				if !unicode.IsUpper(p[0]) && written != other && latinOf(written) == "" {
					continue // its other case looks like no Latin letter
				}
				if !Near(latin, written) || !Near(written, latin) {
					t.Errorf("%q and %q (U+%04X) are not near", latin, written, p[0])
				}
			}
		}
	}
}

// latinOf is a text in Latin letters, "" where one of them looks like none.
func latinOf(s string) string {
	s = looks(s)
	for _, r := range s {
		if r > unicode.MaxLatin1 {
			return ""
		}
	}
	return s
}

func TestNamesThatAreNear(t *testing.T) {
	for _, p := range [][2]string{
		{"Ada Invented", "Ada Invented."}, {"Ada Invented", "Invented, Ada"}, {"Ada Invented", "A. Invented"}, {"Ada Invented", "A.I."},
		{"Ada Invented", "AI"}, {"Ada Invented", "ADA INVENTED"}, {"Ada Invented", "Adá Invented"}, {"Ada Invented", "Аdа Invented"},
		{"Ada Invented", "A\u200bda Invented"}, {"Ada Invented", "Ａｄａ　Ｉｎｖｅｎｔｅｄ"}, {"Ada Invented", "Ada Invented (foreman)"},
		{"Ada Invented", "Ada Invented, foreman"}, {"Ada Invented", "foreman Ada Invented"}, {"Ada Invented", "Ada M. Invented"}, {"Ada Invented", "Ada"},
		{"Ada Invented", "AdaInvented"}, {"Ada Invented", "Ada-Invented"}, {"Ada Invented", "Ada \u2067Invented"}, {"Ada Invented", "Ada ⅰnvented"},
		{"Jörg Müller", "Joerg Mueller"}, {"Jørn Ærø", "Jorn Aero"}, {"Straß Ona", "Ona STRASS"}, {"Ola Nord", "Ola Nord (2)"}, {"Ola Nord", "Nord, O."},
		{"O'Neal Bo", "O’Neal Bo"}, {"Marner Ulf", "Mamer Ulf"}, {"Lisa Ill", "Iisa ll1"}, {"王伟", "王 伟"}, {"Пётр Иванов", "ПЕТР ИВАНОВ"}, {"Νίκος Άλφα", "ΝΙΚΟΣ ΑΛΦΑ"},
	} {
		if !Near(p[0], p[1]) || !Near(p[1], p[0]) {
			t.Errorf("%q and %q are not near", p[0], p[1])
		}
	}
}

func TestNamesThatAreNot(t *testing.T) {
	for _, p := range [][2]string{
		{"Ada Invented", "Hedda Invented"}, {"Ada Invented", "Tam Invented"}, {"Ada Invented, foreman", "Tam Other, foreman"}, {"Ada Invented", "H. Invented"},
		{"Ada Invented", "Bo"}, {"Ola Nord", "Per Nord"}, {"王伟", "王芳"}, {"王伟", "李伟"}, {"Crew 1", "Crew 2"}, {"Ada Invented", "TI"}, {"Ona Brill", "Tam Okoro"}, {"", "Ada"},
		{"Ada Invented (foreman)", "Hedda Invented (foreman)"}, {"राम", "श्याम"},
	} {
		if Near(p[0], p[1]) || Near(p[1], p[0]) {
			t.Errorf("%q and %q are near", p[0], p[1])
		}
	}
}

func TestTypedNameTakesOutWhatCannotBeSeen(t *testing.T) {
	for said, want := range map[string][2]string{
		"Ada Invented":             {"Ada Invented", ""},
		"  Ada \t Invented ":       {"Ada Invented", ""},
		"A\u200bda In\u202evented": {"Ada Invented", "U+200B, U+202E"},
		"Ada\x07 \x1bInvented":     {"Ada Invented", "U+0007, U+001B"},
		"A\u3164da\ufeff":          {"Ada", "U+3164, U+FEFF"},
		"王":                        {"王", ""},
		"Ἀθηνᾶ Ñuñez عائشة नाम 김 ᎣᏏᏲ": {"Ἀθηνᾶ Ñuñez عائشة नाम 김 ᎣᏏᏲ", ""},
		"A\xff": {"A", "U+FFFD"},
	} {
		name, gone := TypedName(said)
		if name != want[0] || gone != want[1] {
			t.Errorf("%q: %q without %q, want %q", said, name, gone, want)
		}
	}
}

// Any text folds to one that folds to itself, and is near itself.
func TestFoldingIsIdempotentAndTotal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(rapid.String(), rapid.StringOfN(rapid.SampledFrom([]rune("aeoueirnvvw10|lIßæﬁẞΣςΆйЙıİŉ᾿ͅ㎏Ⅷ½()[]'’.,\u200b\u3164 ")), 0, 12, -1),
			rapid.Map(rapid.SliceOfN(rapid.Byte(), 0, 12), func(b []byte) string { return string(b) })).Draw(t, "name")
		for i, f := range foldings {
			once := f.folded(s)
			if !utf8.ValidString(once) {
				t.Fatalf("%q folds to %q", s, once)
			}
			if twice := f.folded(once); twice != once {
				t.Fatalf("folding %d: %q, %q, %q", i, s, once, twice)
			}
		}
		if once := PlainName(s); PlainName(once) != once {
			t.Fatalf("%q: %q, %q", s, once, PlainName(once))
		}
		name, _ := TypedName(s)
		if again, gone := TypedName(name); again != name || gone != "" {
			t.Fatalf("%q is kept as %q, and that as %q without %q", s, name, again, gone)
		}
		if other := rapid.String().Draw(t, "other"); Near(s, other) != Near(other, s) || !Near(s, s) {
			t.Fatalf("%q and %q", s, other)
		}
	})
}

func BenchmarkNear(b *testing.B) {
	for b.Loop() {
		Near("Ada Invented", "Hedda Invented, foreman")
	}
}
