package shell

import (
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// A Style is the look of the screens, built once a theme. Words carry every
// meaning; the styles only help the eye.
type Style struct {
	Name  string
	Dim   func(string) string
	Bold  func(string) string
	Warn  func(string) string // must be read
	Alarm func(string) string // must be answered
	Pick  func(string) string // the chosen row
	Page  func(string) string // a whole line of the window
}

// Themes by name, in the order a key turns through them.
var themeNames = []string{"dark", "bright", "plain"}

// NewStyle builds a theme: "dark" for light on dark, "bright" for dark on
// white in the sun, "plain" without colour. Sixteen colours are enough.
func NewStyle(name string) *Style {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetHasDarkBackground(true)
	r.SetColorProfile(termenv.ANSI)
	base := r.NewStyle()
	switch name {
	case "bright":
		base = base.Foreground(lipgloss.Color("0")).Background(lipgloss.Color("15"))
	case "plain":
		r.SetColorProfile(termenv.Ascii)
	default:
		name = "dark"
	}
	s := &Style{Name: name}
	s.Page = func(line string) string { return line }
	s.Dim, s.Bold = render(base), render(base.Bold(true))
	s.Warn, s.Alarm = render(base.Bold(true)), render(base.Bold(true).Reverse(true))
	s.Pick = render(base.Reverse(true))
	switch name {
	case "dark":
		s.Dim = render(base.Foreground(lipgloss.Color("7")))
		s.Bold = render(base.Bold(true).Foreground(lipgloss.Color("15")))
		s.Warn = render(base.Bold(true).Foreground(lipgloss.Color("11")))
	case "bright":
		s.Warn = render(base.Bold(true).Foreground(lipgloss.Color("1")))
		s.Page = paper
	case "plain":
		plain(s)
	}
	return s
}

func render(s lipgloss.Style) func(string) string {
	return func(text string) string { return s.Render(text) }
}

// paper lays a line on a white page, under every style within it too.
func paper(line string) string {
	const on, off = "\x1b[30;107m", "\x1b[0m"
	return on + strings.ReplaceAll(line, off, off+on) + off
}

// plain marks with signs what the others mark with weight: no escape at all.
func plain(s *Style) {
	same := func(text string) string { return text }
	s.Dim, s.Bold, s.Page, s.Warn, s.Alarm, s.Pick = same, same, same, same, same, same
}

// NextStyle is the theme after s.
func NextStyle(s *Style) *Style {
	for i, name := range themeNames {
		if name == s.Name {
			return NewStyle(themeNames[(i+1)%len(themeNames)])
		}
	}
	return NewStyle(themeNames[0])
}
