package widget

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"golang.org/x/text/unicode/norm"
)

// signs are what the screens and verbs draw, in ASCII, a cell for a cell. None may turn
// one figure into another: a span is no decimal point and ohm no nought, so that is the
// letter that IEC 60062 has for it.
var signs = map[rune]byte{
	'…': '~', '–': '-', '—': '-', '−': '-', '·': '.', '×': 'x', '±': '~', '°': 'o', 'Ω': 'R', '²': '2', '³': '3', 'µ': 'u', 'ρ': 'r', 'Δ': 'D',
	'→': '>', '←': '<', '↑': '^', '↓': 'v', '▸': '>', '✓': '*', '█': '_', '░': ':', '≤': '<', '≥': '>', '≈': '~',
	'─': '-', '│': '|', '┌': '+', '┐': '+', '└': '+', '┘': '+', '├': '+', '┤': '+', '┬': '+', '┴': '+', '┼': '+',
	'━': '=', '┃': '#', '┏': '#', '┓': '#', '┗': '#', '┛': '#', '╌': '~', '╎': '!', '┈': '.', '┊': ':',
	'“': '"', '”': '"', '„': '"', '’': '\'', '‘': '\'', '\u00a0': ' ',
	'ß': 's', 'ø': 'o', 'Ø': 'O', 'đ': 'd', 'Đ': 'D', 'ł': 'l', 'Ł': 'L', 'æ': 'a', 'Æ': 'A', 'œ': 'o', 'Œ': 'O', 'ð': 'd', 'Ð': 'D', 'þ': 't', 'Þ': 'T', 'ı': 'i',
}

// unsigned stands for what has no form in ASCII.
const unsigned = '?'

// ASCII is a text in ASCII, each cell for a cell: for terminals that have no other
// signs. Letters lose their marks; escapes are left as they are.
func ASCII(text string) string {
	if isASCII(text) {
		return text
	}
	var b strings.Builder
	for state := byte(0); len(text) > 0; {
		seq, width, n, next := ansi.DecodeSequence(text, state, nil)
		if isASCII(seq) {
			b.WriteString(seq)
		} else {
			b.WriteString(cells(seq, width))
		}
		text, state = text[n:], next
	}
	return b.String()
}

// cells is one sign on as many cells as it takes.
func cells(seq string, width int) string {
	if width <= 0 {
		return ""
	}
	return string(inASCII(seq)) + strings.Repeat(string(unsigned), width-1)
}

func inASCII(seq string) byte {
	first, _ := utf8.DecodeRuneInString(seq)
	if c, is := signs[first]; is {
		return c
	}
	// A letter without its mark; a half is no one.
	if base := norm.NFKD.String(seq)[0]; base < 0x80 && unicode.IsPrint(rune(base)) && (unicode.IsLetter(first) || unicode.IsDigit(first)) {
		return base
	}
	return unsigned
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= 0x80 {
			return false
		}
	}
	return true
}
