package acts

import (
	"fmt"
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// SignDay closes a day by name. Each fail that is open then must have been seen
// as it is then; of a fail that is settled meanwhile nothing is said. A key
// without a digest is one that a person wrote down: it must be that of a fail,
// since else it may have been another that was read.
func SignDay(h Head, beat fusion.Stamp, day string, seen []logbook.Judged) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		res := audit.Run(r, h.Site, h.At, beat)
		if err := mayBeSigned(s, res, h, day, seen); err != nil {
			return nil, err
		}
		if err := named(h, "signing a day"); err != nil {
			return nil, err
		}
		return Drafted(h, "", "", res.Closing(day)), nil
	}
}

func mayBeSigned(s logbook.Site, res audit.Result, h Head, day string, seen []logbook.Judged) error {
	today := h.At.Local().Format(time.DateOnly)
	if _, err := time.Parse(time.DateOnly, day); err != nil || day > today {
		return refuse(logbook.ErrRule, "not signed: %q is no day up to today, %s", day, today)
	}
	if slip, opened := slipOf(s, day, h.At.Local().Location()); slip {
		return refuse(logbook.ErrRule, "not signed: %s is more than %d years before the site was opened in this log, %s: is the year right?", day, statedYears, opened)
	}
	fails := res.OpenFails(day)
	for _, s := range seen {
		if s.Digest == "" && !slices.ContainsFunc(fails, func(f audit.OpenFail) bool { return f.Has(s.Key) }) {
			return refuse(logbook.ErrUnknown, "not signed: no open fail of %s or before has the key %q", day, s.Key)
		}
	}
	left := slices.DeleteFunc(fails, func(f audit.OpenFail) bool { return f.SeenIn(seen) })
	if len(left) > 0 {
		return refuse(logbook.ErrRule, "not signed: %s to be seen first", logbook.Count(len(left), "open fail"))
	}
	return nil
}
