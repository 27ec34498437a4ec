package shell

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"coolhold/logbook"
)

// Spoken is what the window shows as lines that are read one after another, for who
// sees no window.
type Spoken struct {
	Title  string   // the site, the shift and who is at the laptop; no clock
	News   []string // what is wrong, what runs or waits, why nothing is stored
	Said   []string // what was said to the last key
	Screen string   // names the top screen
	Home   bool     // it is the first one
	Body   []string
	Keys   string
}

// Spoken is the window as it is now.
func (r Root) Spoken() Spoken {
	if len(r.stack) == 0 {
		return Spoken{News: r.stallLines()}
	}
	env := r.env()
	foot := r.footLines(env)
	env.H -= len(foot)
	s := Spoken{Screen: fmt.Sprintf("%d %T", len(r.stack), r.top()), Home: len(r.stack) == 1, Keys: strings.Join(foot, " · ")}
	s.Title = logbook.Clean(logbook.Joined("  ", env.Site.Name, env.Shift.ID, r.by))
	s.News = append(s.News, r.wrong...)
	for _, line := range env.Running {
		s.News = append(s.News, StripItem(line))
	}
	for _, line := range env.Tests {
		s.News = append(s.News, StripTest(line))
	}
	s.News = append(append(s.News, r.twinLines()...), r.stallLines()...)
	for _, b := range r.lines {
		s.Said = append(s.Said, b.text)
	}
	s.Body = strings.Split(ansi.Strip(r.top().View(env)), "\n")
	return s
}

// Taking is what the top screen does with text.
func (r Root) Taking() Taking { return r.taking() }

// Listens tells whether the next line may be given: what the last one led to is there
// and stored, so that who is answered knows that all before it is. Where storing stalls
// that is said, and lines are heard all the same.
func (r Root) Listens() bool {
	return len(r.stack) > 0 && (len(r.queue) == 0 || r.stall.says != "") && r.abroad == 0 && !r.fetching && len(r.asks) == 0
}
