package logbook

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// IndicatorsRead is a look at a weld. One that is told afterwards says when it was made,
// as it was stated, and who looked where somebody else tells it.
type IndicatorsRead struct {
	Look
	Stated  *time.Time `json:"stated,omitempty"`
	DayOnly bool       `json:"day_only,omitempty"` // of Stated only the day is known
	Looker  string     `json:"looker,omitempty"`
	Paper   *PaperRow  `json:"paper,omitempty"` // set where it was taken in from paper
}

// Kind is "indicators read".
func (IndicatorsRead) Kind() Kind { return "indicators read" }

// Line is what was seen.
func (b IndicatorsRead) Line() string {
	var parts []string
	for i, v := range LookValues {
		switch said := v.Shown(b.Look); {
		case said != "":
			parts = append(parts, v.named(said))
		case i == 0:
			parts = append(parts, v.Name+" not said")
		}
	}
	return b.occasion() + ": " + strings.Join(parts, "; ")
}

// occasion is when and by whom, as far as the entry itself does not say it.
func (b IndicatorsRead) occasion() string {
	line := b.When.String()
	if b.Stated != nil {
		line += ", " + b.StatedAt() + " as stated"
	}
	if b.Looker != "" {
		line += ", by " + b.Looker
	}
	if b.Paper != nil {
		line += fmt.Sprintf(", on paper (%s, line %d)", b.Paper.File, b.Paper.Line)
	}
	return line
}

// StatedAt is the time that was stated, no finer than it was.
func (b IndicatorsRead) StatedAt() string {
	if b.DayOnly {
		return b.Stated.Format(time.DateOnly)
	}
	return b.Stated.Format("2006-01-02 15:04")
}

// Line is a look as its entry says it.
func (s Seen) Line() string {
	return IndicatorsRead{s.Look, s.Stated, s.DayOnly, s.Looker, s.Paper}.Line()
}

// Who is the person who looked: who says so, unless another is named.
func (s Seen) Who() string {
	if s.Looker != "" {
		return s.Looker
	}
	return s.By
}

// Any tells whether anything of the weld was looked at.
func (l Look) Any() bool {
	return slices.ContainsFunc(LookValues, func(v Value[Look]) bool { return v.Get(l) != "" })
}

// Saw tells whether anything was seen or felt: "could not look" is no look.
func (l Look) Saw() bool {
	return slices.ContainsFunc(LookValues, func(v Value[Look]) bool {
		return slices.ContainsFunc(strings.Split(v.Get(l), ","), func(code string) bool { return code != "" && code != Unseen })
	})
}

// LookedOver tells whether the end-of-shift check reached a weld, or another look has
// made up for it.
func (w Weld) LookedOver() bool {
	return slices.ContainsFunc(w.Looks, func(l Seen) bool {
		return l.When == LookRound || l.When == LookAgain && l.Saw()
	})
}

// RecheckDue tells whether another look was asked for and nobody looked since. Who made
// the weld does not close it alone, nor by typing what another is said to have seen: made
// says whether a name is his.
func (w Weld) RecheckDue(made func(name string) bool) bool {
	return w.Recheck != nil && !slices.ContainsFunc(w.Looks, func(l Seen) bool {
		return l.after(*w.Recheck) && (l.When != LookAgain || l.Saw()) && !made(l.Who()) && !made(l.By)
	})
}

// after tells whether a look was made once it was asked for, as stated where it is told
// later. Of a day alone any time of it may be meant.
func (s Seen) after(asked Request) bool {
	if s.Stated == nil || s.Seq < asked.Seq {
		return s.Seq > asked.Seq
	}
	at := asked.At.Wall.In(s.Stated.Location()).Truncate(time.Minute) // whole minutes are stated
	if s.DayOnly {
		return s.Stated.Format(time.DateOnly) >= at.Format(time.DateOnly)
	}
	return !s.Stated.Before(at)
}
