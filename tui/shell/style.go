package shell

import (
	"slices"
	"strings"
)

// A Style is the look of the screens, built once a theme. Words carry every
// meaning; the styles only help the eye.
type Style struct {
	Name   string
	Dim    func(string) string
	Bold   func(string) string
	Warn   func(string) string // must be read
	Alarm  func(string) string // must be answered
	Pick   func(string) string // the chosen row
	Cursor func(string) string // one character with the cursor of a field on it
	Page   func(string) string // a whole line of the window
	Spoken bool                // it is read out: no drawing, no large figures, only the present question

	sixteen bool
}

// Themes by name, in the order a key turns through them: light on dark, dark on
// white in the sun, and without colour.
var Themes = []string{"dark", "bright", "plain"}

// pens are the parameters of SGR (ECMA-48) for each look, ink and page in each: a
// look that left one to the terminal would be white on white on some.
type pens struct{ page, dim, bold, warn, alarm, pick string }

// The usual colours are those above the sixteen: no palette of a terminal changes
// them, and bold brightens none.
var usual = map[string]pens{
	"dark": {
		page: "38;5;252;48;5;16", dim: "38;5;248;48;5;16", bold: "1;38;5;231;48;5;16",
		warn: "1;38;5;220;48;5;16", alarm: "1;38;5;16;48;5;220", pick: "38;5;16;48;5;252",
	},
	"bright": {
		page: "38;5;16;48;5;231", dim: "38;5;238;48;5;231", bold: "1;38;5;16;48;5;231",
		warn: "1;38;5;88;48;5;231", alarm: "1;38;5;231;48;5;88", pick: "38;5;231;48;5;16",
	},
}

// few are for a terminal of sixteen: only black and the two whites are far enough
// apart in every palette. Where bold brightens it makes a grey of black, so black is
// underlined instead.
var few = map[string]pens{
	"dark": {
		page: "97;40", dim: "37;40", bold: "1;97;40",
		warn: "1;4;97;40", alarm: "4;30;107", pick: "30;107",
	},
	"bright": {
		page: "30;107", dim: "30;107", bold: "4;30;107",
		warn: "1;97;40", alarm: "1;4;97;40", pick: "97;40",
	},
}

// NewStyle builds a theme.
func NewStyle(name string) *Style { return styleOf(name, false) }

// NewStyle16 builds a theme for a terminal of sixteen colours.
func NewStyle16(name string) *Style { return styleOf(name, true) }

func styleOf(name string, sixteen bool) *Style {
	if !slices.Contains(Themes, name) {
		name = Themes[0]
	}
	s := &Style{Name: name, sixteen: sixteen}
	if name == "plain" {
		plain(s)
		return s
	}
	p := usual[name]
	if sixteen {
		p = few[name]
	}
	s.Dim, s.Bold, s.Warn, s.Alarm, s.Pick = drawn(p.dim), drawn(p.bold), drawn(p.warn), drawn(p.alarm), drawn(p.pick)
	s.Cursor, s.Page = s.Pick, paper(p.page)
	return s
}

const off = "\x1b[0m"

func drawn(pen string) func(string) string {
	return func(text string) string {
		if text == "" {
			return ""
		}
		return "\x1b[" + pen + "m" + text + off
	}
}

// paper lays a line on the page of a theme, under every style within it too.
func paper(pen string) func(string) string {
	on := "\x1b[" + pen + "m"
	return func(line string) string {
		return on + strings.ReplaceAll(line, off, off+on) + off
	}
}

// plain marks with signs what the others mark with weight: no escape at all. Ink and
// page are the terminal's own.
func plain(s *Style) {
	same := func(text string) string { return text }
	s.Dim, s.Bold, s.Page, s.Warn, s.Alarm, s.Pick = same, same, same, same, same, same
	s.Cursor = func(under string) string { return "█" + strings.TrimPrefix(under, " ") }
}

// spokenStyle has no looks at all, nor a cursor.
func spokenStyle() *Style {
	s := styleOf("plain", false)
	s.Spoken, s.Cursor = true, func(under string) string { return under }
	return s
}

// NextStyle is the theme after s.
func NextStyle(s *Style) *Style {
	at := slices.Index(Themes, s.Name)
	return styleOf(Themes[(at+1)%len(Themes)], s.sixteen)
}
