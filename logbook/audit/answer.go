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
	b := logbook.Reviewed{Key: f.Key, Facts: f.Says, Accepted: true, Why: strings.TrimSpace(why)}
	switch no := f.Unanswerable(); {
	case no != "":
		return func(logbook.Reader) ([]logbook.Draft, error) {
			return nil, fmt.Errorf("%w: %s: %s", logbook.ErrRule, f.Key, no)
		}
	case f.Weld == "":
		return logbook.AcceptAt(h, f.Joint, b)
	}
	return logbook.Accept(h, f.Weld, b)
}
