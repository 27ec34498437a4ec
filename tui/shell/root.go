// Package shell is the root of the screens: it knows the window's size, the
// time, where a key goes, what waits to be stored and what a screen may ask for.
// It has no screen of its own.
package shell

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// Program is what the root needs of the program around it.
type Program struct {
	Log     Log // nil: none yet
	Site    string
	Theme   string
	Sixteen bool // the terminal has no more colours than that
	ASCII   bool // it has no other signs
	Spoken  bool // what is shown is read out as lines
	Clock   func() fusion.Stamp
	Mono    func() time.Duration // real time since any moment: a demonstration may run its clock fast, a scanner does not
	NewID   func() string
	After   func(time.Duration, tea.Msg) tea.Cmd // a message after a while
	Bell    func()
	Title   func(string) tea.Cmd // gives the window its title; nil: it keeps its own
	Outside Outside
	Start   func(Env) Screen // the first screen
	Waiting func(Env) Screen // the list of what runs and waits
	Find    func(Env) Screen // where a name is typed to go to it; nil: nowhere
	// PutAside gives the terminal back to the shell until the program is called up
	// again, and says these words there. nil: this system cannot.
	PutAside func(says string) tea.Cmd
}

// Root is the bubbletea model. Times come from its clock; the only messages
// that come by themselves are one tick a second and the scan buffer's.
type Root struct {
	opts    Program
	log     Log
	w, h    int
	now     fusion.Stamp
	began   fusion.Stamp // the first now
	beat    fusion.Stamp
	beaten  time.Duration // boot time of the last heartbeat
	style   *Style
	stack   []Screen
	scan    ScanBuffer
	pace    Pace // of the newest scan
	site    string
	by      string
	base    *logbook.Book // as stored
	book    *logbook.Book // base and what is being stored
	view    derived
	queue   []job
	untold  []logbook.Entry // what it shows that no screen was told of yet
	hand    *hand           // what stores them
	busy    bool            // it does
	stall   stall           // why it does not
	lines   []banner
	rung    map[string]bool // weld and phase for which the bell has rung
	acked   map[string]bool // fusions whose end is acknowledged
	drift   time.Duration   // wall minus boot when last looked
	wrong   []string        // with the log's files: it stands until the end
	leaving bool
	aside   bool   // to be put aside once nothing is on its way
	abroad  int    // commands on their way that hold the log for a moment
	owed    save   // found at the opening of this log and not recorded yet
	owing   bool   // it is queued
	refused string // the banner that says why it was not recorded, though it was to be

	odd      bool  // every other second, for the flash
	asks     []ask // slow things that were asked for and are not begun
	fetching bool  // one of them runs
	unread   bool  // the first look at the log is to be taken again
	saves    int   // acts queued so far: a book read before the newest of them is stale
	ticks    int
	titleIs  string // what the window was called last
	twin     twinWatch
	office   OfficeState
}

// A banner is a text above the screen. One that sticks stays until Esc, which
// then does nothing else; a notice stays until another screen is on top.
type banner struct {
	text   string
	stick  bool
	notice bool
}

// keyed are the banners that a key leaves.
func (r Root) keyed(leaves bool) []banner {
	return slices.DeleteFunc(slices.Clone(r.lines), func(b banner) bool { return !b.notice && (!b.stick || leaves) })
}

// notice says what came of something slow, in place of what was said while it ran.
func (r Root) notice(text string) Root {
	r.lines = r.keyed(false)
	r = r.banner(text, false)
	r.lines[len(r.lines)-1].notice = true
	return r
}

// derived is what follows from the book at a moment.
type derived struct {
	book  *logbook.Book // of which it was made
	asked string        // the name of the site, though there may be none of it
	site  logbook.Site
	shift logbook.Shift
	shelf logbook.Shelf
	audit audit.Result
	sight *Sight

	now, beat fusion.Stamp // as of which it was made
}

// A job is an act that is to be stored.
type job struct {
	id, label string
	act       acts.Act
	tried     bool // it may be stored already
}

func jobOf(s save) job { return job{id: s.id, label: s.label, act: s.act} }

type (
	tickMsg   struct{}
	flushMsg  struct{}
	loadedMsg struct {
		log  Log
		book *logbook.Book
		view derived
		beat fusion.Stamp
		err  error
		at   int  // saves when it was asked for
		owed save // found at the start and not recorded: the log takes nothing
		why  error
	}
	storedMsg struct {
		upshot
		book   *logbook.Book
		view   derived
		unread error // why there is no book
	}
	beatMsg   struct{ err error }
	lookedMsg struct{ tea.Msg }
)

// New is the root at its first moment; Init loads the log.
func New(o Program) Root {
	r := Root{
		opts: o, log: o.Log, site: o.Site, style: styleOf(o.Theme, o.Sixteen), now: o.Clock().Cut(),
		rung: map[string]bool{}, acked: map[string]bool{}, base: logbook.NewBook("", 1), hand: newHand(),
	}
	if o.Spoken {
		r.style = spokenStyle()
	}
	r.book, r.began = r.base, r.now
	r.abroad = 1 // Init loads the log
	r.drift = drift(r.now)
	return r
}

func drift(s fusion.Stamp) time.Duration {
	return time.Duration(s.Wall.UnixNano()) - s.Boot
}

// Init loads the log and starts the one chain of ticks.
func (r Root) Init() tea.Cmd {
	return tea.Batch(r.tick(), r.load(r.log, true))
}

func (r Root) tick() tea.Cmd { return r.opts.After(time.Second, tickMsg{}) }

// After is the way messages are delayed outside tests.
func After(d time.Duration, msg tea.Msg) tea.Cmd {
	return tea.Tick(d, func(time.Time) tea.Msg { return msg })
}

// load reads the book of the site. At the start of the program it first
// records what the log shows as left in the middle.
func (r Root) load(log Log, first bool) tea.Cmd {
	head := acts.Head{ID: r.opts.NewID(), At: r.now}
	site, at, now, had := r.site, r.saves, r.now, r.view
	return func() tea.Msg {
		if log == nil {
			return loadedMsg{book: logbook.NewBook("", 1), at: at}
		}
		msg := loadedMsg{log: log, book: logbook.NewBook("", 1), at: at}
		if msg.beat, msg.err = log.LastBeat(); msg.err != nil {
			return msg
		}
		if first {
			if msg.why = found(log, head, msg.beat); errors.Is(msg.why, logbook.ErrReadOnly) {
				msg.why = nil // that it is only shown is said already
			}
		}
		msg.book, msg.err = read(log, site)
		if msg.view = had; !had.still(msg.book, site, now, msg.beat) {
			msg.view = derive(msg.book, site, now, msg.beat)
		}
		if msg.why != nil { // where it cannot be written to it can be read all the same
			msg.owed = save{head.ID, "what was found at the opening", acts.FoundAtStart(head, msg.beat)}
		}
		return msg
	}
}

func found(log Log, head acts.Head, beat fusion.Stamp) error {
	ctx, cancel := context.WithTimeout(context.Background(), lockPatience)
	defer cancel()
	_, err := log.Append(ctx, acts.FoundAtStart(head, beat))
	return err
}

// read is a site's book; without a name that of the last site opened.
func read(log Log, site string) (*logbook.Book, error) {
	ctx, cancel := context.WithTimeout(context.Background(), lockPatience)
	defer cancel()
	book, err := log.Book(ctx, site)
	if err != nil {
		return logbook.NewBook("", 1), err
	}
	return book, nil
}

// Update answers one message.
func (r Root) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	r, cmd := r.answer(msg)
	if r.aside && !r.underWay() && r.abroad == 0 {
		r.aside, r.titleIs = false, "" // a title would grow old while it is put aside
		return r, tea.Batch(cmd, r.opts.PutAside(r.signs(r.asideLine())))
	}
	r, title := r.titled()
	return r, tea.Batch(cmd, title)
}

func (r Root) answer(msg tea.Msg) (Root, tea.Cmd) {
	r.now = r.opts.Clock().Cut()
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		r.w, r.h = msg.Width, msg.Height
		return r, nil
	case tickMsg:
		return r.ticked()
	case flushMsg:
		scan, out, wait := r.scan.Flush(r.opts.Mono())
		r.scan = scan
		return r.deliver(out, wait)
	case tea.KeyMsg:
		if Is(msg, Quit) {
			return r.leave()
		}
		scan, out, wait := r.scan.Take(msg, r.opts.Mono(), r.taking())
		r.scan = scan
		return r.deliver(out, wait)
	case loadedMsg:
		r.abroad--
		return r.loaded(msg), nil
	case storedMsg:
		return r.stored(msg)
	case beatMsg:
		r.abroad--
		return r.noted(msg.err), nil
	case followMsg:
		r.abroad--
		return r.following(msg), nil
	case fetchedMsg:
		return r.fetched(msg)
	case againMsg:
		return r.next()
	case twinMsg:
		return r.twinned(msg)
	case lookedMsg:
		return r.pass(msg.Msg)
	case NotAside:
		return r.banner("this terminal cannot put a program aside", false), nil
	}
	return r, nil
}

// NotAside is the message that the program could not be put aside.
type NotAside struct{}

// asideLine is what the shell shows while the program is put aside.
func (r Root) asideLine() string {
	var items []string
	for _, line := range r.runningNow() {
		items = append(items, strings.TrimRight(StripItem(line), ": →"))
	}
	for _, line := range r.testsNow() {
		items = append(items, strings.TrimRight(StripTest(line), ": →"))
	}
	says := "coolhold is put aside; fg brings it back."
	if len(items) > 0 {
		says += "\nWhat runs goes on, and no bell rings: " + strings.Join(items, ", ") + "."
	}
	return says
}

// deliver hands keys and scans to the top screen, one after another.
func (r Root) deliver(msgs []tea.Msg, wait time.Duration) (Root, tea.Cmd) {
	var cmds []tea.Cmd
	if wait > 0 {
		cmds = append(cmds, r.opts.After(wait, flushMsg{}))
	}
	for _, m := range msgs {
		var cmd tea.Cmd
		r, cmd = r.key(m)
		cmds = append(cmds, cmd)
	}
	return r, tea.Batch(cmds...)
}

func (r Root) key(msg tea.Msg) (Root, tea.Cmd) {
	if Is(msg, PutAside) { // behind the keys that were held before it
		r.aside = r.opts.PutAside != nil
		return r, nil
	}
	if len(r.stack) == 0 {
		return r, nil
	}
	switch m := msg.(type) {
	case Scan:
		return r.scanned(m)
	case Already:
		return r.banner("that Enter came right behind a scan and is taken as its own: Enter again counts", false), nil
	case InOneGo:
		return r.banner("it came in one go: Enter gives it", false), nil
	case tea.KeyMsg:
		stuck := slices.ContainsFunc(r.lines, func(b banner) bool { return b.stick })
		r.lines = r.keyed(Is(m, Leave))
		if stuck && Is(m, Leave) {
			return r, nil // it was meant for what stuck; the next one leaves
		}
		return r.pressed(m)
	}
	return r.pass(msg)
}

// pressed is what a key does: the keys that mean the same everywhere, else what the
// screen has it do. What the screen does not name does nothing, so that no key acts
// that foot and page do not tell.
func (r Root) pressed(m tea.KeyMsg) (Root, tea.Cmd) {
	env := r.env()
	typed := r.top().Takes(env).text()
	text := typed && isText(m)
	switch {
	case Is(m, Help) && !text:
		return r.explained(env)
	case Is(m, Find) && !text && r.opts.Find != nil:
		r.pushNew(env, r.opts.Find(env))
		return r.do(env.Do)
	case Is(m, Runs) && !r.sideways(env):
		return r.waiting()
	case typed || r.top().Keys(env).has(m):
		return r.pass(m)
	}
	return r, nil
}

// explained opens the page of the top screen, once.
func (r Root) explained(env Env) (Root, tea.Cmd) {
	if _, is := r.top().(page); is {
		env.Do.Pop()
		return r.do(env.Do)
	}
	env.Do.Push(r.pageOf(env))
	return r.do(env.Do)
}

// taking is what the top screen does with a scan.
func (r Root) taking() Taking {
	if len(r.stack) == 0 {
		return NoScan
	}
	return r.top().Takes(r.env())
}

// scanned gives a scan where one is asked for, and a paste to a field as text;
// else it is said.
func (r Root) scanned(m Scan) (Root, tea.Cmd) {
	if m.Pace.Runes >= scanRunes {
		r.pace = m.Pace
	}
	switch into, pasted := r.taking(), m.All != ""; {
	case m.Over > 0 && into != NoScan:
		return r.banner(fmt.Sprintf("this has %d characters, %d are the most: nothing of it is taken", maxScan+m.Over, maxScan), false), nil
	case m.Spilt:
		return r.banner(short(m.Text)+" is a figure, and none is asked here: nothing was done. A digit alone answers", false), nil
	case m.More && into != NoScan:
		return r.banner("only the first line is taken, not "+short(m.Text), false), nil
	case into.Scanned() && m.Loose, into == ScanText && pasted, into == TextField, into == FigureField && pasted && isFigure(m.All):
		return r.pass(asText(cmp.Or(m.All, m.Text)))
	case into.Scanned():
		return r.pass(m)
	case pasted:
		return r.banner("a paste is not taken here: "+short(m.Text), false), nil
	}
	return r.banner("scan ignored here: "+short(m.Text), false), nil
}

func isFigure(s string) bool { return strings.Trim(s, "0123456789.,-") == "" }

// asText is a text as a message that is no key: one that reads "esc" leaves nothing.
func asText(s string) tea.Msg {
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(s), Paste: true}
}

// sideways tells whether the right arrow moves on the top screen. While something
// waits for an answer it goes there instead, as the strip says.
func (r Root) sideways(env Env) bool {
	s, can := r.top().(Roamer)
	return can && !env.Waits() && s.Sideways(env)
}

func short(s string) string {
	s = logbook.Clean(s)
	if runes := []rune(s); len(runes) > 8 {
		return fmt.Sprintf("%s… (%d characters)", string(runes[:4]), len(runes))
	}
	return s
}

// waiting goes to the list of everything that runs: always there, so that a digit struck
// right behind the arrow never answers a question that came up just then.
func (r Root) waiting() (Root, tea.Cmd) {
	env := r.env()
	if len(env.Running)+len(env.Tests) == 0 {
		env.Do.Say("nothing runs and nothing waits")
	} else {
		r.pushNew(env, r.opts.Waiting(env))
	}
	return r.do(env.Do)
}

// onWaiting tells whether the list of what runs is the top screen.
func (r Root) onWaiting(env Env) bool {
	return r.opts.Waiting != nil && same(r.top(), r.opts.Waiting(env))
}

// pushNew pushes a screen unless it is the top one already: what is typed or chosen
// there stays.
func (r Root) pushNew(env Env, s Screen) {
	if !same(r.top(), s) {
		env.Do.Push(s)
	}
}

func (r Root) top() Screen { return r.stack[len(r.stack)-1] }

// pass gives a message to the top screen and does what it wants.
func (r Root) pass(msg tea.Msg) (Root, tea.Cmd) {
	if len(r.stack) == 0 {
		return r, nil
	}
	env := r.env()
	env.H -= len(r.footLines(env)) // the rows that its View will have
	r.stack = slices.Clone(r.stack)
	r.stack[len(r.stack)-1] = r.top().Update(env, msg)
	return r.do(env.Do)
}

func (r Root) env() Env {
	running, tests := r.runningNow(), r.testsNow()
	return Env{
		Now: r.now, Began: r.began, Beat: r.beat, W: r.w, H: r.bodyHeight(running, tests), Style: r.style, Book: r.book,
		Site: r.view.site, Shift: r.view.shift, Shelf: r.view.shelf, Audit: r.view.audit, Sight: r.view.sight,
		Running: running, Tests: tests, By: r.by, Pace: r.pace,
		Pending: len(r.queue), Office: r.office, Do: &Do{}, NewID: r.opts.NewID, Outside: r.opts.Outside,
	}
}

// do carries out what a screen wants.
func (r Root) do(d *Do) (Root, tea.Cmd) {
	var cmds []tea.Cmd
	for _, want := range d.wants {
		var cmd tea.Cmd
		switch w := want.(type) {
		case save:
			r, cmd = r.enqueue(w)
		case follow:
			r, cmd = r.asked(func(r Root) (Root, tea.Cmd) { r.abroad++; return r, r.followed(w) })
		case fetch:
			r, cmd = r.asked(func(r Root) (Root, tea.Cmd) { return r.fetch(w.run) })
		case look:
			cmd = func() tea.Msg { return lookedMsg{w.run()} }
		case site:
			r.site = w.id
			r.abroad++
			cmd = r.load(r.log, false)
		case quit:
			r, cmd = r.leave()
		case say:
			r = r.banner(w.text, false)
		default:
			r = r.turn(want)
		}
		cmds = append(cmds, cmd)
	}
	if said := r.untold; len(said) > 0 {
		r.untold = nil
		var told tea.Cmd
		r, told = r.tell(Shown{said})
		cmds = append(cmds, told)
	}
	return r, tea.Batch(cmds...)
}

// turn does what only changes the root itself.
func (r Root) turn(want any) Root {
	switch w := want.(type) {
	case push, pop, replace, home:
		r.lines = slices.DeleteFunc(slices.Clone(r.lines), func(b banner) bool { return b.notice })
		return r.turned(w)
	case by:
		r.by = w.name
	case theme:
		if !r.opts.Spoken {
			r.style = NextStyle(r.style)
		}
	case ack:
		r.acked[w.weld] = true
	}
	return r
}

// turned is the root with another stack.
func (r Root) turned(want any) Root {
	switch w := want.(type) {
	case push:
		r.stack = append(r.without(w.s), w.s)
	case pop:
		r.stack = r.stack[:max(1, len(r.stack)-w.n)]
	case replace:
		r.stack = append(slices.Clone(r.stack[:len(r.stack)-1]), w.s)
	case home:
		r.stack = r.stack[:1]
	}
	return r
}

// without is the stack without an older copy of a screen that stands there once.
func (r Root) without(s Screen) []Screen {
	return slices.DeleteFunc(slices.Clone(r.stack), func(old Screen) bool { return same(old, s) })
}

func same(a, b Screen) bool {
	one, is := a.(Singular)
	other, too := b.(Singular)
	return is && too && one.Name() != "" && one.Name() == other.Name()
}

// banner says something above the screen, at most three at a time: what is said again
// stands once, and what stays until it is hidden goes last.
func (r Root) banner(text string, stick bool) Root {
	b := banner{text: logbook.Clean(text), stick: stick}
	r.lines = append(slices.DeleteFunc(slices.Clone(r.lines), func(said banner) bool { return said.text == b.text }), b)
	for len(r.lines) > 3 {
		at := max(0, slices.IndexFunc(r.lines[:len(r.lines)-1], func(said banner) bool { return !said.stick }))
		r.lines = slices.Delete(r.lines, at, at+1)
	}
	return r
}

func (r Root) noted(err error) Root {
	if err != nil {
		return r.banner("heartbeat not written: "+oneLine(err), false)
	}
	return r
}

func oneLine(err error) string { return strings.Join(strings.Fields(logbook.Clean(err.Error())), " ") }

// leave ends the program once everything is stored, or at once where it is asked
// for twice.
func (r Root) leave() (Root, tea.Cmd) {
	if r.underWay() && !r.leaving {
		r.leaving = true
		return r, nil
	}
	return r, tea.Quit
}

// underWay tells whether something is not stored or not finished yet.
func (r Root) underWay() bool { return r.busy || len(r.queue) > 0 || r.fetching || len(r.asks) > 0 }

// Tick is the message of the one chain of ticks, for a driver that moves the
// clock by hand.
func Tick() tea.Msg { return tickMsg{} }

// Quiet is the message that a burst of keys is over, for the same driver.
func Quiet() tea.Msg { return flushMsg{} }

// With is the root with one more screen on top, for a driver.
func (r Root) With(s Screen) Root { return r.turn(push{s}) }
