package widget

// A Scroll is how far a text was read: so many of its lines lie above the first
// that is shown.
type Scroll int

// Move goes so many lines down, or up, inside what there is.
func (s Scroll) Move(by, lines, height int) Scroll {
	return Scroll(min(max(0, int(s)+by), max(0, lines-max(1, height))))
}

// Part is which of so many lines are shown in a height: the first and one past
// the last.
func (s Scroll) Part(lines, height int) (from, to int) {
	from = int(s.Move(0, lines, height))
	return from, min(lines, from+max(1, height))
}

// Below is how many lines were not shown yet.
func (s Scroll) Below(lines, height int) int {
	_, to := s.Part(lines, height)
	return lines - to
}

// View is the lines that are shown. Where the text goes on the last of them says
// so, in the style dim.
func (s Scroll) View(text []string, height int, dim func(string) string) []string {
	from, to := s.Part(len(text), height)
	shown := append([]string(nil), text[from:to]...)
	if below := len(text) - to; below > 0 && len(shown) > 1 {
		shown[len(shown)-1] = dim(More(below + 1))
	}
	return shown
}
