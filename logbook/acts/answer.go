package acts

import (
	"fmt"
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
	return reviewing(h, beat, seen, true, why, func(res audit.Result, f audit.Finding) string {
		if no := f.Unanswerable(); no != "" {
			return no + res.WaitsFor(f)
		}
		return res.PassesOwn(f, h.By)
	})
}

// Withdraw takes the acceptance of a finding back: it is open again, and both
// answers stay in the log.
func Withdraw(h Head, beat fusion.Stamp, seen logbook.Judged, why string) Act {
	return reviewing(h, beat, []logbook.Judged{seen}, false, why, func(_ audit.Result, f audit.Finding) string {
		if f.Accepted == nil {
			return "it is not accepted: there is nothing to withdraw"
		}
		return ""
	})
}

// reviewing is an answer to what was seen. not says why it cannot be given.
func reviewing(h Head, beat fusion.Stamp, seen []logbook.Judged, accepted bool, why string, not func(audit.Result, audit.Finding) string) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		res := audit.Run(r, h.Site, h.At, beat)
		var drafts []logbook.Draft
		for _, seen := range seen {
			f, found := res.Find(seen.Key)
			no := "it is found no longer: there is nothing to answer"
			switch {
			case found && seen.Same(f.Judged()):
				no = not(res, f)
			case found:
				no = "its facts have changed meanwhile: read it again"
			}
			if no != "" {
				return nil, fmt.Errorf("%w: %s: %s", logbook.ErrRule, seen.Key, no)
			}
			drafts = append(drafts, Drafted(h, f.Joint, f.Weld, logbook.Reviewed{Judged: seen, Accepted: accepted, Why: strings.TrimSpace(why)})...)
		}
		if err := named(h, "a review", why); err != nil {
			return nil, err
		}
		return drafts, nil
	}
}
