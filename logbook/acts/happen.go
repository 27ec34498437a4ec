package acts

import (
	"fmt"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// Happen records something that happened later; joint may be empty. It refuses
// a date before the site was opened or to come, and a repair dated before the
// loss of pressure that it is said of.
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
		if err := onADay(h, s, b); err != nil {
			return nil, err
		}
		if err := notBeforeLoss(r, s, joint, b); err != nil {
			return nil, err
		}
		return []logbook.Draft{h.joint(joint, b)}, nil
	}
}

// onADay wants a day from the opening of the site to today.
func onADay(h Head, s logbook.Site, b logbook.Happened) error {
	if _, err := time.Parse(time.DateOnly, b.On); err != nil {
		return logbook.Refuse("%q is no date; write it like 2027-01-14", b.On)
	}
	now := h.At.Local()
	switch today, opened := now.Format(time.DateOnly), s.OpenedAt.Wall.In(now.Location()).Format(time.DateOnly); {
	case b.On > today:
		return logbook.Refuse("%s is still to come: today is %s", b.On, today)
	case b.On < opened:
		return logbook.Refuse("%s is before the site was opened in this log, %s", b.On, opened)
	}
	return nil
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
