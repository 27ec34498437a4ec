package tui

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"coolhold/logbook"
	"coolhold/logbook/chart"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// drawingWide is the least width in which the drawing can be read: below it the
// board shows its list.
const drawingWide = 80

// draws tells whether the board shows its drawing now.
func (s board) draws(env shell.Env) bool {
	return s.drawn && !env.Style.Spoken && env.W >= drawingWide && len(env.Sight.All()) > 0
}

// Sideways tells whether the right arrow moves here.
func (s board) Sideways(env shell.Env) bool { return s.draws(env) }

// places are the site's joints as they are drawn, with the time left.
func places(env shell.Env) []chart.Place {
	all := chart.Places(env.Sight, env.Site.ID, env.Audit)
	for i, p := range all {
		all[i].Left = timeLeft(env, p.Joint)
	}
	return all
}

// pages are the parts of the site that are drawn at once: a chamber each, or so
// many circuits of one as fit. What lies outside the chambers is under each.
func pages(env shell.Env) []chart.Drawing {
	all := places(env)
	outside := runs(env, all)
	var out []chart.Drawing
	for _, c := range env.Site.Chambers {
		parts := chamber(env, c.Name, all, outside.H)
		for i, d := range parts {
			if title := pageTitle(env, c, i, len(parts)); title != "" {
				d = chart.Heading(title, env.W).Above(d)
			}
			out = append(out, d.Above(outside))
		}
	}
	if len(out) == 0 {
		out = append(out, outside)
	}
	return out
}

func runs(env shell.Env, all []chart.Place) chart.Drawing {
	d := chart.SmallRuns(all, env.W)
	if d.H == 0 {
		return chart.Drawing{}
	}
	return chart.Heading("Outside the chambers", env.W).Above(d)
}

// chamber is one chamber in as few parts as fit: in full where the window is
// large enough for it, with the number of every weld, else small.
func chamber(env shell.Env, name string, all []chart.Place, below int) []chart.Drawing {
	full := chart.Chamber(name, all, max(chart.Least, env.W))
	if len(full) == 1 && full[0].H+below+3 <= env.H {
		return full
	}
	return chart.Small(name, all, env.W)
}

// pageTitle is needed only where there is another page.
func pageTitle(env shell.Env, c logbook.Chamber, part, parts int) string {
	if parts == 1 && len(env.Site.Chambers) == 1 {
		return ""
	}
	title := groupName(env.Site, c.Name)
	if parts > 1 {
		title += fmt.Sprintf(", part %d of %d", part+1, parts)
	}
	return title + ": PgUp and PgDn turn"
}

// page is the number of the page that the chosen joint is on. A joint outside
// the chambers is on all of them: there the page stays.
func (s board) page(pages []chart.Drawing, label string) int {
	on := func(d chart.Drawing) bool { _, ok := d.Find(label); return ok }
	at := min(s.part, len(pages)-1)
	if on(pages[at]) {
		return at
	}
	return max(0, slices.IndexFunc(pages, on))
}

// roam moves to another joint by its place in the drawing.
func (s board) roam(env shell.Env, msg tea.Msg) board {
	all := pages(env)
	label := s.chosen(env).Label
	s.part = s.page(all, label)
	boxes := inReadingOrder(all[s.part])
	at := slices.IndexFunc(boxes, func(b chart.Box) bool { return b.Joint == label })
	if len(boxes) == 0 {
		return s
	}
	if at < 0 { // a joint that is not drawn, such as one that was split
		s.at = boxes[0].Joint
		return s
	}
	switch {
	case shell.Is(msg, shell.Runs):
		s.at = boxes[min(at+1, len(boxes)-1)].Joint
	case shell.Is(msg, shell.BackOne):
		s.at = boxes[max(at-1, 0)].Joint
	case shell.Is(msg, shell.Up):
		s.at = nearest(boxes, boxes[at], func(b chart.Box) int { return boxes[at].Y - b.Y - b.H })
	case shell.Is(msg, shell.Down):
		s.at = nearest(boxes, boxes[at], func(b chart.Box) int { return b.Y - boxes[at].Y - boxes[at].H })
	case shell.Is(msg, shell.PageUp) && s.part > 0:
		s = s.turn(all, s.part-1)
	case shell.Is(msg, shell.PageDown) && s.part < len(all)-1:
		s = s.turn(all, s.part+1)
	}
	return s
}

// turn goes to the first joint of a page.
func (s board) turn(all []chart.Drawing, page int) board {
	s.part, s.at = page, inReadingOrder(all[page])[0].Joint
	return s
}

// inReadingOrder are the boxes of the joints, line after line from the left.
func inReadingOrder(d chart.Drawing) []chart.Box {
	boxes := slices.DeleteFunc(slices.Clone(d.Boxes), func(b chart.Box) bool { return b.Joint == "" })
	slices.SortStableFunc(boxes, func(a, b chart.Box) int { return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X)) })
	return boxes
}

// nearest is the joint in the next line of boxes, by the least way sideways;
// where there is none it is the one it came from. away is how many lines lie
// between, negative where the box is not on that side.
func nearest(boxes []chart.Box, from chart.Box, away func(chart.Box) int) string {
	best := from
	for _, b := range boxes {
		if away(b) < 0 {
			continue
		}
		if best.Joint == from.Joint || cmp.Or(cmp.Compare(away(b), away(best)), cmp.Compare(aside(b, from), aside(best, from))) < 0 {
			best = b
		}
	}
	return best.Joint
}

func aside(a, b chart.Box) int { return max(a.X-b.X, b.X-a.X) }

// drawing is the board as a drawing: the sentence, what is ahead where there is
// room, and the page of the chosen joint.
func (s board) drawing(env shell.Env) string {
	label := s.chosen(env).Label
	all := pages(env)
	d := all[s.page(all, label)]
	lines := s.head(env)
	for _, l := range append(officeLines(env, false), lookAhead(env)...) {
		if len(lines)+1+d.H <= env.H {
			lines = append(lines, widget.Cut(" "+l, env.W))
		}
	}
	rows := d.Chosen(label).Text()
	from, to := 0, len(rows)
	if b, ok := d.Find(label); ok {
		rows = picked(env, rows, b)
		from, to = widget.Window(len(rows), b.Y+b.H/2, env.H-len(lines))
		if to == b.Y+b.H && to < len(rows) { // the chosen box is whole, and what is left is said below it
			from, to = from+1, to+1
		}
		if below := len(rows) - to; below > 0 && to > b.Y+b.H {
			rows[to-1] = env.Style.Dim(widget.More(below + 1))
		}
	}
	return strings.Join(append(lines, rows[from:to]...), "\n")
}

// picked is the drawing with the chosen box in the style of a chosen row.
func picked(env shell.Env, rows []string, b chart.Box) []string {
	for y := b.Y; y < b.Y+b.H; y++ {
		row := widget.Pad(rows[y], max(widget.Width(rows[y]), b.X+b.W))
		rows[y] = ansi.Cut(row, 0, b.X) + env.Style.Pick(ansi.Cut(row, b.X, b.X+b.W)) + ansi.Cut(row, b.X+b.W, widget.Width(row))
	}
	return rows
}
