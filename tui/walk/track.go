package walk

import (
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/tui/widget"
)

// From trackFrom columns on the steps stand beside the walk, in trackWide of them. Both
// are our choice.
const (
	trackFrom = 100
	trackWide = 24
	walkWide  = 79 // what the walk's own lines need
)

// between are the steps that are asked only at times, each before the one that it is
// asked for.
var between = map[logbook.Step]logbook.Step{
	logbook.StepBeside: logbook.StepFitting, logbook.StepBreak: logbook.StepPrep, logbook.StepScrape: logbook.StepAmbient, logbook.StepBag: logbook.StepSettings,
}

// A stop is one line of the steps.
type stop struct {
	step  logbook.Step
	state string // done, now, or to come
}

// The marks say it in a sign, the words of the head say it too.
const (
	isDone = "✓"
	isNow  = "▸"
	toCome = "·"
)

// stops are the steps of a walk with step as the one at which it stands.
func stops(step logbook.Step) []stop {
	all := slices.Clone(order)
	if after, is := between[step]; is {
		all = slices.Insert(all, slices.Index(all, after), step)
	}
	at := slices.Index(all, step)
	if at < 0 { // all is answered
		at = len(all)
	}
	var out []stop
	for i, s := range all {
		state := isNow
		switch {
		case i < at:
			state = isDone
		case i > at:
			state = toCome
		}
		out = append(out, stop{s, state})
	}
	return out
}

// tracked draws the step with all steps beside it, where the window is wide enough.
func (s Walk) tracked(c ctx, height int) string {
	if c.W < trackFrom || c.Style.Spoken {
		return s.ui.view(c, height)
	}
	step := c.next()
	wide := min(trackWide, c.W-walkWide)
	c.W -= wide
	lines := strings.Split(s.ui.view(c, height), "\n")
	for i, stop := range stops(step) {
		if i >= height {
			break
		}
		if i >= len(lines) {
			lines = append(lines, "")
		}
		text, paint := stop.state+" "+stop.step.String(), c.Style.Dim
		if stop.state == isNow {
			paint = c.Style.Bold
		}
		lines[i] = widget.Pad(lines[i], c.W) + paint(widget.Cut("│ "+text, wide))
	}
	return strings.Join(lines, "\n")
}

// large is a figure to key in, as one letters it with a broad pen.
func large(c ctx, digits string) []string {
	if c.Style.Spoken {
		return []string{digits}
	}
	return widget.Big(digits)
}
