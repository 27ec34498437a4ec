// Package widget draws text in boxes of a given size. It knows no word of the
// trade.
package widget

import (
	"strings"

	"github.com/charmbracelet/x/ansi"
)

// Cut makes a line fit width columns, with a mark where something is missing.
func Cut(line string, width int) string {
	if width <= 0 {
		return ""
	}
	return ansi.Truncate(line, width, "…")
}

// CutBelow makes lines fit a height, with a mark where the rest is missing.
func CutBelow(lines []string, height, width int) []string {
	if len(lines) <= height {
		return lines
	}
	if height <= 0 {
		return nil
	}
	kept := append([]string(nil), lines[:height]...)
	kept[height-1] = Cut(kept[height-1]+"…", width)
	return kept
}

// Pad makes a line exactly width columns.
func Pad(line string, width int) string {
	line = Cut(line, width)
	return line + strings.Repeat(" ", max(0, width-ansi.StringWidth(line)))
}

// Width is the number of columns a line takes.
func Width(line string) int { return ansi.StringWidth(line) }

// Wrap breaks a text into lines of at most width columns, at spaces where it
// can, never at a hyphen.
func Wrap(text string, width int) []string {
	if width <= 0 {
		return nil
	}
	whole := strings.ReplaceAll(text, "-", unbroken)
	return strings.Split(strings.ReplaceAll(ansi.Wrap(whole, width, ""), unbroken, "-"), "\n")
}

// Hanging is a text behind a lead, wrapped so that its further lines stand under its
// first.
func Hanging(lead, text string, width int) []string {
	indent := strings.Repeat(" ", Width(lead))
	var lines []string
	for i, l := range Wrap(text, max(8, width-len(indent)-1)) {
		if i > 0 {
			lead = indent
		}
		lines = append(lines, Cut(lead+strings.TrimLeft(l, " "), width))
	}
	return lines
}

// unbroken stands for a hyphen while a text is wrapped: a label such as North-10B
// and a date stay in one piece. It is one column wide, and logbook.Clean lets none
// through.
const unbroken = "\uFFFD"

// Fit makes a block of exactly width by height: lines cut, the rest blank. It is
// the last guard of a window, no way to make a text shorter: what must be shorter
// is wrapped, windowed or given to Cut. Lost says what would be missing.
func Fit(block string, width, height int) []string {
	lines := strings.Split(block, "\n")
	if len(lines) > height {
		lines = lines[:max(0, height)]
	}
	for i := range lines {
		lines[i] = Pad(lines[i], width)
	}
	for len(lines) < height {
		lines = append(lines, strings.Repeat(" ", max(0, width)))
	}
	return lines
}

// Lost is what Fit takes away from a block unsaid: the lines that are wider, and
// those with words in them that lie below.
func Lost(block string, width, height int) []string {
	var lost []string
	for i, line := range strings.Split(block, "\n") {
		if Width(line) > width || i >= height && strings.TrimSpace(ansi.Strip(line)) != "" {
			lost = append(lost, line)
		}
	}
	return lost
}

// Columns lays cells side by side, each padded to its width; the last runs on.
func Columns(widths []int, cells ...string) string {
	var b strings.Builder
	for i, c := range cells {
		if i < len(widths) && i < len(cells)-1 {
			b.WriteString(Pad(c, widths[i]))
			b.WriteByte(' ')
			continue
		}
		b.WriteString(c)
	}
	return b.String()
}

// Window is the part of n rows of which height fit, with row at in it: the
// first and one past the last.
func Window(n, at, height int) (from, to int) {
	if n <= height {
		return 0, n
	}
	from = min(max(0, at-height/2), n-height)
	return from, from + height
}

// big are digits five columns wide and five rows high, as one letters them with a
// broad pen. They are plain ASCII, which every terminal and font has.
var big = map[rune][5]string{
	'0': {" ### ", "#   #", "#   #", "#   #", " ### "},
	'1': {"  #  ", " ##  ", "  #  ", "  #  ", " ### "},
	'2': {" ### ", "#   #", "   # ", " ##  ", "#####"},
	'3': {"#### ", "    #", " ### ", "    #", "#### "},
	'4': {"  ## ", " # # ", "#  # ", "#####", "   # "},
	'5': {"#####", "#    ", "#### ", "    #", "#### "},
	'6': {"  ## ", " #   ", "#### ", "#   #", " ### "},
	'7': {"#####", "   # ", "  #  ", " #   ", " #   "},
	'8': {" ### ", "#   #", " ### ", "#   #", " ### "},
	'9': {" ### ", "#   #", " ####", "   # ", " ##  "},
}

// Big writes digits large, for figures that are keyed into something else.
func Big(digits string) []string {
	rows := make([]string, len(big['0']))
	for _, d := range digits {
		glyph := big[d]
		for i := range rows {
			rows[i] += glyph[i] + "  "
		}
	}
	return rows
}
