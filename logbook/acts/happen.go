package acts

import (
	"fmt"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// Happen records something that happened later; joint may be empty. It refuses
// a date to come, and a repair dated before the loss of pressure that it is said of.
func Happen(h Head, joint string, b logbook.Happened) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		if err := named(h, "an event", b.Text); err != nil {
			return nil, err
		}
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		if _, ok := r.Joint(h.Site, joint); joint != "" && !ok {
			return nil, fmt.Errorf("joint %s: %w", joint, logbook.ErrUnknown)
		}
		if !logbook.Happenings.Has(string(b.What)) {
			return nil, logbook.Refuse("%q is no event; write %s", string(b.What), strings.Join(logbook.Happenings.Words(), ", "))
		}
		if err := mayBeStated(h, s, b.On); err != nil {
			return nil, err
		}
		if err := notBeforeLoss(r, s, joint, b); err != nil {
			return nil, err
		}
		return []logbook.Draft{h.joint(joint, b)}, nil
	}
}

// statedYears is how long before the opening of a site in the log a day may lie that
// is stated for it, else it is a slip of the pen: our choice.
const statedYears = 10

// mayBeStated wants a day up to today. One before the site was opened in the log is
// taken: work does not wait for a log, and the audit asks about it.
func mayBeStated(h Head, s logbook.Site, on string) error {
	if _, err := time.Parse(time.DateOnly, on); err != nil {
		return misSaid("%q is no date; write it like 2027-01-14", on)
	}
	if today := h.At.Local().Format(time.DateOnly); on > today {
		return misSaid("%s is still to come: today is %s", on, today)
	}
	if slip, opened := slipOf(s, on, h.At.Local().Location()); slip {
		return misSaid("%s is more than %d years before the site was opened in this log, %s: is the year right?", on, statedYears, opened)
	}
	return nil
}

// slipOf tells whether a day can be none of the site's, and when the site was opened.
func slipOf(s logbook.Site, day string, zone *time.Location) (slip bool, opened string) {
	at := s.OpenedAt.Wall.In(zone)
	return day < at.AddDate(-statedYears, 0, 0).Format(time.DateOnly), at.Format(time.DateOnly)
}

// notBeforeLoss refuses a repair that closes nothing only for its date.
func notBeforeLoss(r logbook.Reader, s logbook.Site, joint string, b logbook.Happened) error {
	if b.What != logbook.Repaired || len(ahead.ClosedBy(r, s, joint, b)) > 0 {
		return nil
	}
	late := b
	late.On = "9999-12-31"
	if lost := ahead.ClosedBy(r, s, joint, late); len(lost) > 0 {
		return logbook.Refuse("a repair on %s is before the loss that it would close, %s", b.On, lost[0].Place())
	}
	return nil
}
