package main

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"coolhold/logbook/office"
)

// copyRest is how long a copy that did not answer is left alone: our choice.
const copyRest = time.Minute

// An apart takes with one holder and reads from a copy of it, which may lag behind or be
// away: what the copy does not have is asked of the holder itself.
type apart struct {
	office.Holder
	e    edges
	open func() (h office.Holder, done func(), err error)

	mu      sync.Mutex
	copied  office.Holder // nil: it was not reached yet
	done    func()
	opening bool
	away    bool
	again   time.Duration // by the boot clock: until then it is left alone
}

func (a *apart) Site(ctx context.Context, who office.Reader, ask office.SiteAsk) (office.SiteLines, error) {
	return eitherOf(ctx, a, func(h office.Holder) (office.SiteLines, error) { return h.Site(ctx, who, ask) })
}

func (a *apart) Recall(ctx context.Context, who office.Reader, q office.RecallAsk) (office.Recalled, error) {
	return eitherOf(ctx, a, func(h office.Holder) (office.Recalled, error) { return h.Recall(ctx, who, q) })
}

// eitherOf is what the copy answers, else what the holder does. A token, a site or a log
// that the copy does not know may have come to the holder a moment ago.
func eitherOf[T any](ctx context.Context, a *apart, f func(office.Holder) (T, error)) (T, error) {
	if h := a.reads(); h != nil {
		got, err := f(h)
		unknown := errors.Is(err, office.ErrRefused) || errors.Is(err, office.ErrNotHeld)
		if ctx.Err() == nil {
			a.said(err, unknown)
		}
		if err == nil || ctx.Err() != nil {
			return got, err
		}
	}
	return f(a.Holder)
}

// reads is the copy, nil while it is away or somebody else tries to reach it.
func (a *apart) reads() office.Holder {
	a.mu.Lock()
	defer a.mu.Unlock()
	switch {
	case a.opening || a.away && a.e.now().Boot < a.again:
		return nil
	case a.copied != nil:
		return a.copied
	}
	a.opening = true
	a.mu.Unlock() // others need not wait for it
	h, done, err := a.open()
	a.mu.Lock()
	if a.opening = false; err != nil {
		a.rest(err)
		return nil
	}
	a.copied, a.done = h, done
	return h
}

// said keeps whether the copy answered.
func (a *apart) said(err error, unknown bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	switch {
	case err != nil && !unknown:
		a.rest(err)
	case a.away:
		a.away = false
		fmt.Fprintln(a.e.err, "coolhold: COOLHOLD_OFFICE_READ answers again")
	}
}

// rest leaves the copy alone for a while, and says so the first time.
func (a *apart) rest(err error) {
	if !a.away {
		report(a.e.err, fmt.Errorf("COOLHOLD_OFFICE_READ does not answer, who reads is answered by the database itself: %w", err))
	}
	a.away, a.again = true, a.e.now().Boot+copyRest
}

// close ends the connections to the copy.
func (a *apart) close() {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.done != nil {
		a.done()
	}
}
