package main

import (
	"fmt"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// A clockJump is a jump of the wall clock in a log, over all of its sites, and the
// entries that bear a time before it though they stand after it.
type clockJump struct {
	Entry   uint64   `json:"entry"` // the first after it
	ByS     float64  `json:"by_s"`  // less than nothing: back
	Before  string   `json:"before"`
	After   string   `json:"after"`
	Touched []uint64 `json:"touched"`
	Answers []uint64 `json:"answers"` // acceptances and signatures among them
}

// A clockWatch reads the clocks of a log. A jump is no fault of the log: an entry is what
// was stored, with the time that the clock showed.
type clockWatch struct {
	clocks logbook.Clocks
	jumps  []logbook.Jump
	said   []clockJump
}

// meets takes the next entry.
func (w *clockWatch) meets(e logbook.Entry) {
	var jump *logbook.Jump
	if w.clocks, jump = w.clocks.After(e.Seq, e.At); jump != nil {
		const at = "2006-01-02T15:04:05-07:00"
		w.jumps = append(w.jumps, *jump)
		w.said = append(w.said, clockJump{jump.Seq, jump.By.Seconds(), jump.Before.Local().Format(at), jump.After.Local().Format(at), []uint64{}, []uint64{}})
	}
	for i, j := range w.jumps {
		if !j.Back() || !j.Touches(e.Seq, e.At) {
			continue
		}
		w.said[i].Touched = append(w.said[i].Touched, e.Seq)
		if answers(e) {
			w.said[i].Answers = append(w.said[i].Answers, e.Seq)
		}
	}
}

// answers tells whether an entry accepts something or signs a day.
func answers(e logbook.Entry) bool {
	switch b := e.Open().(type) {
	case logbook.Reviewed:
		return b.Accepted
	case logbook.DaySigned:
		return true
	}
	return false
}

// line is the jump in one line.
func (j clockJump) line() string {
	line := fmt.Sprintf("the clock was set %s before entry %d: from %s to %s", audit.HowFar(j.ByS), j.Entry, j.Before, j.After)
	switch n := len(j.Touched); {
	case n == 0:
		return line
	case n == 1:
		line += "; this entry bears a time before entries that precede it"
	default:
		line += fmt.Sprintf("; %d entries, %d to %d, bear a time before entries that precede them", n, j.Touched[0], j.Touched[n-1])
	}
	if n := len(j.Answers); n > 0 {
		line += fmt.Sprintf(", among them %s: %s", answersOf(n), numbers(j.Answers))
	}
	return line
}

func answersOf(n int) string {
	if n == 1 {
		return "one acceptance or signature"
	}
	return fmt.Sprintf("%d acceptances or signatures", n)
}

// numbersMost is how many entries a line names.
const numbersMost = 12

func numbers(seqs []uint64) string {
	var parts []string
	for _, n := range seqs[:min(len(seqs), numbersMost)] {
		parts = append(parts, fmt.Sprint(n))
	}
	list := strings.Join(parts, ", ")
	if more := len(seqs) - numbersMost; more > 0 {
		list += fmt.Sprintf(" and %d more", more)
	}
	return list
}
