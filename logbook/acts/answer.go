package acts

import (
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// Accept answers a finding where it was found: on a weld, on a joint or on the
// site. It refuses what no name can settle, and a finding that is another now
// than it was when it was read.
func Accept(h Head, beat fusion.Stamp, seen logbook.Judged, why string) Act {
	return AcceptAll(h, beat, []logbook.Judged{seen}, why)
}

// AcceptAll answers findings that a person read as one, all of them or none: one
// name and one reason, and an answer on each of their welds.
func AcceptAll(h Head, beat fusion.Stamp, seen []logbook.Judged, why string) Act {
	return reviewing(h, beat, seen, true, why, func(res audit.Result, f audit.Finding) error {
		if no := f.Unanswerable(); no != "" {
			return logbook.Refuse("%s: %s", f.Key, no+res.WaitsFor(f))
		}
		if no := res.PassesOwn(f, h.By); no != "" {
			return misSaid("%s: %s", f.Key, no) // another name may
		}
		return nil
	})
}

// Withdraw takes the acceptance of a finding back: it is open again, and both
// answers stay in the log.
func Withdraw(h Head, beat fusion.Stamp, seen logbook.Judged, why string) Act {
	return reviewing(h, beat, []logbook.Judged{seen}, false, why, func(_ audit.Result, f audit.Finding) error {
		if f.Accepted == nil {
			return logbook.Refuse("%s: it is not accepted: there is nothing to withdraw", f.Key)
		}
		return nil
	})
}

// reviewing is an answer to what was seen. not says why it cannot be given.
func reviewing(h Head, beat fusion.Stamp, seen []logbook.Judged, accepted bool, why string, not func(audit.Result, audit.Finding) error) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		res := audit.Run(r, h.Site, h.At, beat)
		var drafts []logbook.Draft
		for _, seen := range seen {
			f, found := res.Find(seen.Key)
			switch {
			case !found:
				return nil, logbook.Refuse("%s: it is found no longer: there is nothing to answer", seen.Key)
			case !seen.Same(f.Judged()):
				return nil, logbook.Refuse("%s: its facts have changed meanwhile: read it again", seen.Key)
			}
			if err := not(res, f); err != nil {
				return nil, err
			}
			drafts = append(drafts, Drafted(h, f.Joint, f.Weld, logbook.Reviewed{Judged: seen, Accepted: accepted, Why: strings.TrimSpace(why)})...)
		}
		if err := named(h, "a review", why); err != nil {
			return nil, err
		}
		return drafts, nil
	}
}
