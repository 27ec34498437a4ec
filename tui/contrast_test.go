package tui

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"coolhold/tui/shell"
)

// An rgb is a colour as a palette names it.
type rgb uint32

// luminance is the relative luminance of WCAG 2.2 (W3C, "relative luminance").
func (c rgb) luminance() float64 {
	linear := func(v rgb) float64 {
		x := float64(v&0xff) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c>>16) + 0.7152*linear(c>>8) + 0.0722*linear(c)
}

// ratio is the contrast ratio of WCAG 2.2.
func ratio(a, b rgb) float64 {
	x, y := a.luminance(), b.luminance()
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// enough is the ratio of success criterion 1.4.6 of WCAG 2.2 (contrast, enhanced).
const enough = 7

func TestRatioOfWCAG(t *testing.T) {
	// 21 : 1 is the most by the definition; the greys on white are often quoted (from memory)
	for _, tt := range []struct {
		a, b rgb
		want float64
	}{{0x000000, 0xffffff, 21}, {0xffffff, 0xffffff, 1}, {0x767676, 0xffffff, 4.54}, {0x595959, 0xffffff, 7.00}, {0xff0000, 0xffffff, 4.00}} {
		if got := ratio(tt.a, tt.b); math.Abs(got-tt.want) > 0.005 || got != ratio(tt.b, tt.a) {
			t.Errorf("%06x on %06x is %.3f, want %.2f", tt.a, tt.b, got, tt.want)
		}
	}
}

// A palette is the sixteen colours of a terminal, and what it shows where a program
// sets none.
type palette struct {
	colours   [16]rgb
	ink, page rgb
}

// palettes are named by what they are. Source: HTML 4.01, 6.5, for the web's sixteen;
// the others from memory.
var palettes = map[string]palette{
	"xterm's defaults, black on white": {[16]rgb{
		0x000000, 0xcd0000, 0x00cd00, 0xcdcd00, 0x0000ee, 0xcd00cd, 0x00cdcd, 0xe5e5e5,
		0x7f7f7f, 0xff0000, 0x00ff00, 0xffff00, 0x5c5cff, 0xff00ff, 0x00ffff, 0xffffff,
	}, 0x000000, 0xffffff},
	"VGA text, grey on black": {[16]rgb{
		0x000000, 0xaa0000, 0x00aa00, 0xaa5500, 0x0000aa, 0xaa00aa, 0x00aaaa, 0xaaaaaa,
		0x555555, 0xff5555, 0x55ff55, 0xffff55, 0x5555ff, 0xff55ff, 0x55ffff, 0xffffff,
	}, 0xaaaaaa, 0x000000},
	"the web's sixteen, white page": {[16]rgb{
		0x000000, 0x800000, 0x008000, 0x808000, 0x000080, 0x800080, 0x008080, 0xc0c0c0,
		0x808080, 0xff0000, 0x00ff00, 0xffff00, 0x0000ff, 0xff00ff, 0x00ffff, 0xffffff,
	}, 0x000000, 0xffffff},
	"greys for the bright colours, cream page": {[16]rgb{
		0x073642, 0xdc322f, 0x859900, 0xb58900, 0x268bd2, 0xd33682, 0x2aa198, 0xeee8d5,
		0x002b36, 0xcb4b16, 0x586e75, 0x657b83, 0x839496, 0x6c71c4, 0x93a1a1, 0xfdf6e3,
	}, 0x657b83, 0xfdf6e3},
	"soft colours of a desktop, white page": {[16]rgb{
		0x2e3436, 0xcc0000, 0x4e9a06, 0xc4a000, 0x3465a4, 0x75507b, 0x06989a, 0xd3d7cf,
		0x555753, 0xef2929, 0x8ae234, 0xfce94f, 0x729fcf, 0xad7fa8, 0x34e2e2, 0xeeeeec,
	}, 0x2e3436, 0xffffff},
	"pastels on blue grey": {[16]rgb{
		0x3b4252, 0xbf616a, 0xa3be8c, 0xebcb8b, 0x81a1c1, 0xb48ead, 0x88c0d0, 0xe5e9f0,
		0x4c566a, 0xbf616a, 0xa3be8c, 0xebcb8b, 0x81a1c1, 0xb48ead, 0x8fbcbb, 0xeceff4,
	}, 0xd8dee9, 0x2e3440},
}

// unset is a colour that is left to the terminal.
const unset = -1

// A look is what the escapes before a cell have set.
type look struct {
	ink, page     int // a number of the 256, or unset
	bold, reverse bool
	underline     bool
}

// after is the look after one escape of SGR. One that is not known here fails: it
// would be judged as something else than a terminal shows.
func (l look) after(t testing.TB, codes string) look {
	t.Helper()
	parts := strings.Split(codes, ";")
	for i := 0; i < len(parts); i++ {
		n, err := strconv.Atoi(parts[i])
		switch {
		case parts[i] == "", n == 0:
			l = look{ink: unset, page: unset}
		case n == 1:
			l.bold = true
		case n == 4:
			l.underline = true
		case n == 7:
			l.reverse = true
		case n >= 30 && n <= 37:
			l.ink = n - 30
		case n >= 40 && n <= 47:
			l.page = n - 40
		case n >= 90 && n <= 97:
			l.ink = n - 90 + 8
		case n >= 100 && n <= 107:
			l.page = n - 100 + 8
		case (n == 38 || n == 48) && i+2 < len(parts) && parts[i+1] == "5":
			of, _ := strconv.Atoi(parts[i+2])
			if i += 2; n == 38 {
				l.ink = of
			} else {
				l.page = of
			}
		default:
			t.Fatalf("escape %q is not judged here (%v)", codes, err)
		}
	}
	return l
}

// at is a number of the 256 in a palette: above the sixteen a cube of six and a ramp
// of greys, the same in every terminal (xterm's, from memory).
func (p palette) at(n int) rgb {
	switch {
	case n < 16:
		return p.colours[n]
	case n >= 232:
		return rgb(8+10*(n-232)) * 0x010101
	}
	step := func(v int) rgb {
		if v == 0 {
			return 0
		}
		return rgb(55 + 40*v)
	}
	n -= 16
	return step(n/36)<<16 | step(n/6%6)<<8 | step(n%6)
}

// worst is the least ratio that a look has in a palette: where bold brightens the
// eight dark colours and where not, and where a page has no bright colours.
func (p palette) worst(l look) float64 {
	least := math.Inf(1)
	for _, brightens := range []bool{false, true} {
		for _, dull := range []bool{false, true} {
			ink, page := l.ink, l.page
			if brightens && l.bold && ink >= 0 && ink < 8 {
				ink += 8
			}
			if dull && page >= 8 && page < 16 {
				page -= 8
			}
			a, b := p.ink, p.page
			if ink != unset {
				a = p.at(ink)
			}
			if page != unset {
				b = p.at(page)
			}
			least = min(least, ratio(a, b)) // reverse changes sides, not the ratio
		}
	}
	return least
}

// looks are those of a frame's cells. Each cell must have ink and page set; blank
// ones are judged alike, since a cursor or a selection may stand on them.
func looks(t testing.TB, frame string) map[look]string {
	t.Helper()
	seen := map[look]string{}
	for _, line := range strings.Split(frame, "\n") {
		l := look{ink: unset, page: unset}
		for i, part := range strings.Split(line, "\x1b[") {
			if i > 0 {
				codes, rest, closed := strings.Cut(part, "m")
				if !closed {
					t.Fatalf("an escape that is none of SGR: %q", part)
				}
				l, part = l.after(t, codes), rest
			}
			if part != "" {
				seen[l] = part
			}
		}
	}
	return seen
}

// tour shows the screens of the board, a walk and the desk, with banners, a warning,
// an alarm, chosen rows, a form's cursor and a window that is too small.
func tour(t *testing.T, theme string, sixteen bool, each func(string)) {
	t.Helper()
	mono, now := time.Hour, monday
	d := &driver{t: t, now: &now, mono: &mono, w: 80, h: 24}
	o := d.options()
	o.Log, o.Theme, o.Sixteen = exampleAt(t, monday), theme, sixteen
	d.begin(o)
	shows := func(keys ...string) {
		for _, k := range keys {
			d.keys(k)
			each(d.m.View())
		}
	}
	for _, digit := range []string{"2", "3", "4", "5", "6", "7", "7", "8", "9"} {
		shows(digit, "down", "enter", "esc", "esc")
	}
	shows("6", "1", "pgdown", "esc", "6", "2", "down", "esc", "6", "3", "esc", "6", "4", "esc", "6", "5", "esc")
	shows("9", "1", "down", "enter", "pgdown", "1", "x", "left", "esc", "esc", "esc", "esc")
	shows("right", "enter", "1", "1", "a", "esc", "esc", "enter", "esc")
	d.scan("132435465768798012345678")
	each(d.m.View())
	d.toStart("89")
	shows("1", "esc")
	d.pass(2 * time.Minute)
	each(d.m.View())
	d.pass(time.Second)
	each(d.m.View())
	shows("right", "1")
	d.send(tea.WindowSizeMsg{Width: 120, Height: 40})
	each(d.m.View())
	d.send(tea.WindowSizeMsg{Width: 40, Height: 10})
	each(d.m.View())
}

// Every theme is read at 7 : 1 in every palette: each cell has ink and page of its
// own, in frames as they are drawn. Plain has no colour at all: there the contrast is
// the terminal's.
func TestEveryThemeIsRead(t *testing.T) {
	for _, theme := range shell.Themes {
		for _, sixteen := range []bool{false, true} {
			name := fmt.Sprintf("%s, sixteen %v", theme, sixteen)
			t.Run(name, func(t *testing.T) {
				all, frames := map[look]string{}, 0
				tour(t, theme, sixteen, func(frame string) {
					frames++
					if theme == "plain" {
						if frame != ansi.Strip(frame) {
							t.Fatalf("an escape in %q", frame)
						}
						return
					}
					maps.Copy(all, looks(t, frame))
				})
				if theme == "plain" {
					return
				}
				style := shell.NewStyle(theme)
				if sixteen {
					style = shell.NewStyle16(theme)
				}
				for _, part := range []func(string) string{style.Dim, style.Bold, style.Warn, style.Alarm, style.Pick, style.Cursor} {
					for l := range looks(t, part("x")) {
						if _, shown := all[l]; !shown {
							t.Errorf("%q was not shown in %d frames", part("x"), frames)
						}
					}
				}
				for l, text := range all {
					if l.ink == unset || l.page == unset {
						t.Errorf("%q leaves a colour to the terminal: %+v", text, l)
					}
					for _, p := range slices.Sorted(maps.Keys(palettes)) {
						if got := palettes[p].worst(l); got < enough {
							t.Errorf("%q, %+v: %.1f : 1 with %s", text, l, got, p)
						}
					}
				}
			})
		}
	}
}
