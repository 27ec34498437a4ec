package audit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
)

// Unanswerable says why no name can settle a finding, in a few words with what
// to do instead; it is empty for an open query.
func (f Finding) Unanswerable() string {
	switch {
	case f.Accepted != nil:
		return "accepted by " + f.Accepted.By + " already"
	case f.Settled:
		return "settled: its weld no longer stands"
	case f.Severity == Fail:
		return "a fail is never accepted: cut it out"
	case f.Severity == Note:
		return "a note asks for no answer"
	case f.Work:
		return "what is not done is not accepted: " + f.Do
	}
	return ""
}

// Acceptable are the queries that a name can settle: no fail, and no work that
// is still to be done.
func Acceptable(findings []Finding) []Finding {
	return slices.DeleteFunc(slices.Clone(findings), func(f Finding) bool { return f.Unanswerable() != "" })
}

// Accept answers a finding where it was found: on a weld, on a joint or on the
// site. It refuses what no name can settle (logbook.ErrRule).
func Accept(h logbook.Head, f Finding, why string) logbook.Act {
	if no := f.Unanswerable(); no != "" {
		return refused(f, no)
	}
	act := reviewed(h, f, true, why)
	if f.Rule != selfSlug {
		return act
	}
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, _ := r.Site(h.Site)
		w, _ := r.Weld(h.Site, f.Weld)
		if (Case{Weld: w, scene: sceneOf(r, s)}).madeBy(h.By) {
			return refused(f, fmt.Sprintf("%s made it: somebody else must accept this", w.Operator))(r)
		}
		return act(r)
	}
}

// Withdraw takes the acceptance of a finding back: it is open again, and both
// answers stay in the log.
func Withdraw(h logbook.Head, f Finding, why string) logbook.Act {
	if f.Accepted == nil {
		return refused(f, "it is not accepted: there is nothing to withdraw")
	}
	return reviewed(h, f, false, why)
}

func reviewed(h logbook.Head, f Finding, accepted bool, why string) logbook.Act {
	b := logbook.Reviewed{Key: f.Key, Facts: f.Says, Accepted: accepted, Why: strings.TrimSpace(why)}
	if f.Weld == "" {
		return logbook.AcceptAt(h, f.Joint, b)
	}
	return logbook.Accept(h, f.Weld, b)
}

func refused(f Finding, no string) logbook.Act {
	return func(logbook.Reader) ([]logbook.Draft, error) {
		return nil, fmt.Errorf("%w: %s: %s", logbook.ErrRule, f.Key, no)
	}
}
