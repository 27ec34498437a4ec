package logbook

import (
	"slices"
	"strings"
	"unicode"
)

// Clean makes a stored text safe to draw or print: no control character, no
// escape and no mark that turns the direction of writing ever acts. Line ends
// and tabs become a space, the rest a middle dot, so that something that was
// there is still seen.
func Clean(s string) string {
	if strings.IndexFunc(s, unsafeRune) < 0 {
		return s
	}
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t':
			return ' '
		case unsafeRune(r):
			return '·'
		}
		return r
	}, s)
}

// Joined sets parts one after another, without the empty ones.
func Joined(sep string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(slices.Clone(parts), func(p string) bool { return p == "" }), sep)
}

func unsafeRune(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r) || r == unicode.ReplacementChar
}
