package page

import (
	"fmt"
	"strings"

	"golang.org/x/image/font/sfnt"

	"coolhold/logbook"
)

// Glyphs knows what a font can draw.
type Glyphs struct {
	font *sfnt.Font
	buf  *sfnt.Buffer
}

// NewGlyphs reads a font.
func NewGlyphs(ttf []byte) (Glyphs, error) {
	f, err := sfnt.Parse(ttf)
	return Glyphs{f, &sfnt.Buffer{}}, err
}

func (g Glyphs) has(r rune) bool {
	i, err := g.font.GlyphIndex(g.buf, r)
	return err == nil && i != 0
}

// Say makes a stored text fit to be drawn: cleaned, and what the font has no
// letter for written as its number, so that nothing is lost.
func (g Glyphs) Say(s string) string {
	s = logbook.Clean(s)
	ascii := func(r rune) bool { return r < 0x7f }
	if strings.IndexFunc(s, func(r rune) bool { return !ascii(r) && !g.has(r) }) < 0 {
		return s
	}
	var out strings.Builder
	for _, r := range s {
		if ascii(r) || g.has(r) {
			out.WriteRune(r)
		} else {
			fmt.Fprintf(&out, "[U+%04X]", r)
		}
	}
	return out.String()
}
