package ahead

import (
	"fmt"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

var lateWord = map[GroundLack]string{GroundLate: "only afterwards", GroundStale: "only before it was dug up", GroundUntimed: "enclosed only afterwards, no time known"}

// Name is what a line is called.
func (l Looked) Name() string { return logbook.GroundLines.Word(l.Line) }

// Short names a line with what it lacks: "bed", "bed (could not look)", "lid height 12.4 m,
// set out 12.3 m".
func (l Looked) Short() string {
	switch l.Lack {
	case GroundUnseen:
		return l.Name() + " (" + logbook.GroundFacts.Word(l.State) + ")"
	case GroundLate, GroundStale, GroundUntimed:
		return l.Name() + " (" + lateWord[l.Lack] + ")"
	case GroundUnread:
		return l.Name() + " (its figure was not read)"
	case GroundFew:
		return l.Name() + " (from one point alone)"
	case GroundNot, GroundShort, GroundOff:
		return strings.TrimSpace(l.Name() + " " + l.figures())
	}
	return l.Name()
}

// figures are the figure as measured and what the plan states, as far as there are.
func (l Looked) figures() string {
	var parts []string
	if l.M != nil {
		parts = append(parts, fusion.Figure(*l.M)+" m")
	}
	if want := l.Wanted(); want != "" {
		parts = append(parts, want)
	}
	return strings.Join(parts, ", ")
}

// Wanted is the figure that the plan states: "set out 12.3 m", "at least 0.9 m"; "" where
// it states none.
func (l Looked) Wanted() string {
	switch {
	case l.WantM == nil:
		return ""
	case l.Line == logbook.GroundCover:
		return "at least " + fusion.Figure(*l.WantM) + " m"
	}
	return "set out " + fusion.Figure(*l.WantM) + " m"
}

// Says is what is recorded of a line, in words: "yes, 12.34 m, set out 12.3 m".
func (l Looked) Says() string {
	var parts []string
	switch {
	case l.Line == logbook.GroundPhoto && len(l.Photos) > 0:
		for i, file := range l.Photos {
			says := file + " (" + l.Taken[i]
			if l.After[i] {
				says += "; enclosed only after the cover"
			}
			parts = append(parts, says+")")
		}
	case l.Routes != "":
		parts = []string{l.Routes}
	case len(l.Offsets) > 0:
		for _, o := range l.Offsets {
			parts = append(parts, fusion.Figure(o.M)+" m from "+o.From)
		}
	case l.State != "":
		parts = []string{logbook.GroundFacts.Word(l.State)}
	case l.Line == logbook.GroundPhoto:
		parts = []string{"none"}
	default:
		parts = []string{"nobody looked"}
	}
	if figures := l.figures(); figures != "" {
		parts = append(parts, figures)
	}
	switch l.Lack {
	case GroundLate, GroundStale, GroundUntimed:
		parts = append(parts, lateWord[l.Lack])
	case GroundUnread:
		parts = append(parts, "its figure was not read")
	case GroundFew:
		parts = append(parts, "from one point alone")
	}
	return strings.Join(parts, ", ")
}

// Listed is a line as it is listed: "before the cover, bed: yes (Ada Invented, 9 Mar 10:14)".
func (l Looked) Listed() string {
	line := fmt.Sprintf("%s, %s: %s", l.Stage, l.Name(), l.Says())
	if at, err := time.Parse(time.RFC3339, l.At); err == nil {
		line += fmt.Sprintf(" (%s, %s)", l.By, at.Format("2 Jan 15:04"))
	}
	return line
}
