package tui

import (
	"context"
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode"

	"github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"coolhold/cmd/coolhold/example"
	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/crew"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

func TestMain(m *testing.M) {
	debug.SetGCPercent(400) // much is made and little kept
	os.Exit(m.Run())
}

// memLog is a log in memory.
type memLog struct{ crew.Store }

func newMemLog() *memLog { return logOf(crew.NewMemory("KM")) }

func logOf(m *crew.Memory) *memLog { return &memLog{crew.Store{Memory: m}} }

// ona is a crew of one on Monday, for what no screen writes.
func ona(t testing.TB) *crew.Crew {
	c := crew.Empty(t)
	c.H.At, c.H.By = monday, "Ona Brill"
	return c
}

// driver plays the program without a terminal: keys and a held clock in, the
// frame out. It never sleeps, and after every message it checks that the frame
// has the window's size.
type driver struct {
	t     testing.TB
	m     tea.Model
	now   *fusion.Stamp
	mono  *time.Duration
	w, h  int
	bells int
	ids   int
	hits  int // keys pressed
	quit  bool

	checks int
}

var monday = fusion.Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Offset: 3600, Boot: 5 * time.Hour, BootID: "boot-1", Machine: "laptop"}

func drive(t testing.TB, log shell.Log, now fusion.Stamp, w, h int) *driver {
	t.Helper()
	return driveWith(t, log, now, w, h, func(*shell.Outside) {})
}

// driveWith is drive with more of an outside.
func driveWith(t testing.TB, log shell.Log, now fusion.Stamp, w, h int, more func(*shell.Outside)) *driver {
	t.Helper()
	mono := time.Hour
	d := &driver{t: t, now: &now, mono: &mono, w: w, h: h}
	o := d.options()
	if log != nil {
		o.Log = log
	}
	more(&o.Outside)
	d.begin(o)
	return d
}

// options are those of a program without a log.
func (d *driver) options() Program {
	t, now := d.t, *d.now
	return Program{
		Clock: func() fusion.Stamp { return *d.now }, Mono: func() time.Duration { return *d.mono },
		NewID: func() string { d.ids++; return fmt.Sprintf("id-%d-%d", now.Boot, d.ids) },
		Out:   bell{d}, Theme: "plain",
		After: func(time.Duration, tea.Msg) tea.Cmd { return nil },
		Outside: shell.Outside{
			Example: func() (shell.Log, error) { return exampleAt(t, now), nil },
		},
	}
}

func (d *driver) begin(o Program) {
	d.t.Helper()
	d.m = New(o)
	d.send(tea.WindowSizeMsg{Width: d.w, Height: d.h})
	d.run(d.m.Init())
}

type bell struct{ d *driver }

func (b bell) Write(p []byte) (int, error) {
	b.d.bells += strings.Count(string(p), "\a")
	return len(p), nil
}

func (d *driver) send(msg tea.Msg) {
	d.t.Helper()
	if size, ok := msg.(tea.WindowSizeMsg); ok {
		d.w, d.h = size.Width, size.Height
	}
	d.run(d.takes(msg))
}

// takes hands a message on and looks at the frame that follows.
func (d *driver) takes(msg tea.Msg) tea.Cmd {
	d.t.Helper()
	cmd := d.passes(msg)
	d.check()
	return cmd
}

// passes is takes for the half of a key that shows nothing of its own: a character before
// it is known to be of no scan, and the quiet after a key that is none of a scan's.
func (d *driver) passes(msg tea.Msg) tea.Cmd {
	m, cmd := d.m.Update(msg)
	d.m = m
	return cmd
}

// run carries out commands at once; ticks are sent by hand.
func (d *driver) run(cmd tea.Cmd) {
	d.t.Helper()
	if cmd == nil {
		return
	}
	switch msg := cmd().(type) {
	case nil:
	case tea.BatchMsg:
		for _, c := range msg {
			d.run(c)
		}
	case tea.QuitMsg:
		d.quit = true
	default:
		d.send(msg)
	}
}

// sizes are the windows in which every screen is looked at: each message in the
// driver's own, and in one of these in turn.
var sizes = [][2]int{{60, 20}, {80, 24}, {100, 30}, {120, 40}, {200, 60}}

func (d *driver) check() {
	d.t.Helper()
	d.checks++
	windows := [][2]int{{d.w, d.h}}
	if _, ok := d.m.(shell.Root); ok && d.checks%3 == 0 && d.w >= shell.MinWidth && d.h >= shell.MinHeight {
		windows = append(windows, sizes[d.checks%len(sizes)])
	}
	for _, size := range windows {
		if says := unfit(d.m, size); says != "" {
			d.t.Errorf("in a window of %d by %d %s", size[0], size[1], says)
		}
	}
	if r, ok := d.m.(shell.Root); ok {
		for _, untold := range r.Untold() {
			d.t.Errorf("in a window of %d by %d: %s\n%s", d.w, d.h, untold, d.m.View())
		}
	}
}

// unfit says of a model in a window of that size what is wrong with its frame: it has
// another size, words are lost unsaid, or it has no form in ASCII of the same size.
func unfit(m tea.Model, size [2]int) string {
	w, h := size[0], size[1]
	if r, ok := m.(shell.Root); ok {
		m, _ = r.Update(tea.WindowSizeMsg{Width: w, Height: h})
		if lost := m.(shell.Root).Lost(); len(lost) > 0 {
			return fmt.Sprintf("words are lost unsaid: %q\n%s", lost, m.View())
		}
	}
	view := m.View()
	lines := strings.Split(view, "\n")
	if len(lines) != h {
		return fmt.Sprintf("the frame has %d lines\n%s", len(lines), view)
	}
	for i, l := range lines {
		if says := unfitLine(l, w); says != "" {
			return fmt.Sprintf("line %d %s", i+1, says)
		}
	}
	return ""
}

// fit are the lines that were found to be as wide as they must be: most of a frame stands
// in the next one too.
var fit sync.Map

type fitLine struct {
	text  string
	width int
}

// unfitLine says what is wrong with a line of a frame that wide.
func unfitLine(l string, w int) string {
	if _, was := fit.Load(fitLine{l, w}); was {
		return ""
	}
	if n := ansi.StringWidth(l); n != w {
		return fmt.Sprintf("is %d wide: %q", n, l)
	}
	if in := widget.ASCII(l); ansi.StringWidth(in) != w || strings.Count(in, "?") > strings.Count(l, "?")+strange(l) {
		return fmt.Sprintf("in ASCII: %q is %q", l, in)
	}
	fit.Store(fitLine{l, w}, nil)
	return ""
}

// strange counts the cells of letters that no ASCII stands for, as a name may hold them.
func strange(l string) (n int) {
	for _, r := range l {
		if r >= 0x80 && (unicode.IsLetter(r) || unicode.IsMark(r)) {
			n += 2
		}
	}
	return n
}

func (d *driver) frame() string { return ansi.Strip(d.m.View()) }

var named = map[string]tea.KeyType{
	"enter": tea.KeyEnter, "esc": tea.KeyEsc, "up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft,
	"right": tea.KeyRight, "space": tea.KeySpace, "backspace": tea.KeyBackspace, "pgup": tea.KeyPgUp, "f1": tea.KeyF1, "f3": tea.KeyF3, "tab": tea.KeyTab, "pgdown": tea.KeyPgDown, "ctrl+c": tea.KeyCtrlC,
}

// keys presses keys one after another, as a hand does.
func (d *driver) keys(keys ...string) {
	d.t.Helper()
	for _, k := range keys {
		d.hits++
		*d.mono += 200 * time.Millisecond
		if typ, ok := named[k]; ok {
			msg := tea.KeyMsg{Type: typ}
			if typ == tea.KeySpace {
				msg.Runes = []rune(" ")
			}
			d.send(msg)
			*d.mono += 50 * time.Millisecond
			d.run(d.passes(shell.Quiet()))
			continue
		}
		d.run(d.passes(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)}))
		*d.mono += 500 * time.Millisecond
		d.send(shell.Quiet())
	}
}

// text types a text and Enter.
func (d *driver) text(s string) {
	d.t.Helper()
	for _, r := range s {
		d.keys(string(r))
	}
	d.keys("enter")
}

// scan is a scanner's burst and its Enter.
func (d *driver) scan(s string) {
	d.t.Helper()
	*d.mono += time.Second
	d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(s)})
	d.send(tea.KeyMsg{Type: tea.KeyEnter})
}

// pass lets time pass on both clocks, with its ticks.
func (d *driver) pass(by time.Duration) {
	d.t.Helper()
	*d.now = d.now.Add(by)
	d.send(shell.Tick())
}

func (d *driver) sees(texts ...string) {
	d.t.Helper()
	for _, text := range texts {
		if !strings.Contains(d.frame(), text) {
			d.t.Fatalf("%q is not on the screen:\n%s", text, d.frame())
		}
	}
}

func (d *driver) lacks(text string) {
	d.t.Helper()
	if strings.Contains(d.frame(), text) {
		d.t.Fatalf("%q is on the screen:\n%s", text, d.frame())
	}
}

// exampleAt is the worked example as it stands at now; written once for the
// moment that most tests begin at.
func exampleAt(t testing.TB, now fusion.Stamp) *memLog {
	t.Helper()
	if now != monday {
		return logOf(writeExample(t, now))
	}
	written.Do(func() { onMonday = writeExample(t, now) })
	return logOf(onMonday.Clone())
}

var (
	written  sync.Once
	onMonday *crew.Memory
)

func writeExample(t testing.TB, now fusion.Stamp) *crew.Memory {
	t.Helper()
	m := crew.NewMemory("KM")
	if err := example.Write(m, now); err != nil {
		t.Fatal(err)
	}
	return m
}

var errDisk = errors.New("no space left on device")

// chosenIs tells whether the cursor stands on a row that names what.
func chosenIs(frame, what string) bool {
	for _, line := range strings.Split(frame, "\n") {
		if row, ok := strings.CutPrefix(strings.TrimLeft(line, " "), "▸ "); ok && strings.Contains(row, what) {
			return true
		}
	}
	return false
}

// counted counts how often a log is read.
type counted struct {
	*memLog
	books int
}

func (l *counted) Book(ctx context.Context, site string) (*logbook.Book, error) {
	l.books++
	return l.memLog.Book(ctx, site)
}

// Another program may have written: the board reads the log anew every tenth tick,
// and no oftener.
func TestTheLogIsReadAnewNowAndThen(t *testing.T) {
	log := &counted{memLog: exampleAt(t, monday)}
	d := drive(t, log, monday, 80, 24)
	log.books = 0
	for range 40 {
		d.pass(time.Second)
	}
	if log.books != 4 {
		t.Errorf("read %d times in 40 ticks, want 4", log.books)
	}
}
