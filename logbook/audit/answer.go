package audit

import "slices"

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
	case f.newer():
		return "what is not read is not accepted: " + f.Do
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
