package shell

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"coolhold/logbook"
)

// A hand stores acts for the screens one at a time, and what is left once they are
// gone.
type hand struct {
	turn chan struct{} // held by who stores
	gone bool          // the screens are; guarded by turn, as last
	last upshot
}

// An upshot is what became of an act.
type upshot struct {
	id      string
	entries []logbook.Entry
	err     error
}

// isStored tells whether an act is stored, though not all that belongs to it is done.
func (o upshot) isStored() bool { return o.err == nil || errors.Is(o.err, logbook.ErrStored) }

func newHand() *hand { return &hand{turn: make(chan struct{}, 1)} }

var errGone = errors.New("the screens are gone")

// store stores an act for the screens.
func (h *hand) store(log Log, j job) upshot {
	h.turn <- struct{}{}
	defer func() { <-h.turn }()
	if h.gone {
		return upshot{id: j.id, err: errGone}
	}
	ctx, cancel := context.WithTimeout(context.Background(), lockPatience)
	defer cancel()
	h.last = j.on(ctx, log)
	return h.last
}

// on stores the act on a log.
func (j job) on(ctx context.Context, log Log) upshot {
	if j.tried {
		ctx = logbook.Tried(ctx, j.id)
	}
	entries, err := log.Append(ctx, j.act)
	return upshot{j.id, entries, err}
}

// lockPatience is how long one try waits for a log that another program has: then
// the strip says so, and the next try begins.
const lockPatience = time.Second

// Left is the error of acts that were asked for and are not stored, or of which that
// is not known: what is so, in words.
type Left string

func (l Left) Error() string { return string(l) }

// Drain stores what the screens left in the queue, as long as ctx lasts, and says
// of the rest what is so. It is for the end of the program, when the terminal is
// given back.
func (r Root) Drain(ctx context.Context) error {
	var unfinished error
	if r.fetching || len(r.asks) > 0 {
		unfinished = errors.New("not finished: a document or a seal that was being made")
	}
	return errors.Join(r.drain(ctx), unfinished) // main makes one line of it
}

// Undone is how many acts the screens left in the queue.
func (r Root) Undone() int { return len(r.queue) }

func (r Root) drain(ctx context.Context) error {
	queue := r.queue
	if len(queue) == 0 {
		return nil
	}
	if !r.hand.takes(ctx) {
		return left(upshot{err: errUnderWay}, queue)
	}
	defer func() { <-r.hand.turn }()
	r.hand.gone = true
	last := r.hand.last
	if r.busy && last.id == queue[0].id && !retries(last.err) {
		if !last.isStored() {
			return left(last, queue)
		}
		queue = queue[1:]
	}
	for ; len(queue) > 0; queue = queue[1:] {
		out := finally(ctx, r.log, queue[0])
		if errors.Is(out.err, context.Canceled) && retries(last.err) {
			out.err = last.err // it says why there was a wait
		}
		if !out.isStored() {
			return left(out, queue)
		}
	}
	return nil
}

// takes waits for the turn as long as ctx lasts, and then as long as one who waits
// for the log may still do so.
func (h *hand) takes(ctx context.Context) bool {
	select {
	case h.turn <- struct{}{}:
		return true
	case <-ctx.Done():
	}
	select {
	case h.turn <- struct{}{}:
		return true
	case <-time.After(lockPatience * 3 / 2):
		return false
	}
}

// retries tells whether an act that failed so is tried once more.
func retries(err error) bool {
	return errors.Is(err, logbook.ErrInUse) || errors.Is(err, logbook.ErrNotKnown)
}

// errUnderWay is the upshot of an act whose storing did not end in time.
var errUnderWay = fmt.Errorf("%w: it was still being written", logbook.ErrNotKnown)

// finally stores an act, but waits no longer than ctx lasts.
func finally(ctx context.Context, log Log, j job) upshot {
	done := make(chan upshot, 1)
	go func() { done <- j.on(ctx, log) }()
	select {
	case out := <-done:
		return out
	case <-ctx.Done():
	}
	select { // who only waited for the log says so at once
	case out := <-done:
		return out
	case <-time.After(lockPatience):
		return upshot{j.id, nil, errUnderWay}
	}
}

// left says of the queue what is so, its first act having failed.
func left(first upshot, queue []job) error {
	why := oneLine(first.err)
	if !errors.Is(first.err, logbook.ErrNotKnown) {
		return Left(fmt.Sprintf("NOT STORED: %s (%s)", labels(queue), why))
	}
	says := fmt.Sprintf("not known whether stored: %s (%s)", queue[0].label, why)
	if len(queue) > 1 {
		says += fmt.Sprintf("; NOT STORED: %s (nothing is stored after it)", labels(queue[1:]))
	}
	return Left(says)
}

// labels names acts, in their order.
func labels(queue []job) string {
	var all []string
	for _, j := range queue {
		all = append(all, j.label)
	}
	return strings.Join(all, ", ")
}
