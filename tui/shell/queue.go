package shell

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

// enqueue folds an act into the book the screens see and queues it to be
// stored. One that the records refuse is said and goes no further.
func (r Root) enqueue(s save) (Root, tea.Cmd) {
	if r.log == nil {
		return r.banner("NOT STORED: there is no log open", true), nil
	}
	book := r.book.Clone()
	entries, err := foldIn(book, len(r.queue)+1, s.act)
	if err != nil {
		return r.banner(oneLine(err), false), nil
	}
	r.saves++
	r = r.pay()
	r.queue = append(r.queue[:len(r.queue):len(r.queue)], jobOf(s))
	r = r.show(book, derived{})
	r.untold = append(r.untold[:len(r.untold):len(r.untold)], entries...)
	return r.next()
}

// notYet is the number of an entry that is not stored: behind all that are. Each
// act of the queue has so many numbers of its own: what lists entries goes by
// them.
const (
	notYet = 1 << 60
	perAct = 1 << 16
)

// foldIn folds the act that stands at a place of the queue, counted from 1, into
// a book; at 0 stands what was found at the opening of the log.
func foldIn(book *logbook.Book, place int, act acts.Act) ([]logbook.Entry, error) {
	drafts, err := act(book)
	if err != nil {
		return nil, err
	}
	entries := make([]logbook.Entry, len(drafts))
	for i, d := range drafts {
		if entries[i], err = d.Entry(notYet+uint64(place)*perAct+uint64(i), i); err != nil {
			return nil, err
		}
		book.Add(entries[i])
	}
	return entries, nil
}

// next stores the first job of the queue, one at a time: the newer value must
// never be overtaken by the older.
func (r Root) next() (Root, tea.Cmd) {
	if r.busy || len(r.queue) == 0 {
		return r, nil
	}
	r.busy = true
	log, site, first, last, hand, now, beat := r.log, r.site, r.queue[0], len(r.queue) == 1, r.hand, r.now, r.beat
	return r, func() tea.Msg {
		msg := storedMsg{upshot: hand.store(log, first)}
		if msg.isStored() {
			msg.book, msg.unread = read(log, site)
		}
		if msg.isStored() && msg.unread == nil && last {
			msg.view = derive(msg.book, site, now, beat)
		}
		return msg
	}
}

// stored takes the outcome of a save. One that could not be made, or not be looked
// up, is tried once more. A failed one empties the queue and shows the records as
// they are stored, so the walk is back at that step.
func (r Root) stored(msg storedMsg) (Root, tea.Cmd) {
	r.busy = false
	switch {
	case len(r.queue) == 0:
		return r, nil
	case retries(msg.err):
		return r.stalls(msg.err)
	case !msg.isStored():
		return r.failed(msg.err), nil
	}
	r.stall = stall{}
	r = r.warned(msg)
	r.queue = r.queue[1:]
	if msg.id == r.owed.id {
		r = r.paid()
	}
	r.base = r.asStored(msg)
	book := r.base
	if len(r.queue) > 0 {
		book = r.base.Clone()
	}
	for i, j := range r.queue {
		if _, err := foldIn(book, i+1, j.act); err != nil {
			return r.failed(err), nil
		}
	}
	r = r.show(book, msg.view)
	r, told := r.tell(Saved{msg.id, msg.entries})
	if r.leaving && !r.underWay() {
		return r, tea.Quit
	}
	r, cmd := r.next()
	r, ask := r.nextAsk()
	return r, tea.Batch(told, cmd, ask)
}

// warned says what was not done of a save that is stored.
func (r Root) warned(msg storedMsg) Root {
	label := r.queue[0].label
	if msg.err != nil {
		r = r.banner("STORED: "+label+": "+oneLine(msg.err), true)
	}
	if msg.unread != nil && !errors.Is(msg.unread, logbook.ErrInUse) {
		r = r.banner("STORED: "+label+"; but the log cannot be read again: "+oneLine(msg.unread), true)
	}
	return r
}

// asStored is the book with what was stored: as read again, else as it was before
// and what the save gave.
func (r Root) asStored(msg storedMsg) *logbook.Book {
	if msg.unread == nil {
		return msg.book
	}
	book := r.base.Clone()
	for _, e := range msg.entries {
		book.Add(e)
	}
	return book
}

// tell gives every screen the news that an act is shown, or stored; the one that asked
// for that knows it by its id.
func (r Root) tell(msg tea.Msg) (Root, tea.Cmd) {
	var cmds []tea.Cmd
	for i := 0; i < len(r.stack); i++ {
		env := r.env()
		r.stack = slices.Clone(r.stack)
		r.stack[i] = r.stack[i].Update(env, msg)
		var cmd tea.Cmd
		r, cmd = r.do(env.Do)
		cmds = append(cmds, cmd)
	}
	return r, tea.Batch(cmds...)
}

func (r Root) failed(err error) Root {
	label, more := r.queue[0].label, len(r.queue)-1
	if more > 0 {
		label = fmt.Sprintf("%s and %d more after it", label, more)
	}
	r.queue, r.asks, r.leaving, r.aside, r.owing, r.stall = nil, nil, false, false, false, stall{}
	if errors.Is(err, logbook.ErrRule) || errors.Is(err, logbook.ErrUnknown) || errors.Is(err, logbook.ErrExists) {
		r = r.banner(oneLine(err), true)
	} else {
		r = r.banner("NOT STORED: "+label+": "+oneLine(err)+" (try again; Esc hides this)", true)
	}
	return r.rebook(r.base, derived{})
}

// rebook takes a book as stored, and what was derived from it already.
func (r Root) rebook(book *logbook.Book, made derived) Root {
	r.base = book
	return r.show(r.asFound(book), made)
}

// derive makes of a book what the screens need; of the site named, or else of the one
// opened last. It takes long on a large site, so it is done where a book is read
// rather than between two keys.
func derive(book *logbook.Book, site string, now, beat fusion.Stamp) derived {
	if _, ok := book.Site(site); !ok {
		if sites := book.Sites(); len(sites) > 0 {
			site = sites[len(sites)-1].ID
		}
	}
	v := derived{book: book, asked: site, now: now, beat: beat}
	v.site, _ = book.Site(site)
	v.shift, _ = book.Shift(site, v.site.Shift)
	v.shelf = logbook.ShelfOf(v.site)
	v.audit = audit.Run(book, site, now, beat)
	v.sight = SightOf(book, v.site, v.audit)
	return v
}

// derivedFor is how long what was made of a book stands for it while nothing is
// recorded: what the audit finds by the clock alone it may find as much later. That a
// hold ran out is seen at once.
const derivedFor = time.Minute

// still tells whether it is what derive would make now. Heartbeats of one start of the
// machine prove the same.
func (v derived) still(book *logbook.Book, site string, now, beat fusion.Stamp) bool {
	return v.book == book && v.asked == site && v.beat.BootID == beat.BootID && v.beat.Machine == beat.Machine && within(derivedFor, v.now, now)
}

// show makes a book the one the screens see. What was made of another book, or of
// another site than the one shown, is made anew.
func (r Root) show(book *logbook.Book, v derived) Root {
	r.book = book
	if _, there := book.Site(r.site); v.book != book || there && v.asked != r.site {
		v = derive(book, r.site, r.now, r.beat)
	}
	r.view, r.site = v, v.asked
	switch _, ok := v.shift.Operator(r.by); {
	case v.shift.ID == "":
		r.by = "" // who was on the last shift says nothing now
	case !ok && len(v.shift.Operators) > 0:
		r.by = lastHand(book, v.site, v.shift)
	}
	return r
}

// lastHand is the operator of a shift who said something of a weld last, else its first:
// who was at the laptop when the program ended is most likely there now.
func lastHand(book *logbook.Book, site logbook.Site, shift logbook.Shift) string {
	by, last := shift.Operators[0].Name, uint64(0)
	for _, w := range book.Welds(site.ID) {
		if w.Paper != nil { // who typed a sheet was at no walk
			continue
		}
		for _, e := range slices.Backward(w.Trail) {
			if e.Kind == (logbook.Reviewed{}).Kind() { // an answer may be given from any desk
				continue
			}
			if _, here := shift.Operator(e.By); here && e.Seq > last {
				by, last = e.By, e.Seq
			}
			break
		}
	}
	return by
}

// loaded takes the log as read at the start, or a log that was just opened.
func (r Root) loaded(msg loadedMsg) Root {
	if msg.at != r.saves {
		return r
	}
	if errors.Is(msg.err, logbook.ErrInUse) {
		return r.readLater(msg.err)
	}
	if msg.err != nil {
		r = r.banner("the log cannot be read: "+oneLine(msg.err), true)
		if len(r.stack) > 0 {
			return r // what was read before stays on the screen
		}
	}
	if len(r.stack) == 0 {
		r.stall = stall{}
	}
	r.log, r.beat = msg.log, msg.beat
	if msg.why != nil && msg.err == nil {
		r.owed = msg.owed
		r.refused = logbook.Clean("NOT STORED: " + msg.owed.label + ": " + oneLine(msg.why))
		r = r.banner(r.refused, true)
	}
	r = r.rebook(msg.book, msg.view)
	if len(r.stack) == 0 {
		r.stack = []Screen{r.opts.Start(r.env())}
	}
	return r
}

// readLater takes the look at a log that another program has again: the first at
// the next tick, a later one when its turn comes.
func (r Root) readLater(err error) Root {
	if len(r.stack) == 0 {
		r.unread = true
		r.stall = stall{r.now.Local(), "The log is not read yet: " + holderOf(err) + " has it"}
	}
	return r
}

// ticked is the one chain of ticks: the time, the bells, the heartbeat, and
// the look at the two clocks.
func (r Root) ticked() (Root, tea.Cmd) {
	r.odd = !r.odd
	r = r.hear()
	cmds := []tea.Cmd{r.tick()}
	ring, alive, passed := false, false, false
	running := r.runningNow()
	for _, line := range running {
		alive = alive || !line.Over()
		if r.rings(line) {
			ring, passed = true, passed || !line.Fusing
		}
	}
	for _, line := range r.testsNow() {
		alive = alive || line.Known && !line.Over()
		ring = ring || r.ringsTest(line)
	}
	if passed {
		r = r.show(r.book, derived{}) // what the audit says of a hold that has just run out
	}
	if ring && r.opts.Bell != nil {
		cmds = append(cmds, func() tea.Msg { r.opts.Bell(); return nil })
	}
	if alive && r.log != nil && !r.aside && !r.reading() && (r.now.Boot-r.beaten >= beatEvery || r.beaten == 0) {
		r.beaten = r.now.Boot
		r.beat = r.now
		log, now := r.log, r.now
		r.abroad++
		cmds = append(cmds, func() tea.Msg { return beatMsg{log.Beat(now)} })
	}
	r, again := r.goesOn()
	cmds = append(cmds, again)
	r.ticks++
	if r.ticks%rereadEvery == 0 && r.log != nil && !r.aside && len(r.queue) == 0 && len(r.stack) > 0 {
		r.abroad++
		cmds = append(cmds, r.load(r.log, false)) // another program may have written
	}
	r = r.asksOffice()
	r, twin := r.followTwin()
	r, met := r.meets(running)
	r, cmd := r.watchClocks()
	return r, tea.Batch(append(cmds, twin, met, cmd)...)
}

// meets records it once where a hold of another machine came into a log that is
// shown: from then on it runs here too. One that is only read is not written to.
func (r Root) meets(running []ahead.Running) (Root, tea.Cmd) {
	if r.log == nil || r.aside || r.reading() || len(r.queue) > 0 {
		return r, nil
	}
	met := false
	for _, line := range running {
		if line.Fusing || line.Doubt != fusion.Elsewhere {
			continue
		}
		if key := line.Weld.ID + " since " + logbook.NameOfTime(line.Weld.Hold.Began); !r.rung[key] {
			r.rung[key], met = true, true
		}
	}
	if !met {
		return r, nil
	}
	h := r.env().Head()
	return r.enqueue(save{h.ID, "hold of another machine", acts.FoundElsewhere(h, r.beat)})
}

const (
	beatEvery   = 15 * time.Second
	rereadEvery = 10 // ticks: a reader that polls fast would starve a writer
)

// rings says whether the bell is due: for an ended fusion every second until
// somebody acknowledges, for an ended hold once.
func (r Root) rings(line ahead.Running) bool {
	if !line.Over() {
		return false
	}
	if line.Fusing {
		return !r.acked[line.Weld.ID]
	}
	key := line.Weld.ID + " hold"
	if r.rung[key] {
		return false
	}
	r.rung[key] = true
	return true
}

// ringsTest says whether the bell is due for a pressure test: once as the time of a phase
// is over.
func (r Root) ringsTest(line ahead.TestRunning) bool {
	key := line.Test.ID + " " + string(line.Phase)
	if !line.Waits() || r.rung[key] {
		return false
	}
	r.rung[key] = true
	return true
}

// watchClocks records it once when wall clock and boot clock drift apart.
func (r Root) watchClocks() (Root, tea.Cmd) {
	d := drift(r.now) - r.drift
	if d.Abs() <= acts.DriftMost {
		return r, nil
	}
	r.drift = drift(r.now)
	r = r.banner("the wall clock moved by "+d.Round(time.Second).String()+": holds go by the boot clock and are not touched", true)
	if r.log == nil || r.site == "" || r.reading() {
		return r, nil
	}
	h := r.env().Head()
	return r.enqueue(save{h.ID, "clock doubted", acts.DoubtDrift(h, d)})
}
