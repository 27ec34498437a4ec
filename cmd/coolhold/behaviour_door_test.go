package main

import (
	"bytes"
	"io"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/tui"
)

// A door is where the scripts of behaviour go in and come out: verbs, keys and
// frames, on a clock that stands still until it is moved. This file alone knows
// how the program is built inside; when that changes, it changes, and no script
// and no golden with it.
type door struct {
	t   *testing.T
	dir string // of its own: the log, the key, what a person typed or took a photo of
	log string
	now fusion.Stamp
	rnd *rand.ChaCha8
}

// newDoor stands before a log that is not made yet. at is local time, an hour
// before UTC.
func newDoor(t *testing.T, at string) *door {
	t.Helper()
	dir := t.TempDir()
	d := &door{t: t, dir: dir, log: filepath.Join(dir, "site.coolhold"), rnd: rand.NewChaCha8([32]byte{})}
	d.now = fusion.Stamp{Wall: localTime(t, at), Offset: 3600, Boot: time.Hour, BootID: "boot-1", Machine: "laptop"}
	return d
}

func localTime(t *testing.T, at string) time.Time {
	t.Helper()
	wall, err := time.ParseInLocation("2006-01-02 15:04", at, time.FixedZone("", 3600))
	if err != nil {
		t.Fatal(err)
	}
	return wall.UTC()
}

func (d *door) today() string { return d.now.Local().Format(time.DateOnly) }

// is moves the clock on to a local time; the machine stays on.
func (d *door) is(at string) {
	d.t.Helper()
	by := localTime(d.t, at).Sub(d.now.Wall)
	if by < 0 {
		d.t.Fatalf("the clock would go back to %s", at)
	}
	d.now = d.now.Add(by)
}

// restarts switches the machine off for a while.
func (d *door) restarts(away time.Duration) {
	d.now = fusion.Stamp{Wall: d.now.Wall.Add(away), Offset: d.now.Offset, Boot: 40 * time.Second, BootID: d.now.BootID + "+", Machine: d.now.Machine}
}

func (d *door) edges(out, err io.Writer) edges {
	env := map[string]string{"COOLHOLD_LOG": d.log, "COOLHOLD_KEY": filepath.Join(d.dir, "seal.key")}
	return edges{
		in: bytes.NewReader(nil), out: out, err: err, rand: d.rnd,
		now: func() fusion.Stamp { return d.now }, getenv: func(name string) string { return env[name] },
	}
}

// verb runs a verb and gives what it said, refusals too, and its exit code.
func (d *door) verb(args ...string) (said string, code int) {
	var out bytes.Buffer
	code = run(args, d.edges(&out, &out))
	return out.String(), code
}

// A hand is at the keys of a board. Nothing sleeps: what the screens want done
// is done before the next key.
type hand struct {
	*door
	model tea.Model
	mono  time.Duration
	tick  tea.Msg // the one that the screens last asked for
}

// board opens the board on the log. It is left by turning away from it: the log
// is open only while something is stored.
func (d *door) board() *hand { d.t.Helper(); return d.boardIn("plain") }

// boardIn is board in another theme.
func (d *door) boardIn(theme string) *hand {
	d.t.Helper()
	e := d.edges(io.Discard, io.Discard)
	l, err := openLog(d.log)
	if err != nil {
		d.t.Fatal(err)
	}
	b := &hand{door: d}
	o := screens(e, d.log, "", theme)
	o.Log, o.After, o.Sixteen = l, b.after, false
	o.Mono = func() time.Duration { return b.mono }
	b.model = tui.New(o)
	b.resize(100, 64)
	b.run(b.model.Init())
	return b
}

// after gives at once what waits for quiet after a key, and keeps the tick.
func (b *hand) after(d time.Duration, msg tea.Msg) tea.Cmd {
	if d >= time.Second {
		b.tick = msg
		return nil
	}
	return func() tea.Msg { b.mono += d; return msg }
}

func (b *hand) resize(w, h int) {
	b.t.Helper()
	b.send(tea.WindowSizeMsg{Width: w, Height: h})
}

func (b *hand) send(msg tea.Msg) {
	b.t.Helper()
	model, cmd := b.model.Update(msg)
	b.model = model
	b.run(cmd)
}

func (b *hand) run(cmd tea.Cmd) {
	b.t.Helper()
	if cmd == nil {
		return
	}
	switch msg := cmd().(type) {
	case nil, tea.QuitMsg:
	case tea.BatchMsg:
		for _, c := range msg {
			b.run(c)
		}
	default:
		b.send(msg)
	}
}

var keysByName = map[string]tea.KeyType{
	"enter": tea.KeyEnter, "esc": tea.KeyEsc, "up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft, "right": tea.KeyRight, "pgdown": tea.KeyPgDown, "backspace": tea.KeyBackspace, "space": tea.KeySpace,
}

// press strikes keys one after another, as a hand does.
func (b *hand) press(keys ...string) {
	b.t.Helper()
	for _, k := range keys {
		b.mono += 200 * time.Millisecond
		if named, ok := keysByName[k]; ok {
			msg := tea.KeyMsg{Type: named}
			if named == tea.KeySpace {
				msg.Runes = []rune(" ")
			}
			b.send(msg)
			continue
		}
		b.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)})
	}
}

// scan is a scanner's burst.
func (b *hand) scan(code string) {
	b.t.Helper()
	b.mono += time.Second
	b.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(code)})
	b.send(tea.KeyMsg{Type: tea.KeyEnter})
}

// passes lets time pass with the board open.
func (b *hand) passes(d time.Duration) {
	b.t.Helper()
	b.now = b.now.Add(d)
	b.send(b.tick)
}

func (b *hand) frame() string { return ansi.Strip(b.model.View()) }

// recorded are the values of every weld, by weld and name: as they stand, and as
// they were first recorded.
func (d *door) recorded() (now, first map[string]map[string]string) {
	d.t.Helper()
	r, err := readLog(d.edges(io.Discard, io.Discard), "", "", "")
	if err != nil {
		d.t.Fatal(err)
	}
	now, first = map[string]map[string]string{}, map[string]map[string]string{}
	for _, w := range r.book.Welds(r.book.Sites()[0].ID) {
		all := w.AsRecorded()
		now[w.ID], first[w.ID] = valuesOf(w), valuesOf(all[len(all)-1])
	}
	return now, first
}

func valuesOf(w logbook.Weld) map[string]string {
	values := map[string]string{}
	for _, f := range logbook.Fields(w) {
		values[f.Name] = f.Shown(w)
	}
	return values
}
