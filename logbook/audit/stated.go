package audit

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// StatedMost is how far the stated minutes of a fusion may lie from the
// seconds that its unit ran: our choice, adjustable. Whole minutes are stated,
// so that two are off by less than one without any fault.
const StatedMost = 2 * time.Minute

// A statedFact is the minutes that were stated for a fusion, and the seconds
// that its unit ran or was set to.
type statedFact struct {
	Started time.Time `json:"started"`
	Ended   time.Time `json:"ended"`
	Seconds int       `json:"seconds"`
	Of      string    `json:"of"`
}

// What the seconds of a fusion are those of, as stored.
const (
	secondsRan  = "run"
	secondsStop = "stop"
	secondsSet  = "set"
)

// statedUnlike holds the minutes that a person stated against the seconds that
// the unit ran, else was set to. Of a fusion that stopped before its time only
// the seconds it ran count.
func statedUnlike(c Case) (statedFact, bool) {
	w := c.Weld
	if w.StartedStated == nil || w.EndedStated == nil {
		return statedFact{}, false
	}
	seconds, of := ranFor(w)
	apart := w.EndedStated.Sub(*w.StartedStated) - time.Duration(seconds)*time.Second
	return statedFact{*w.StartedStated, *w.EndedStated, seconds, of}, of != "" && apart.Abs() > StatedMost
}

func statedSays(weld string, f statedFact) string {
	unit := map[string]string{secondsRan: "ran", secondsStop: "stopped at", secondsSet: "was set to"}[f.Of]
	return fmt.Sprintf("%s: %s to %s is %.0f min, its unit %s %d s",
		weld, f.Started.Format("15:04"), f.Ended.Format("15:04"), f.Ended.Sub(f.Started).Minutes(), unit, f.Seconds)
}

// ranFor is how long a fusion took as its unit tells; without of it is not known.
func ranFor(w logbook.Weld) (seconds int, of string) {
	switch {
	case w.Run != nil:
		return *w.Run, secondsRan
	case w.Outcome == logbook.Stopped && w.StoppedAt != nil:
		return *w.StoppedAt, secondsStop
	case w.Outcome == logbook.Stopped || w.Settings == nil || w.Settings.SecondsUnsaid:
		return 0, ""
	}
	return w.Settings.SecondsShown, secondsSet
}

// A roll is everybody and every control unit that stood on a shift of a site.
type roll struct {
	names, marks, units map[string]string // marks: whose
}

// rollOf goes by the order of the shifts: a mark that two have had is that of
// the later.
func rollOf(order []string, shifts map[string]logbook.Shift) roll {
	r := roll{map[string]string{}, map[string]string{}, map[string]string{}}
	for _, id := range order {
		sh := shifts[id]
		for _, o := range sh.Operators {
			r.names[plainName(o.Name)] = o.Name
			if o.Mark != "" {
				r.marks[plainName(o.Mark)] = o.Name
			}
		}
		for _, u := range sh.Units {
			r.units[plainName(u.Serial)] = u.Serial
		}
	}
	return r
}

// plainName is a name as it is compared: in upper and lower case alike, and
// without what stands behind a comma ("foreman").
func plainName(s string) string {
	s, _, _ = strings.Cut(s, ",")
	return fusion.Folded(s)
}

// A stranger is an operator or a unit that no shift knows; nil is one it does.
type stranger struct {
	Operator *string `json:"operator,omitempty"`
	MarkOf   string  `json:"mark_of,omitempty"` // who has such a mark
	Unit     *string `json:"unit,omitempty"`
}

// notOnAShift is silent on a site where no shift was ever started.
func notOnAShift(c Case) (f stranger, found bool) {
	roll := c.scene.roll
	name := plainName(c.Weld.Operator)
	if _, known := roll.names[name]; !known {
		f.Operator, f.MarkOf = &c.Weld.Operator, roll.marks[name]
	}
	if _, known := roll.units[plainName(c.Weld.Unit)]; !known {
		f.Unit = &c.Weld.Unit
	}
	return f, c.Weld.Fused() && len(c.Site.Shifts) > 0 && (f.Operator != nil || f.Unit != nil)
}

func strangerSays(weld string, f stranger) string {
	var parts []string
	if f.Operator != nil {
		says := fmt.Sprintf("operator %q is on no shift of the site", *f.Operator)
		if f.MarkOf != "" {
			says += fmt.Sprintf(" (%s is the mark of %s)", *f.Operator, f.MarkOf)
		}
		parts = append(parts, says)
	}
	if f.Unit != nil {
		parts = append(parts, fmt.Sprintf("unit %q is on no shift of the site", *f.Unit))
	}
	return weld + ": " + strings.Join(parts, "; ")
}

// SelfAccepted is the rule of what the operator of a weld accepted on it.
const SelfAccepted = "self-accepted"

// An ownAnswer is what the operator of a weld accepted on it.
type ownAnswer struct {
	Operator string   `json:"operator"`
	By       string   `json:"by"` // as he wrote it under one of them
	Rules    []string `json:"rules"`
}

// selfAccepted names what the operator of a weld accepted on it. It stands
// behind the other rules on welds, whose findings it reads.
func selfAccepted(c Case) (ownAnswer, bool) {
	own := ownAnswer{Operator: c.Weld.Operator}
	for _, f := range slices.Backward(c.found.Findings) {
		if f.Weld != c.Weld.ID {
			break
		}
		if f.Accepted == nil || f.Accepted.OwnWelder {
			continue
		}
		if m, made := c.maker(f.Accepted.By); made {
			own.Rules, own.By, own.Operator = append(own.Rules, f.Rule), f.Accepted.By, m
		}
	}
	slices.Sort(own.Rules)
	return own, len(own.Rules) > 0
}

// inWords are rules as a person reads them; one that is not known any more by its name.
func inWords(slugs []string) string {
	var words []string
	for _, slug := range slugs {
		if rule, known := bySlug[slug]; known {
			slug = rule.Says
		}
		words = append(words, slug)
	}
	return strings.Join(words, "; ")
}

func ownSays(weld string, f ownAnswer) string {
	return fmt.Sprintf("%s was made by %s, and %s accepted on it: %s", weld, f.Operator, f.By, inWords(f.Rules))
}

// A dayFact is the signature after which a weld came to its day.
type dayFact struct {
	Day string    `json:"day"`
	By  string    `json:"by"`
	At  time.Time `json:"at"`
}

// changedAfterSigning speaks on a weld that came to a day once it was signed.
// It goes by the order of the log, since clocks are set; where the day was
// signed again since, the weld was there to be seen. That its own welder signed the
// day again, which another had signed, is no second look.
func changedAfterSigning(c Case) (dayFact, bool) {
	came, own := cameSeq(c.Weld), false
	for _, s := range slices.Backward(c.Site.Signed) {
		if s.Day != c.Weld.Day() {
			continue
		}
		f := dayFact{s.Day, s.By, s.At.Local()}
		welder := (c.madeBy(s.By) || c.madeByNobody(s.By) != "") && !c.scene.people.worksAlone(s.By)
		switch {
		case came > s.Seq && (!own || !welder):
			return f, true
		case !welder:
			return f, false
		}
		own = own || came <= s.Seq
	}
	return dayFact{}, false
}

func daySays(weld string, f dayFact) string {
	return fmt.Sprintf("%s came to %s after %s had signed that day on %s", weld, f.Day, f.By, f.At.Format("2 Jan 15:04"))
}

// cameSeq is the entry with which a weld came to its day: its first, or that
// its current was on.
func cameSeq(w logbook.Weld) uint64 {
	if t, _, ok := lastTrace(w, logbook.FusionStarted{}.Kind()); ok && w.Fused() {
		return t.Seq
	}
	if len(w.Trail) == 0 {
		return 0
	}
	return w.Trail[0].Seq
}
