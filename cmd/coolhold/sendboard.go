package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/office"
	"coolhold/logbook/office/wire"
	"coolhold/logbook/store"
	"coolhold/tui/shell"
)

// When the board sends by itself: our choice. What was stored goes a little later, so
// that the answers of one card go together; a link that is away is tried ever less.
const (
	sendSoon  = 10 * time.Second
	sendFirst = time.Minute
	sendLost  = 8 * time.Minute  // and then as often
	sendMost  = 30 * time.Minute // how often the office hears of a laptop that has nothing new
	sendEnd   = 2 * time.Second  // for what is on its way as the board is left
)

// boardOffice sends what the board stores to the office that is named beside its log.
// Nothing waits for it: the board asks once a second how it stands.
type boardOffice struct {
	e    edges
	ctx  context.Context
	stop context.CancelFunc
	all  sync.WaitGroup
	mu   sync.Mutex
	last *boardSending
}

func newBoardOffice(e edges) *boardOffice {
	b := &boardOffice{e: e}
	b.ctx, b.stop = context.WithCancel(context.Background())
	return b
}

// end stops what is on its way. The parcel that it costs is sent the next time.
func (b *boardOffice) end() {
	b.stop()
	inTime(sendEnd, func() struct{} { b.all.Wait(); return struct{}{} })
}

// follow says how a log's office stands, as it was seen last, and has it looked at anew.
func (b *boardOffice) follow(log shell.Log) shell.OfficeState {
	l, ok := log.(*store.Log)
	if !ok || b.ctx.Err() != nil {
		return shell.OfficeState{}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.last == nil || b.last.log != l {
		b.last = &boardSending{e: b.e, log: l}
	}
	s := b.last
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.busy {
		s.busy = true
		b.all.Go(func() {
			s.look(b.ctx)
			s.mu.Lock()
			defer s.mu.Unlock()
			s.busy = false
		})
	}
	return s.says
}

// A boardSending is that of one log. Only what is said passes between two goroutines:
// there is one look at a time.
type boardSending struct {
	e    edges
	log  *store.Log
	mu   sync.Mutex
	busy bool
	says shell.OfficeState

	at      string        // the office's address as it was seen last
	next    time.Duration // by the boot clock: when it is tried
	tried   time.Duration // when the last try ended
	pause   time.Duration // after it, if it failed
	trouble string        // of it
	seen    int64         // entries at the last look
	file    string        // size and time of the log as its entries were counted
	entries int64
	receipt string // the one that was held against the log
	shares  bool   // the log goes on from what that is over
}

func (s *boardSending) say(says shell.OfficeState) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.says = says
}

// look sees how the office stands and sends where that is due.
func (s *boardSending) look(ctx context.Context) {
	kept, ok := s.stands(ctx)
	if !ok || !s.due(kept.Office) {
		return
	}
	err := s.send(ctx)
	if ctx.Err() != nil {
		return
	}
	s.tried = s.e.now().Boot
	s.trouble = sendTrouble(err)
	if kept, _ = s.stands(ctx); err == nil && kept.Waiting == 0 {
		s.pause, s.next = 0, s.tried+sendMost
		return
	}
	s.pause = min(max(2*s.pause, sendFirst), sendLost)
	s.next = s.tried + s.pause
}

// stands says how log and office stand; ok: one is named, and all was read.
func (s *boardSending) stands(ctx context.Context) (kept keptOffice, ok bool) {
	path := s.log.Path()
	kept, err := readOffice(path, s.log.ID())
	switch {
	case err != nil:
		s.say(shell.OfficeState{Says: "what is kept of the office cannot be read: coolhold send says why", Warn: true})
		return kept, false
	case kept.Office == "":
		s.at = ""
		s.say(shell.OfficeState{})
		return kept, false
	}
	if err := s.count(ctx, path, kept); err != nil {
		return kept, false // another program has the log: what was said stays until the next look
	}
	s.say(shortStanding(kept, s.entries, s.shares, s.trouble, wall(s.e)()))
	return kept, true
}

// count counts what is recorded and holds the receipt against it. The log is opened only
// where its file or the receipt is another than at the last look.
func (s *boardSending) count(ctx context.Context, path string, kept keptOffice) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	file := fmt.Sprint(info.Size(), info.ModTime().UnixNano())
	if file == s.file && kept.Receipt == s.receipt {
		return nil
	}
	run, err := store.ReadRun(ctx, path, 1, 0, 0, nil)
	if err != nil {
		return err
	}
	r := kept.receipt()
	roots, err := store.Roots(ctx, path, []int64{r.Entries})
	if err != nil {
		return err
	}
	if s.entries, s.shares = run.Entries, r.Entries > 0 && roots[0] == r.Root; s.shares && kept.Receipt != s.receipt {
		s.trouble = "" // somebody came through
	}
	s.file, s.receipt = file, kept.Receipt
	return nil
}

// due tells whether it is to be sent now.
func (s *boardSending) due(at string) bool {
	now := s.e.now().Boot
	switch {
	case at != s.at:
		s.at, s.next, s.pause, s.trouble = at, now, 0, ""
	case s.entries > s.seen:
		s.next = min(s.next, max(now+sendSoon, s.tried+min(s.pause, sendFirst)))
	}
	s.seen = s.entries
	return now >= s.next
}

// send sends once. A key is never made here, nor another office believed.
func (s *boardSending) send(ctx context.Context) error {
	key, err := readKey(s.e, keyPath(s.e))
	if err != nil {
		return err
	}
	b, err := newSending(ctx, s.log.Path(), key, wall(s.e))
	if err != nil {
		return err
	}
	b.named = b.kept.Office
	c, err := officeClient(s.e, b.named, "")
	if err != nil {
		return err
	}
	defer c.Close()
	return b.bring(ctx, func(ctx context.Context, parcel []byte) (office.Answer, error) {
		a, err := c.Take(ctx, parcel)
		s.stands(ctx)
		return a, err
	})
}

// sendTrouble is what a try came to, in few words; "" where it came to its end, or
// somebody named another office meanwhile.
func sendTrouble(err error) string {
	switch {
	case err == nil, errors.Is(err, errUnnamed):
		return ""
	case errors.Is(err, wire.ErrLink):
		return "no link"
	case errors.Is(err, office.ErrFull):
		return "it must admit this laptop's key"
	}
	return "the last try failed: coolhold send says why"
}

// shortStanding is how log and office stand, for the board. shares: the log goes on from
// what the receipt is over.
func shortStanding(k keptOffice, n int64, shares bool, trouble string, now time.Time) (s shell.OfficeState) {
	upto := ""
	if !k.Upto.IsZero() {
		upto = clockOrDay(k.Upto, now)
	}
	r := k.receipt()
	switch {
	case k.Standing == office.Behind:
		s = shell.OfficeState{Says: "office has MORE of this log than this laptop: weld nothing, coolhold send says what to do", Warn: true}
	case k.Withdrawn != nil:
		s = shell.OfficeState{Says: fmt.Sprintf("office WITHDREW this laptop's key %s (%s): what is sent waits there", clockOrDay(k.Withdrawn.At, now), k.Withdrawn.By), Warn: true}
	case k.Waiting > 0:
		s.Says = fmt.Sprintf("office keeps %s and waits: it must admit this laptop's key", entries(k.Waiting))
	case k.Receipt == "":
		s.Says = "office has nothing of this log yet"
	case !shares:
		s.Says = "office is asked what it has of this log"
	case r.Entries < n:
		s.Says = "office lacks " + logbook.Count(int(n-r.Entries), "entry")
		if upto != "" {
			s.Says += " after " + upto
		}
	case upto != "":
		s.Says = "office has all up to " + upto
	default:
		s.Says = "office has all"
	}
	if k.Standing == office.Parted && shares {
		s.Says += fmt.Sprintf("; this log went on in two ways from entry %d: coolhold send says more", k.Parted)
		s.Warn = true
	}
	if trouble != "" {
		s.Says += ", " + trouble
	}
	return s
}
