// Package acts holds what a crew, a foreman or the office can say and do. An
// Act decides on the records inside the transaction which entries follow, or
// refuses in one line, paper in one for each fault. What has happened already is
// never refused for what it is, only for what cannot be so: two welds that stand
// in one joint, times out of order.
package acts

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// An Act decides, on the records as they stand inside the transaction, which
// entries follow from what somebody said or did. It writes all or nothing.
type Act func(logbook.Reader) ([]logbook.Draft, error)

// A Head is what all entries of one act share. ID and At are taken when the
// key arrives.
type Head struct {
	ID              string
	At              fusion.Stamp
	By, Site, Shift string
	Tell            *Telling // what was said of a new name near a known one; nil: it is not asked here
}

func (h Head) draft(b logbook.Body) logbook.Draft {
	return logbook.Draft{ID: h.ID, At: h.At, By: h.By, Site: h.Site, Shift: h.Shift, Body: b}
}

func (h Head) joint(label string, b logbook.Body) logbook.Draft {
	d := h.draft(b)
	d.Joint = label
	return d
}

func (h Head) weld(w logbook.Weld, b logbook.Body) logbook.Draft {
	d := h.joint(w.Joint, b)
	d.Weld = w.ID
	return d
}

// at is the head of what is said of one site in a save over several: each has
// an id of its own, so that the entries of one site do not tell of another's.
func (h Head) at(s logbook.Site) Head {
	sum := sha256.Sum256([]byte(s.UID + " " + h.ID))
	h.ID, h.Site, h.Shift = hex.EncodeToString(sum[:12]), s.ID, s.Shift
	return h
}

// OnWeld is an act on a weld that is in the log. decide gives what is stored of
// it; what has happened already is never refused, so it guards only against
// contradictions ("ended before it started").
func onWeld(h Head, id string, decide func(logbook.Reader, logbook.Weld) ([]logbook.Body, error)) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		w, ok := r.Weld(h.Site, id)
		if !ok {
			return nil, fmt.Errorf("weld %s: %w", id, logbook.ErrUnknown)
		}
		bodies, err := decide(r, w)
		if err != nil {
			return nil, err
		}
		drafts := make([]logbook.Draft, len(bodies))
		for i, b := range bodies {
			drafts[i] = h.weld(w, b)
		}
		return drafts, nil
	}
}

// one is the common case: the weld gains this entry.
func one(h Head, id string, b logbook.Body, guard func(logbook.Weld) error) Act {
	return onWeld(h, id, func(_ logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if err := guard(w); err != nil {
			return nil, err
		}
		return []logbook.Body{b}, nil
	})
}

// inWalk is onWeld for what is done while the walk of the weld is open.
func inWalk(h Head, id string, decide func(logbook.Reader, logbook.Weld) ([]logbook.Body, error)) Act {
	return onWeld(h, id, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if err := mustWalk(w); err != nil {
			return nil, err
		}
		return decide(r, w)
	})
}

// beforeCurrent is onWeld for what comes right before a current: that of a walk, or
// that of a fitting's next zone.
func beforeCurrent(h Head, id string, decide func(logbook.Reader, logbook.Weld) ([]logbook.Body, error)) Act {
	return onWeld(h, id, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if err := mustWait(w); err != nil {
			return nil, err
		}
		return decide(r, w)
	})
}

func mustWait(w logbook.Weld) error {
	if w.Between() {
		return nil
	}
	return mustWalk(w)
}

func mustWalk(w logbook.Weld) error {
	if !w.Walking() {
		return logbook.Refuse("%s is past its walk: the current was on, or it was given up", w.ID)
	}
	return nil
}

func mustStand(w logbook.Weld) error {
	if !w.Stands() {
		return logbook.Refuse("%s does not stand in joint %s", w.ID, w.Joint)
	}
	return nil
}

func mustBeEnded(w logbook.Weld) error {
	if err := mustStand(w); err != nil {
		return err
	}
	if w.Ended == nil {
		return logbook.Refuse("the end of %s's fusion is not recorded yet", w.ID)
	}
	return nil
}

func anyTime(logbook.Weld) error { return nil }

func refuse(kind error, format string, args ...any) error {
	return audit.Refusal{Kind: kind, Line: fmt.Sprintf(format, args...)}
}

// Drafted is the entry of an act, on a weld, on a joint, or on the whole site.
func Drafted(h Head, joint, weld string, b logbook.Body) []logbook.Draft {
	return []logbook.Draft{{ID: h.ID, At: h.At, By: h.By, Site: h.Site, Shift: h.Shift, Joint: joint, Weld: weld, Body: b}}
}
