package audit

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
)

// A moment is what was said of the site as a whole at one time, or a jump of the
// clock then. Rules on entries look at one after the other.
type moment struct {
	id    string // by the time that the entry bears: logs may be merged
	jump  *logbook.Jump
	event *logbook.Event
	cover *logbook.Cover
	test  *logbook.PressureTest
	flow  *logbook.FlowCheck
	purge *logbook.Purge
	fluid *logbook.Filling
	// ground is a look at a section.
	ground *logbook.GroundCheck
}

func momentsOf(s logbook.Site) (out []moment) {
	for _, j := range s.Jumps {
		out = append(out, moment{id: j.ID, jump: &j})
	}
	for _, k := range s.Covers {
		out = append(out, moment{id: logbook.NameOfTime(k.At), cover: &k})
	}
	for _, e := range s.Events {
		out = append(out, moment{id: logbook.NameOfTime(e.At), event: &e})
	}
	for _, t := range s.Tests {
		out = append(out, moment{id: t.ID, test: &t})
	}
	for _, g := range s.Ground {
		out = append(out, moment{id: "ground " + logbook.NameOfTime(g.At), ground: &g})
	}
	return append(out, loopMoments(s.Loop)...)
}

// A jumpFact is a jump of the wall clock between two entries.
type jumpFact struct {
	Before time.Time `json:"before"`
	After  time.Time `json:"after"`
	ByS    float64   `json:"by_s"` // less than nothing: back
}

func clockJumped(c Case) (jumpFact, bool) {
	j := c.moment.jump
	if j == nil {
		return jumpFact{}, false
	}
	return jumpFact{j.Before.Local(), j.After.Local(), j.By.Seconds()}, true
}

func jumpSays(_ string, f jumpFact) string {
	const at = "2 Jan 15:04:05"
	line := fmt.Sprintf("the clock was set %s between two entries, from %s to %s", HowFar(f.ByS), f.Before.Format(at), f.After.Format(at))
	if f.After.Before(f.Before) {
		line += "; what was entered until it read so again bears a time before entries that precede it"
	}
	return line
}

// An answerFact is an acceptance or the signature under a day.
type answerFact struct {
	Key string    `json:"key,omitempty"` // of the finding that was accepted
	Day string    `json:"day,omitempty"`
	By  string    `json:"by"`
	At  time.Time `json:"at"`
}

func (f answerFact) says() string {
	what := f.Key + " accepted"
	if f.Day != "" {
		what = "day " + f.Day + " signed"
	}
	return fmt.Sprintf("%s by %s (%s)", what, f.By, f.At.Format("2 Jan 15:04"))
}

// answeredOutOfTime are the acceptances and signatures after a jump that bear a time
// before it: who reads only the times takes them for older than what they were given
// on. It is a note beside the jump: were they facts of it, each that is given under
// a clock set back would open the jump again.
func answeredOutOfTime(c Case) (all []answerFact, found bool) {
	j := c.moment.jump
	if j == nil || !j.Back() {
		return nil, false
	}
	given := map[uint64]answerFact{} // one entry is one answer
	for _, v := range c.reviews() {
		if v.Accepted && j.Touches(v.Seq, v.At) {
			given[v.Seq] = answerFact{Key: v.Key, By: v.By, At: v.At.Local()}
		}
	}
	for _, d := range c.Site.Signed {
		if j.Touches(d.Seq, d.At) {
			given[d.Seq] = answerFact{Day: d.Day, By: d.By, At: d.At.Local()}
		}
	}
	for _, seq := range slices.Sorted(maps.Keys(given)) {
		all = append(all, given[seq])
	}
	return all, len(all) > 0
}

// reviews are all answers that were given on the site.
func (c Case) reviews() []logbook.Review {
	all := slices.Clone(c.Site.Reviews)
	for _, j := range c.scene.inOrder {
		all = append(all, j.Reviews...)
	}
	for _, w := range c.scene.welds {
		all = append(all, w.Reviews...)
	}
	return all
}

func outOfTimeSays(_ string, all []answerFact) string {
	says := make([]string, len(all))
	for i, f := range all {
		says[i] = f.says()
	}
	return "given under a clock that was set back, with a time before entries that precede it: " + strings.Join(says, "; ")
}

// HowFar says how far a clock was set, in seconds: "back by 32 h 0 min".
func HowFar(seconds float64) string {
	way, d := "forward", time.Duration(seconds*float64(time.Second)).Round(time.Second)
	if d < 0 {
		way, d = "back", -d
	}
	if d >= time.Hour {
		return fmt.Sprintf("%s by %d h %d min", way, d/time.Hour, d%time.Hour/time.Minute)
	}
	return fmt.Sprintf("%s by %d min %d s", way, d/time.Minute, d%time.Minute/time.Second)
}

// An openedFact is a day, and the later one on which the site was opened in the log.
type openedFact struct {
	Day    string `json:"day"`
	Opened string `json:"opened"`
}

// beforeOpened tells whether a day lies before the one on which the site was opened
// in this log, as a clock with that offset has it.
func (c Case) beforeOpened(day string, offset int) (openedFact, bool) {
	opened := c.Site.OpenedAt
	opened.Offset = offset
	f := openedFact{day, opened.Local().Format(time.DateOnly)}
	return f, f.Day < f.Opened
}

// weldBeforeOpening is found on what was stated afterwards: a walk comes after the
// opening, whatever its clock says.
func weldBeforeOpening(c Case) (openedFact, bool) {
	if c.Weld.StartedStated == nil {
		return openedFact{}, false
	}
	_, offset := c.Weld.StartedStated.Zone()
	return c.beforeOpened(c.Weld.StartedStated.Format(time.DateOnly), offset)
}

func weldOpeningSays(weld string, f openedFact) string {
	return fmt.Sprintf("%s is said to be made on %s; the site was opened in this log on %s", weld, f.Day, f.Opened)
}

// A toldFact is a cover, or what happened, on a day before the site was opened.
type toldFact struct {
	Part    string            `json:"part,omitempty"` // that was covered
	What    logbook.Happening `json:"what,omitempty"`
	Joint   string            `json:"joint,omitempty"`
	Chamber string            `json:"chamber,omitempty"`
	Circuit int               `json:"circuit,omitempty"`
	openedFact
}

func toldBeforeOpening(c Case) (f toldFact, found bool) {
	switch m := c.moment; {
	case m.event != nil:
		e := *m.event
		f = toldFact{What: e.What, Joint: e.Joint, Chamber: e.Chamber, Circuit: e.Circuit}
		f.openedFact, found = c.beforeOpened(e.On, e.At.Offset)
	case m.cover != nil && m.cover.On != "" && m.cover.Withdrawn == nil:
		f.Part = m.cover.Section
		f.openedFact, found = c.beforeOpened(m.cover.On, m.cover.At.Offset)
	}
	return f, found
}

func toldOpeningSays(_ string, f toldFact) string {
	what := f.Part + " covered"
	if f.Part == "" {
		e := logbook.Event{Joint: f.Joint, Happened: logbook.Happened{Chamber: f.Chamber, Circuit: f.Circuit}}
		what = f.What.String() + ", " + e.About()
	}
	return fmt.Sprintf("%s: said to be on %s; the site was opened in this log on %s", what, f.Day, f.Opened)
}

// lostUnwelded speaks on a loss of pressure where no joint was fused yet: what is not welded
// holds none, so the day or the place is another one. What is welded later changes nothing
// of what was said, so an answer stays.
func lostUnwelded(c Case) (spot, bool) {
	e := c.moment.event
	if e == nil || e.What != logbook.PressureLost {
		return spot{}, false
	}
	if _, earlier := c.beforeOpened(e.On, e.At.Offset); earlier {
		return spot{}, false // another rule's
	}
	for _, w := range c.scene.welds {
		if w.Fused() && w.Day() <= e.On && e.Touches(c.scene.joints[w.Joint].In(w)) {
			return spot{}, false
		}
	}
	return spotOf(*e), true
}

func unweldedSays(_ string, f spot) string {
	return f.event(logbook.PressureLost).Place() + ": nothing was welded there by then"
}
