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
	case f.Severity == Fail && f.Work:
		return "a fail is never accepted: " + f.Do
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

// WaitsFor says, behind a finding that is accepted, which other one that acceptance has
// left open, by its key, and what ends it; "" where it settled the matter.
func (res Result) WaitsFor(f Finding) string {
	if f.Accepted == nil {
		return ""
	}
	for _, o := range res.OfWeld(f.Weld) {
		var of []string
		switch facts := o.facts.(type) {
		case ownAnswer:
			of = facts.Rules
		case correctorAnswer:
			of = facts.Rules
		}
		if o.Open() && slices.Contains(of, f.Rule) {
			return "; " + o.Key + " is open by that: " + o.Do
		}
	}
	return ""
}
