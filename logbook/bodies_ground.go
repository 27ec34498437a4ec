package logbook

import (
	"fmt"
	"strings"
	"time"

	"coolhold/fusion"
)

// GroundChecked is a look at a part of the site before it is welded or covered, as it was
// seen. Nothing in it has a default, and it says only what was looked at: the rest may
// come in another.
type GroundChecked struct {
	Section string       `json:"part"`  // as in Covered
	Stage   GroundStage  `json:"stage"` // before what
	Seen    []GroundSeen `json:"seen,omitempty"`
	Offsets []Offset     `json:"offsets,omitempty"`
	Routes  string       `json:"routes,omitempty"` // of the loops, in words
	Text    string       `json:"text,omitempty"`
	Stated  *time.Time   `json:"stated,omitempty"` // when it was seen, where it was entered later
}

// A GroundSeen is what was seen of one line.
type GroundSeen struct {
	Line  string   `json:"line"`        // a code of GroundLines
	State string   `json:"state"`       // as it should be; a code of GroundFacts
	M     *float64 `json:"m,omitempty"` // as measured; nil: not read
}

// An Offset is a distance from a fixed point.
type Offset struct {
	From string  `json:"from"` // and to what, in words
	M    float64 `json:"m"`
}

// Kind is "ground checked".
func (GroundChecked) Kind() Kind { return "ground checked" }

// Line names the part and what was seen.
func (b GroundChecked) Line() string {
	var says []string
	for _, s := range b.Seen {
		says = append(says, s.String())
	}
	for _, o := range b.Offsets {
		says = append(says, fmt.Sprintf("%s m from %s", fusion.Figure(o.M), o.From))
	}
	if b.Routes != "" {
		says = append(says, "loop routes: "+b.Routes)
	}
	return fmt.Sprintf("%s looked at %s: %s", b.Section, b.Stage, strings.Join(says, "; ")) + remark(b.Text) + later(b.Stated, "")
}

// String is a line with what was seen of it.
func (s GroundSeen) String() string {
	says := GroundLines.Word(s.Line) + ": " + GroundFacts.Word(s.State)
	if s.M != nil {
		says += ", " + fusion.Figure(*s.M) + " m"
	}
	return says
}

// GroundWithdrawn takes the newest look at a part back: it was said by mistake. Both stay
// in the log.
type GroundWithdrawn struct {
	Section string `json:"part"`
	Why     string `json:"why"`
}

// Kind is "ground check withdrawn".
func (GroundWithdrawn) Kind() Kind { return "ground check withdrawn" }

// Line names the part and says why.
func (b GroundWithdrawn) Line() string {
	return fmt.Sprintf("the newest look at %s is taken back: %s", b.Section, b.Why)
}
