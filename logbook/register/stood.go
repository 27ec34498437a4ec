package register

import (
	"cmp"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
)

// An Unended is a fusion or a cooling time that nobody ended in the log, and whose time was over
// when the register was made: a reader must not take it for one that goes on.
type Unended struct {
	Fusing bool      // else it cools
	Over   time.Time // when its time was over, if nothing stopped it
}

// Unended tells of a weld whether its fusion or its cooling time is over and not ended.
func (rep Report) Unended(weld string) (u Unended, is bool) {
	u, is = rep.unended[weld]
	return u, is
}

func unendedOf(welds []logbook.Weld, asOf time.Time) map[string]Unended {
	out := map[string]Unended{}
	for _, w := range welds {
		u := Unended{Fusing: w.Fusing()}
		span, known := w.FusionSpan()
		began, fused := w.FusedAt()
		until, held := w.HoldUntil()
		switch {
		case u.Fusing && known && fused:
			if u.Over = began.Add(span.Want); w.StartedStated == nil {
				u.Over = span.Began.Local().Add(span.Want - span.Done)
			}
		case w.Holding() && held:
			u.Over = until
		default:
			continue
		}
		if u.Over.Before(asOf) {
			out[w.ID] = u
		}
	}
	return out
}

// What is said of a weld of which no current was on yet, and of one whose time is over and that
// nobody ended.
const (
	BeingMade   = "being made, no current yet"
	CoolingOver = "cooling over, not released"
	EndUnsaid   = "end of fusion not recorded"
)

// stateWords are the states of a joint in the one word that a register has for it: "open" says
// there of a finding that nobody answered it.
var stateWords = map[audit.State]string{audit.NotMade: "without a weld", audit.OpenAgain: "without a weld, one was cut out", audit.InTheWalk: BeingMade, audit.InHold: "cooling"}

// StateSays is how a joint stands when the register was made: a cooling time that was over by
// then does not go on.
func (rep Report) StateSays(p chart.Place) string {
	if says := rep.UnendedSays(p.Weld); says != "" && (p.State == audit.InHold || p.State == audit.Fusing) {
		return says
	}
	return cmp.Or(stateWords[p.State], string(p.State))
}

// UnendedSays says that the fusion or the cooling of a weld was over by the time of the register
// and that nobody ended it; "" of any other weld.
func (rep Report) UnendedSays(weld string) string {
	switch u, is := rep.Unended(weld); {
	case !is:
		return ""
	case u.Fusing:
		return EndUnsaid
	}
	return CoolingOver
}

// LackSays is why a joint keeps the ground away, in a word or two. p is its place, where it has
// one in the report.
func (rep Report) LackSays(l audit.Lack, p chart.Place) string {
	if says := rep.stateOf(l, p); says != l.State && strings.Contains(says, ",") {
		return "(" + says + ")" // of several joints in a row it must be seen whose it is
	}
	return rep.stateOf(l, p)
}

func (rep Report) stateOf(l audit.Lack, p chart.Place) string {
	if p.Label == "" || l.State != string(p.State) {
		return l.State
	}
	return rep.StateSays(p)
}

// setDownAt is when a joint was first set down prepared, to be fused after others.
func setDownAt(r Row) Value {
	if len(r.Weld.Stood) == 0 {
		return nil
	}
	return r.Weld.Stood[0].From.Local()
}

// stoodMin is how many whole minutes it stood so, all times together, by the longer of
// what may be.
func stoodMin(r Row) Value {
	var sum time.Duration
	for _, stood := range r.Weld.Stood {
		if stood.Until == nil {
			return nil // it stands so still
		}
		lasted, _ := r.Site.Course.Most(*stood.From, *stood.Until, fusion.Stamp{})
		sum += lasted
	}
	if len(r.Weld.Stood) == 0 {
		return nil
	}
	return int(sum.Minutes())
}

// scrapedMin is how many whole minutes before its current a joint was scraped, of a weld
// whose current was watched.
func scrapedMin(r Row) Value {
	w := r.Weld
	if w.Started == nil || w.StartedStated != nil {
		return nil
	}
	ago, known := ahead.ScrapedAgo(r.Site, w, *w.Started, fusion.Stamp{})
	if !known {
		return nil
	}
	return int(ago.Minutes())
}
