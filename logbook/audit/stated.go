package audit

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
)

// StatedMost is how far the stated minutes of a fusion may lie from the
// seconds that its unit ran: our choice, adjustable. Whole minutes are stated,
// so that two are off by less than one without any fault.
const StatedMost = 2 * time.Minute

// statedUnlike holds the minutes that a person stated against the seconds that
// the unit ran, else was set to. Of a fusion that stopped before its time only
// the seconds it ran count.
func statedUnlike(c Case) string {
	w := c.Weld
	if w.StartedStated == nil || w.EndedStated == nil {
		return ""
	}
	seconds, from, known := ranFor(w)
	took := w.EndedStated.Sub(*w.StartedStated)
	if apart := took - time.Duration(seconds)*time.Second; !known || apart.Abs() <= StatedMost {
		return ""
	}
	return fmt.Sprintf("%s: %s to %s is %.0f min, its unit %s %d s", w.ID, w.StartedStated.Format("15:04"), w.EndedStated.Format("15:04"), took.Minutes(), from, seconds)
}

func ranFor(w logbook.Weld) (seconds int, from string, known bool) {
	switch {
	case w.Run != nil:
		return *w.Run, "ran", true
	case w.Outcome == logbook.Stopped && w.StoppedAt != nil:
		return *w.StoppedAt, "stopped at", true
	case w.Outcome == logbook.Stopped || w.Settings == nil || w.Settings.SecondsUnsaid:
		return 0, "", false
	}
	return w.Settings.SecondsShown, "was set to", true
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
	return strings.ToLower(strings.Join(strings.Fields(s), " "))
}

// notOnAShift is silent on a site where no shift was ever started.
func notOnAShift(c Case) string {
	roll := c.scene.roll
	if len(c.Site.Shifts) == 0 {
		return ""
	}
	var parts []string
	name := plainName(c.Weld.Operator)
	if _, known := roll.names[name]; !known {
		says := fmt.Sprintf("operator %q is on no shift of the site", c.Weld.Operator)
		if whose, mark := roll.marks[name]; mark {
			says += fmt.Sprintf(" (%s is the mark of %s)", c.Weld.Operator, whose)
		}
		parts = append(parts, says)
	}
	if _, known := roll.units[plainName(c.Weld.Unit)]; !known {
		parts = append(parts, fmt.Sprintf("unit %q is on no shift of the site", c.Weld.Unit))
	}
	if len(parts) == 0 {
		return ""
	}
	return fused(c, c.Weld.ID+": "+strings.Join(parts, "; "))
}

// madeBy tells whether a name is that of a weld's operator, or his mark.
func (c Case) madeBy(name string) bool {
	own, by := plainName(c.Weld.Operator), plainName(name)
	whole := func(s string) string {
		if whose, ok := c.scene.roll.marks[s]; ok {
			return plainName(whose)
		}
		return s
	}
	return whole(own) == whole(by)
}

// selfSlug is the one rule whose findings the operator of a weld cannot accept.
const selfSlug = "self-accepted"

// selfAccepted names what the operator of a weld accepted on it. It stands
// behind the other rules on welds, whose findings it reads.
func selfAccepted(c Case) string {
	var rules []string
	by := ""
	for _, f := range slices.Backward(c.found.Findings) {
		if f.Weld != c.Weld.ID {
			break
		}
		if f.Accepted != nil && c.madeBy(f.Accepted.By) {
			rules, by = append(rules, f.Rule), f.Accepted.By
		}
	}
	if len(rules) == 0 {
		return ""
	}
	slices.Sort(rules)
	return fmt.Sprintf("%s was made by %s, and %s accepted its %s", c.Weld.ID, c.Weld.Operator, by, strings.Join(rules, ", "))
}

// changedAfterSigning speaks on a weld that came to a day once it was signed.
// It goes by the order of the log, since clocks are set; where the day was
// signed again since, the weld was there to be seen.
func changedAfterSigning(c Case) string {
	signed, ok := c.Site.SignatureOf(c.Weld.Day())
	if !ok || cameSeq(c.Weld) <= signed.Seq {
		return ""
	}
	return fmt.Sprintf("%s came to %s after %s had signed that day on %s", c.Weld.ID, signed.Day, signed.By, signed.At.Local().Format("2 Jan 15:04"))
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
