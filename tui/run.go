// Package tui is the screens of the logbook: the board, the walk through a
// weld, the desk of the foreman, and the plain screens round them. It reaches the log only through the
// small interface in tui/shell.
package tui

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/term"

	"coolhold/fusion"
	"coolhold/tui/shell"
)

// Program is what the screens need of the program.
type Program struct {
	Log     shell.Log // nil: none yet, and the welcome screen opens
	Site    string
	Theme   string
	Sixteen bool // the terminal has no more colours than that
	ASCII   bool // it has no other signs
	Plain   bool // lines in and lines out, and nothing drawn over: see plainly
	Clock   func() fusion.Stamp
	Mono    func() time.Duration
	NewID   func() string
	After   func(time.Duration, tea.Msg) tea.Cmd // nil: real time
	FPS     int                                  // 0: FPS
	In      io.Reader
	Out     io.Writer
	Outside shell.Outside
	Titles  bool            // the terminal has a title, which says what is next
	Quit    <-chan struct{} // a value for each signal that ends the program
	// Still waits until this program has no log open and keeps it so until it is let
	// go: stopped with one open it would lock everybody out. Nil: it never has.
	Still func(context.Context) (letGo func(), ok bool)
	// PutAside is nil except where Run stands in a terminal that can do it.
	PutAside func(says string) tea.Cmd
	// Trace keeps the trace of a panic and says where.
	Trace func(string) string
	// Notice is shown at the start: something about the log's file that a person
	// must know before anything is recorded. "" for none.
	Notice string
}

// New is the root of the screens; Run gives it a terminal, a test gives it
// messages.
func New(o Program) shell.Root {
	if o.After == nil {
		o.After = shell.After
	}
	bell := func() { fmt.Fprint(o.Out, "\a") }
	if o.Plain && !IsTerminal(o.Out) {
		bell = nil // a script has no ears, and lines of its own
	}
	return shell.New(shell.Program{
		Log: o.Log, Site: o.Site, Theme: o.Theme, Sixteen: o.Sixteen, ASCII: o.ASCII, Spoken: o.Plain, Clock: o.Clock, Mono: o.Mono, NewID: o.NewID, After: o.After,
		Bell:     bell,
		Outside:  o.Outside,
		Start:    func(env shell.Env) shell.Screen { return start(env, o.Notice) },
		Waiting:  newHolds,
		Find:     newFind,
		PutAside: o.PutAside, Title: o.title(),
	})
}

func start(env shell.Env, notice string) shell.Screen {
	if env.Site.ID == "" {
		return welcome{notice}
	}
	return newBoard(notice)
}

func (o Program) title() func(string) tea.Cmd {
	if !o.Titles {
		return nil
	}
	return func(text string) tea.Cmd { return tea.SetWindowTitle(text) }
}

// The title that a window had is put on the terminal's stack and taken from it again
// (XTWINOPS of xterm). A terminal that has no such stack passes both over: there it is
// left empty, since a release that was due must not stand there for ever.
const (
	keepTitle = "\x1b[22;2t"
	backTitle = "\x1b]2;\a\x1b[23;2t"
)

// FPS is how often a second the screens are drawn at most: a key is seen after half a
// frame, 17 ms. At ten it would be 50 ms, which is felt. What it costs the battery make
// bench measures (idle).
const FPS = 30

// Run shows the screens until somebody leaves, or a signal comes, or the terminal
// goes away. Whatever ended the screens, what they were asked to store is stored
// before it returns, or the error says of it what is so.
func Run(o Program) error {
	if o.Plain {
		return plainly(o)
	}
	trace := ""
	job := newJob(o.Still)
	if o.Titles {
		job.leaves, job.returns = backTitle, keepTitle
	}
	o.PutAside = job.putAside()
	// The library would end at a signal without a look at what is not stored.
	p := tea.NewProgram(guarded{New(o), &trace}, tea.WithAltScreen(), tea.WithInput(pastes(o.In)), tea.WithOutput(o.Out), tea.WithFPS(cmp.Or(o.FPS, FPS)), tea.WithoutSignalHandler())
	s := signalled{quit: o.Quit, screens: p.Quit, ended: make(chan struct{}), done: make(chan struct{})}
	ctx, hurry := context.WithCancel(context.Background())
	defer hurry()
	go s.serve(hurry)
	defer close(s.done)
	defer job.watch(p)()
	fmt.Fprint(o.Out, job.returns)
	m, err := p.Run()
	fmt.Fprint(o.Out, job.leaves)
	close(s.ended)
	err = errors.Join(err, drained(ctx, m, o.Out))
	if trace != "" {
		return errors.Join(failed(o.Trace(trace)), err)
	}
	return err
}

func failed(where string) error {
	return fmt.Errorf("the screens failed; everything shown as stored is in the log; what happened is in %s: please send it to who gave you coolhold", where)
}

// A signalled hands signals on: to the screens, and once they are gone to what waits
// for the disk.
type signalled struct {
	quit        <-chan struct{}
	screens     func()
	ended, done chan struct{}
}

func (s signalled) serve(hurry func()) {
	for {
		select {
		case <-s.done:
			return
		case <-s.quit:
		}
		select {
		case <-s.ended:
			hurry()
		default:
			s.screens()
		}
	}
}

// How long what is not stored yet is waited for at the end, and after what time that
// is said. Our own choice: who ends a machine gives a program about so long.
const (
	drainMost  = 10 * time.Second
	drainQuiet = 500 * time.Millisecond
)

// drained stores what the screens left, the terminal being given back.
func drained(ctx context.Context, m tea.Model, out io.Writer) error {
	g, _ := m.(guarded)
	root, ok := g.m.(shell.Root)
	if !ok {
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, drainMost)
	defer cancel()
	if n := root.Undone(); n > 0 {
		say := time.AfterFunc(drainQuiet, func() {
			fmt.Fprintf(out, "coolhold: %d answers are being stored: wait, at most %v ...\n", n, drainMost)
		})
		defer say.Stop()
	}
	return root.Drain(ctx)
}

// IsTerminal tells whether a reader or writer is a terminal that can show the
// screens.
func IsTerminal(f any) bool {
	file, ok := f.(*os.File)
	if !ok {
		return false
	}
	return term.IsTerminal(file.Fd()) // a device such as /dev/null is none
}
