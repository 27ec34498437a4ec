package shell

import (
	"context"
	"errors"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

// A Screen is a value that the root keeps on its stack. It holds what the
// person is doing on it and nothing of the log: that comes with every Env.
type Screen interface {
	// Update answers one message: a tea.KeyMsg of a person, a Scan, or a Saved
	// of its own act. What it wants done it says to Env.Do.
	Update(Env, tea.Msg) Screen
	// View draws the body in Env.W columns and Env.H rows.
	View(Env) string
	// Keys are what its Update does with the keyboard, in the order in which the foot
	// has room for them. No other key reaches it, except where text is typed.
	Keys(Env) Keys
	// Takes says which bursts of a scanner the screen wants.
	Takes(Env) Taking
}

// A Roamer is a screen on which joints lie side by side: where it says so the
// right arrow moves there.
type Roamer interface{ Sideways(Env) bool }

// A Singular is a screen that stands on the stack once: where it is opened again its
// older copy goes. Its name tells it from others; "" is no name.
type Singular interface{ Name() string }

// Taking says what a screen does with a scanner's burst.
type Taking int

// A burst is the answer that the screen asks for, or text that is typed there, or
// it is swallowed and said.
const (
	NoScan Taking = iota
	ScanField
	ScanText // text that is typed, pasted or scanned
	TextField
	FigureField // text that can only be a figure
	FigureList  // a list of figures in which none is begun: a digit may choose, as may a figure with Enter
	OneKey      // a digit answers, and only one that comes alone: a figure typed too late must not
)

// Typed tells whether a hand types text there, so that a burst is text as well.
func (t Taking) Typed() bool { return t == TextField || t == FigureField }

// Scanned tells whether a scanner's burst is an answer there.
func (t Taking) Scanned() bool { return t == ScanField || t == ScanText }

// Takes text: any key may be part of what is typed there.
func (t Taking) text() bool { return t.Typed() || t == ScanText }

// Log is all that the screens need of the store.
type Log interface {
	Append(context.Context, func(logbook.Reader) ([]logbook.Draft, error)) ([]logbook.Entry, error)
	// Book is the records as stored, with all of one site; without a name of the
	// site opened last. It is not to be changed.
	Book(ctx context.Context, site string) (*logbook.Book, error)
	Beat(fusion.Stamp) error
	LastBeat() (fusion.Stamp, error)
	Path() string
}

// Env is what a screen is given with each call: never kept, except that a
// screen may remember what it read out of it.
type Env struct {
	Now     fusion.Stamp
	Began   fusion.Stamp // when the screens were begun: before it nobody watched here
	Beat    fusion.Stamp
	W, H    int
	Style   *Style
	Book    *logbook.Book
	Site    logbook.Site
	Shift   logbook.Shift // the open one; ID is empty where none is
	Shelf   logbook.Shelf
	Audit   audit.Result
	Sight   *Sight
	Running []ahead.Running
	Tests   []ahead.TestRunning // under pressure now
	By      string              // who is at the laptop, as last said
	Tell    *acts.Telling       // whose that name is, where a form asked for it
	Pace    Pace                // of the newest scan; no runes: none came yet
	Pending int                 // saves under way
	Office  OfficeState         // how the firm's office stands
	Do      *Do
	NewID   func() string
	Outside Outside
}

// Outside is what the program around the screens can do for them. Each is slow
// or fails, so the root runs it as a command.
type Outside struct {
	// Example makes the worked example in a fresh log.
	Example func() (Log, error)
	// OpenSite opens a site from texts that were typed here or read by ReadInput,
	// making the log where there is none.
	OpenSite func(at acts.Head, tag string, plan acts.File, tables []acts.File) (Log, error)
	// ReadInput reads a file that a person named, "~" and quotes and all, and checks
	// it as what it is to be: "plan", "table", "kit" or "photo".
	ReadInput func(what, name string) (Input, error)
	// Folder lists what can be chosen in a folder as such a file; "" is where the
	// program was started.
	Folder func(what, dir string) (Folder, error)
	// OpenLog opens a log that was handed over, on a stick say.
	OpenLog func(file string) (Log, error)
	// Documents is the folder into which documents are written.
	Documents func() string
	// WriteRegister writes the register of a site for the warranty file and
	// says where it is.
	WriteRegister func(log Log, site string) (string, error)
	// WriteLabels writes the labels of a site as a sheet to print and cut, and
	// says where it is.
	WriteLabels func(log Log, site string) (string, error)
	// WriteHandover writes what a site is handed over with, the plumber's leaf and the
	// pages for the lids, and says where they are.
	WriteHandover func(log Log, site string) (string, error)
	// SealDay checks the log, seals it, and says so; the day's signature
	// is in the log already.
	SealDay func(h acts.Head, log Log, day string) (string, error)
	// Backup puts a copy of the log and the seal of a day onto the stick that is named
	// for the site, and says so; "" where none is named.
	Backup func(h acts.Head, log Log, day string) (string, error)
	// NameStick names the folder of a stick for a site, "" for none any more, and says so.
	NameStick func(log Log, site, dir string) (string, error)
	// News is what came up meanwhile that is wrong with the log's files, one line
	// each. It is asked once a second, first when the screens stand, and does not
	// wait.
	News func() []string
	// Twin brings the log's twin up, if it has one, and says how that stands. It may
	// take for ever.
	Twin func(log Log) TwinState
	// Office says how the firm's office stands to a log, and sends to it where that is
	// due. It is asked once a second and does not wait.
	Office func(log Log) OfficeState
	// Verbs gives those of the command line, for a search by name.
	Verbs func() []Verb
	// KeepTheme keeps the theme that was chosen for the next start.
	KeepTheme func(name string) error
}

// A Verb is one of the command line's.
type Verb struct{ Name, Does string }

// An Input is a file that was read and checked, with what it holds in a line.
type Input struct {
	acts.File
	Says  string
	Photo *logbook.Enclosed // of a photo, in place of its text
}

// A Folder is one on the disk: folders end in "/" and come first, then the files of
// people's plans, tables and kits, or photos.
type Folder struct {
	Path  string
	Above string // the folder that it is in; "" for none
	Names []string
}

// Head is the head of an act at this moment.
func (e Env) Head() acts.Head {
	return acts.Head{ID: e.NewID(), At: e.Now, By: e.By, Site: e.Site.ID, Shift: e.Shift.ID, Tell: e.Tell}
}

// Weld finds a weld of the site.
func (e Env) Weld(id string) logbook.Weld { w, _ := e.Book.Weld(e.Site.ID, id); return w }

// Joint finds a joint of the site.
func (e Env) Joint(label string) logbook.Joint { j, _ := e.Book.Joint(e.Site.ID, label); return j }

// JointColumn is how wide a column must be so that no label of the site's joints
// is cut: North-10A and North-10B cut alike would be one joint to the eye.
func (e Env) JointColumn() int { return e.Sight.column() }

// Write has a file of the site written once what was asked before is stored. write is nil
// where there is none to write.
func (e Env) Write(what string, write func(Log, string) (string, error)) {
	if write == nil {
		e.Do.Say("writing the " + what + " is not available here")
		return
	}
	e.Do.Say("writing the " + what + " …")
	site := e.Site.ID
	e.Do.Fetch(func(log Log) (string, error) { return write(log, site) })
}

// Waits tells whether somebody must answer for what has ended: → leads there, on any
// screen.
func (e Env) Waits() bool {
	return slices.ContainsFunc(e.Running, ahead.Running.Over) || slices.ContainsFunc(e.Tests, ahead.TestRunning.Waits)
}

// Failed tells whether a weld failed by the audit.
func (e Env) Failed(weld string) bool { return e.Audit.Verdict(weld) == audit.Failed }

// Fault is the gravest finding on a weld that is open, in words without its number, and
// whether it fails by it; "" where there is none but work that is still to do.
func (e Env) Fault(weld string) (says string, fail bool) {
	worst, found := e.Audit.Worst(weld)
	if !found || worst.Work {
		return "", false
	}
	return WithoutNumber(worst.Says, weld), worst.Severity == audit.Fail
}

// WithoutNumber is what a finding says of a weld, where its number stands beside it.
func WithoutNumber(says, weld string) string {
	return strings.TrimPrefix(strings.TrimPrefix(says, weld+": "), weld+" ")
}

// FaultLine says it with what follows from it.
func (e Env) FaultLine(weld string) string {
	switch says, fail := e.Fault(weld); {
	case says == "":
		return ""
	case fail:
		return "FAIL: " + logbook.Clean(says) + ". When it is cold it is to be cut out."
	default:
		return "QUERY: " + logbook.Clean(says) + ". The foreman decides."
	}
}

// Mark is an operator's initials.
func (e Env) Mark(operator string) string {
	for i := len(e.Site.Shifts) - 1; i >= 0; i-- {
		sh, _ := e.Book.Shift(e.Site.ID, e.Site.Shifts[i])
		if o, ok := sh.Operator(operator); ok && o.Mark != "" {
			return o.Mark
		}
	}
	return operator
}

// Do gathers what a screen wants done. The root does it in that order once the
// screen's Update has returned.
type Do struct{ wants []any }

type (
	push    struct{ s Screen }
	pop     struct{ n int }
	replace struct{ s Screen }
	home    struct{}
	save    struct {
		id    string
		label string
		act   acts.Act
	}
	say    struct{ text string }
	by     struct{ name string }
	site   struct{ id string }
	quit   struct{}
	theme  struct{}
	ack    struct{ weld string }
	follow struct{ run func() (Log, error) }
	fetch  struct{ run func(Log) (string, error) }
	look   struct{ run func() tea.Msg }
)

// Push puts a screen on top.
func (d *Do) Push(s Screen) { d.wants = append(d.wants, push{s}) }

// Pop takes the top screen away.
func (d *Do) Pop() { d.wants = append(d.wants, pop{1}) }

// Replace puts a screen in place of the top one.
func (d *Do) Replace(s Screen) { d.wants = append(d.wants, replace{s}) }

// Home takes all screens away but the board.
func (d *Do) Home() { d.wants = append(d.wants, home{}) }

// Save stores an act. The screens see it at once, marked as pending; label
// says what it was should the save fail. h.ID comes back in Saved.
func (d *Do) Save(h acts.Head, label string, act acts.Act) {
	d.wants = append(d.wants, save{h.ID, label, act})
}

// Wants is how many things are wanted, for a test of one screen.
func (d *Do) Wants() int { return len(d.wants) }

// Add puts what another wants behind what is wanted already.
func (d *Do) Add(o *Do) { d.wants = append(d.wants, o.wants...) }

// Refusal says why the first act that is to be stored refuses what was typed, the records
// as they are seen; "" is that it does not, or that none is stored.
func (d *Do) Refusal(book *logbook.Book) string {
	for _, want := range d.wants {
		s, is := want.(save)
		if !is || book == nil {
			continue
		}
		var said acts.SaidError
		if _, err := s.act(book); errors.As(err, &said) {
			return oneLine(err)
		}
		return ""
	}
	return ""
}

// Say shows one line until the next key.
func (d *Do) Say(text string) { d.wants = append(d.wants, say{text}) }

// By sets who is at the laptop.
func (d *Do) By(name string) { d.wants = append(d.wants, by{name}) }

// Site turns to another site of the log.
func (d *Do) Site(id string) { d.wants = append(d.wants, site{id}) }

// Quit leaves, once everything is stored.
func (d *Do) Quit() { d.wants = append(d.wants, quit{}) }

// Theme turns to the next theme.
func (d *Do) Theme() { d.wants = append(d.wants, theme{}) }

// Ack silences the alarm of a weld's ended fusion.
func (d *Do) Ack(weld string) { d.wants = append(d.wants, ack{weld}) }

// Follow runs something slow, once all that was asked before is stored, and then
// opens the log it returns. What went wrong is said.
func (d *Do) Follow(run func() (Log, error)) { d.wants = append(d.wants, follow{run}) }

// Fetch runs something slow on the log once all that was asked before is stored,
// and says its line or what went wrong. What is asked later is stored meanwhile.
func (d *Do) Fetch(run func(Log) (string, error)) { d.wants = append(d.wants, fetch{run}) }

// Look runs something slow that stores nothing, such as reading a file that was named,
// and gives what comes of it to the screen that is on top then.
func (d *Do) Look(run func() tea.Msg) { d.wants = append(d.wants, look{run}) }

// Shown tells every screen what an act wants stored, as soon as its records show it: the
// next key may come before the disk is done.
type Shown struct {
	Entries []logbook.Entry
}

// Entries are those of a message that an act is shown, or stored; of any other none.
func Entries(msg tea.Msg) (of []logbook.Entry, is bool) {
	switch msg := msg.(type) {
	case Shown:
		return msg.Entries, true
	case Saved:
		return msg.Entries, true
	}
	return nil, false
}

// Saved tells the screen that asked that its act is stored.
type Saved struct {
	ID      string
	Entries []logbook.Entry
}
