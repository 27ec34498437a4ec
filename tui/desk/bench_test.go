package desk

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"coolhold/cmd/coolhold/example"
	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/tui/shell"
)

// A bench plays one screen over the worked example, on a held clock, under a
// blank screen. After every message the frame must have the window's size.
type bench struct {
	t       *testing.T
	log     *crew.Store
	outside shell.Outside
	open    func(shell.Env) shell.Screen
	m       tea.Model
	now     fusion.Stamp
	mono    time.Duration
	w, h    int
	ids     int
	slow    bool      // the disk: what is stored waits for catchesUp
	waits   []tea.Cmd // meanwhile
}

var benchMonday = fusion.Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Offset: 3600, Boot: 5 * time.Hour, BootID: "boot-1", Machine: "laptop"}

func onBench(t *testing.T) *bench {
	t.Helper()
	b := &bench{t: t, log: &crew.Store{Memory: crew.NewMemory("KM")}, now: benchMonday}
	if err := example.Write(b.log, benchMonday); err != nil {
		t.Fatal(err)
	}
	return b
}

// head is the head of an act by somebody else.
func (b *bench) head(by string) acts.Head {
	b.ids++
	return acts.Head{ID: fmt.Sprintf("other-%d", b.ids), At: b.now, By: by, Site: b.log.Memory.Book.Sites()[0].ID}
}

// does writes an act into the log; acts before show are seen by the screen.
func (b *bench) does(act acts.Act) {
	b.t.Helper()
	if _, err := b.log.Append(b.t.Context(), act); err != nil {
		b.t.Fatal(err)
	}
}

func (b *bench) site() logbook.Site { return b.log.Memory.Book.Sites()[0] }

func (b *bench) joint(label string) logbook.Joint {
	b.t.Helper()
	j, ok := b.log.Memory.Book.Joint(b.site().ID, label)
	if !ok {
		b.t.Fatalf("no joint %s", label)
	}
	return j
}

// show opens the screen in a window.
func (b *bench) show(w, h int, open func(shell.Env) shell.Screen) {
	b.t.Helper()
	b.open, b.w, b.h = open, w, h
	b.m = shell.New(shell.Program{
		Log: b.log, Theme: "plain", Clock: func() fusion.Stamp { return b.now }, Mono: func() time.Duration { return b.mono },
		NewID: func() string { b.ids++; return fmt.Sprintf("bench-%d", b.ids) },
		After: func(time.Duration, tea.Msg) tea.Cmd { return nil }, Bell: func() {}, Outside: b.outside,
		Start:   func(shell.Env) shell.Screen { return benchBelow{open} },
		Waiting: func(shell.Env) shell.Screen { return benchBelow{open} },
	})
	b.send(tea.WindowSizeMsg{Width: w, Height: h})
	b.run(b.m.Init())
	b.keys("o")
}

// benchBelow is what lies under the screen that is tried; o opens that one.
type benchBelow struct {
	open func(shell.Env) shell.Screen
}

func (s benchBelow) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if key, ok := msg.(tea.KeyMsg); ok && string(key.Runes) == "o" {
		env.Do.Push(s.open(env))
	}
	return s
}
func (s benchBelow) View(shell.Env) string { return "below" }
func (s benchBelow) Keys(shell.Env) shell.Keys {
	return shell.Keys{key.NewBinding(key.WithKeys("o"), key.WithHelp("o", "open"))}
}
func (s benchBelow) Takes(shell.Env) shell.Taking { return shell.NoScan }

func (b *bench) send(msg tea.Msg) {
	b.t.Helper()
	m, cmd := b.m.Update(msg)
	b.m = m
	lines := strings.Split(b.m.View(), "\n")
	if len(lines) != b.h {
		b.t.Fatalf("the frame has %d lines in a window of %d\n%s", len(lines), b.h, b.m.View())
	}
	for i, l := range lines {
		if n := ansi.StringWidth(l); n != b.w {
			b.t.Fatalf("line %d is %d wide in a window of %d: %q", i+1, n, b.w, l)
		}
	}
	if lost := m.(shell.Root).Lost(); len(lost) > 0 {
		b.t.Errorf("words are lost unsaid in a window of %d by %d: %q\n%s", b.w, b.h, lost, b.m.View())
	}
	b.run(cmd)
}

func (b *bench) run(cmd tea.Cmd) {
	b.t.Helper()
	if cmd == nil {
		return
	}
	if b.slow {
		b.waits = append(b.waits, cmd)
		return
	}
	switch msg := cmd().(type) {
	case nil:
	case tea.BatchMsg:
		for _, c := range msg {
			b.run(c)
		}
	default:
		b.send(msg)
	}
}

// catchesUp is the disk that is done with what waited.
func (b *bench) catchesUp() {
	b.t.Helper()
	waits := b.waits
	b.slow, b.waits = false, nil
	for _, cmd := range waits {
		b.run(cmd)
	}
}

var benchKeys = map[string]tea.KeyType{
	"enter": tea.KeyEnter, "esc": tea.KeyEsc, "up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft,
	"pgup": tea.KeyPgUp, "pgdown": tea.KeyPgDown,
}

func (b *bench) keys(keys ...string) {
	b.t.Helper()
	for _, k := range keys {
		b.mono += 200 * time.Millisecond
		if typ, ok := benchKeys[k]; ok {
			b.send(tea.KeyMsg{Type: typ})
			continue
		}
		b.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)})
		b.mono += 500 * time.Millisecond
		b.send(shell.Quiet())
	}
}

func (b *bench) text(s string) {
	b.t.Helper()
	for _, r := range s {
		b.keys(string(r))
	}
	b.keys("enter")
}

// pass lets time pass, with ticks enough that the log is read again.
func (b *bench) pass(by time.Duration) {
	b.t.Helper()
	b.now = b.now.Add(by)
	for range 10 {
		b.send(shell.Tick())
	}
}

func (b *bench) frame() string { return ansi.Strip(b.m.View()) }

func (b *bench) sees(texts ...string) {
	b.t.Helper()
	flat := strings.Join(strings.Fields(b.frame()), " ") // a text may be wrapped
	for _, text := range texts {
		if !strings.Contains(flat, text) {
			b.t.Fatalf("%q is not on the screen:\n%s", text, b.frame())
		}
	}
}

func (b *bench) lacks(texts ...string) {
	b.t.Helper()
	flat := strings.Join(strings.Fields(b.frame()), " ")
	for _, text := range texts {
		if strings.Contains(flat, text) {
			b.t.Fatalf("%q is on the screen:\n%s", text, b.frame())
		}
	}
}

// whole is all of a screen as plain text, read in a window high enough.
func (b *bench) whole(open func(shell.Env) shell.Screen) string {
	b.t.Helper()
	b.show(100, 400, open)
	return b.frame()
}

// env is what the screen is given at this moment, for its pure parts.
func (b *bench) env() shell.Env {
	site := b.site()
	return shell.Env{
		Now: b.now, W: 80, H: 20, Style: shell.NewStyle("plain"), Book: b.log.Memory.Book, Site: site, Do: &shell.Do{},
		Audit: audit.Run(b.log.Memory.Book, site.ID, b.now, b.now), Running: ahead.RunningOn(b.log.Memory.Book, site.ID, b.now, b.now),
	}
}

// last is the body of the newest entry.
func (b *bench) last() logbook.Body { return b.log.Newest().Open() }

// fuse enters a weld at a joint that was made without the laptop, so many
// minutes ago, and accepts by name that it was; without a release it is held.
func (b *bench) fuse(joint string, ago int, released bool) string {
	b.t.Helper()
	started, volts, ohms := b.now.Local().Add(-time.Duration(ago)*time.Minute), 39.5, 1.22
	seconds := map[string]int{"elbow 63": 89, "coupler 63": 80, "coupler 40": 40}[b.joint(joint).Fitting] // the example's table
	l := acts.LateWeld{
		Joint: joint, Operator: "Ona Brill", Unit: "CU-208", Corrects: logbook.No, Mode: logbook.ModeKeyed,
		SecondsShown: seconds, VoltsShown: &volts, Ohms: &ohms, Started: started, Ended: started.Add(time.Duration(seconds) * time.Second),
		Outcome: logbook.Completed, Run: &seconds, HoldStated: true, Why: "laptop in the van",
		Look: logbook.Look{When: logbook.LookHot, Indicators: []string{logbook.Up}, Melt: "none", Wire: "none", Marks: "inplace", Straight: "yes"},
		Answers: []logbook.Answer{
			{Item: logbook.ItemFitting, V: b.joint(joint).Fitting}, {Item: logbook.ItemBatch, V: "W-63"},
			{Item: logbook.ItemPipeBatch, V: "coil 1"}, {Item: logbook.ItemMethod, V: logbook.RotaryTool},
		},
	}
	for _, item := range logbook.PrepItems {
		l.Answers = append(l.Answers, logbook.Answer{Item: item.Item, V: logbook.Done})
	}
	if released {
		l.Released = started.Add(20 * time.Minute)
	}
	l.Ambient, _ = fusion.ParseCelsius("9")
	h := b.head("Ona Brill")
	h.Shift = b.site().Shift
	b.does(acts.EnterLater(h, l))
	id := b.joint(joint).Stands
	for _, f := range b.env().Audit.OfWeld(id) {
		if !f.Work && f.Severity == audit.Query {
			b.does(acts.Accept(b.head("Hedda Roan"), b.now, f.Judged(), "seen"))
		}
	}
	return id
}
