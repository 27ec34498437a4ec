package logbook

import (
	"errors"
	"fmt"

	"coolhold/fusion"
)

// An Act decides, on the records as they stand inside the transaction, which
// entries follow from what somebody said or did. It writes all or nothing.
type Act func(Reader) ([]Draft, error)

// Sentinels of the acts; each comes wrapped in a line for a person.
var (
	ErrUnknown = errors.New("not in this log")
	ErrRule    = errors.New("refused")
	ErrExists  = errors.New("already in this log")
)

// refuse is a refusal of something that has not happened yet.
func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrRule, fmt.Sprintf(format, args...))
}

// A Head is what all entries of one act share. ID and At are taken when the
// key arrives.
type Head struct {
	ID              string
	At              fusion.Stamp
	By, Site, Shift string
}

func (h Head) draft(b Body) Draft {
	return Draft{ID: h.ID, At: h.At, By: h.By, Site: h.Site, Shift: h.Shift, Body: b}
}

func (h Head) joint(label string, b Body) Draft {
	d := h.draft(b)
	d.Joint = label
	return d
}

func (h Head) weld(w Weld, b Body) Draft {
	d := h.joint(w.Joint, b)
	d.Weld = w.ID
	return d
}

// onWeld is an act on a weld that is in the log. decide gives what is stored of
// it; what has happened already is never refused, so it guards only against
// contradictions ("ended before it started").
func onWeld(h Head, id string, decide func(Reader, Weld) ([]Body, error)) Act {
	return func(r Reader) ([]Draft, error) {
		w, ok := r.Weld(h.Site, id)
		if !ok {
			return nil, fmt.Errorf("weld %s: %w", id, ErrUnknown)
		}
		bodies, err := decide(r, w)
		if err != nil {
			return nil, err
		}
		drafts := make([]Draft, len(bodies))
		for i, b := range bodies {
			drafts[i] = h.weld(w, b)
		}
		return drafts, nil
	}
}

// one is the common case: the weld gains this entry.
func one(h Head, id string, b Body, guard func(Weld) error) Act {
	return onWeld(h, id, func(_ Reader, w Weld) ([]Body, error) {
		if err := guard(w); err != nil {
			return nil, err
		}
		return []Body{b}, nil
	})
}

func mustWalk(w Weld) error {
	if !w.Walking() {
		return refuse("%s is past its walk: the current was on, or it was given up", w.ID)
	}
	return nil
}

func mustStand(w Weld) error {
	if !w.Stands() {
		return refuse("%s does not stand in joint %s", w.ID, w.Joint)
	}
	return nil
}

func mustBeEnded(w Weld) error {
	if err := mustStand(w); err != nil {
		return err
	}
	if w.Ended == nil {
		return refuse("the end of %s's fusion is not recorded yet", w.ID)
	}
	return nil
}

func anyTime(Weld) error { return nil }
