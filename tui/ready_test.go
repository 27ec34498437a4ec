package tui

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook/acts"
	"coolhold/logbook/kit"
	"coolhold/tui/shell"
)

// opening is a first screen with readiness on top of it after any key.
type opening struct{}

func (s opening) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if _, ok := msg.(tea.KeyMsg); ok {
		env.Do.Push(newReady(env))
	}
	return s
}
func (s opening) View(shell.Env) string        { return "below" }
func (s opening) Keys(shell.Env) shell.Keys    { return shell.Keys{shell.On("Enter", "open")} }
func (s opening) Takes(shell.Env) shell.Taking { return shell.NoScan }
func kitFrom(t *testing.T, pairs ...string) acts.File {
	t.Helper()
	f := fileOf(t, "kits/brookside.toml")
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(f.Text, pairs[i]) {
			t.Fatalf("%q is not in the kit", pairs[i])
		}
		f.Text = strings.ReplaceAll(f.Text, pairs[i], pairs[i+1])
	}
	return f
}

// driveReady opens readiness on a log; kits are the files that can be taken.
func driveReady(t *testing.T, log *memLog, w, h int, kits map[string]acts.File) *driver {
	t.Helper()
	now, mono := monday, time.Hour
	d := &driver{t: t, now: &now, mono: &mono, w: w, h: h}
	d.m = shell.New(shell.Program{
		Log: log, Theme: "plain",
		Clock: func() fusion.Stamp { return *d.now }, Mono: func() time.Duration { return *d.mono },
		NewID: func() string { d.ids++; return "id-" + string(rune('a'+d.ids)) },
		After: func(time.Duration, tea.Msg) tea.Cmd { return nil },
		Bell:  func() {},
		Start: func(shell.Env) shell.Screen { return opening{} },
		Outside: shell.Outside{ReadInput: func(what, name string) (shell.Input, error) {
			f, ok := kits[name]
			if !ok {
				return shell.Input{}, errors.New("cannot read " + name)
			}
			_, err := kit.Parse([]byte(f.Text))
			return shell.Input{File: f, Says: "a " + what}, err
		}},
	})
	d.send(tea.WindowSizeMsg{Width: w, Height: h})
	d.run(d.m.Init())
	d.keys("enter")
	return d
}

func hillfoot(t *testing.T) *memLog {
	t.Helper()
	c := ona(t)
	c.Opens(fileOf(t, "plans/hillfoot.toml").Text, fileOf(t, "tables/valley.toml").Text)
	return logOf(c.Memory)
}

// What is short stands first; a kit and the day's temperatures change it.
func TestReadyScreen(t *testing.T) {
	log := hillfoot(t)
	d := driveReady(t, log, 80, 24, map[string]acts.File{"van.toml": kitFrom(t, "count   = 2", "count   = 1")})
	d.sees("Readiness: 3 open, 5 not known.", "open: reducer 40x32: its table", "not known: today's ambient temperature")

	d.keys("1")
	d.sees("Ambient temperatures expected")
	d.text("-12")
	d.text("4,5")
	d.sees("3 short, 3 open, 4 not known.", "short: reducer 40x32: -12…4.5 °C is not all in its bands, -10…40 °C: 2 °C", "short at the cold end", "assumed: the range that you expect")

	d.keys("2", "2")
	d.text("van.toml")
	d.sees("The kit kits/brookside.toml", "No fault found: a kit.")
	d.keys("enter") // nobody has said who is at the laptop
	d.sees("type it first")
	d.text("Tam Velding")
	d.sees("4 short, 3 open, 1 not known, 4 no shortage found,", "short: coupler 63: 2 needed, 1 in the van: 1 short", "by: the kit as declared by Tam Velding on 2026-03-09; a")
	if e := log.Newest(); e.Kind != "kit taken" || e.By != "Tam Velding" || e.Site == "" {
		t.Errorf("the last entry is %+v", e)
	}

	d.keys("1")
	d.text("5")
	d.text("14")
	d.sees("1 short, 3 open, 1 not known,", "short: coupler 63: 2 needed")
	d.keys("esc")
	d.sees("below")
}

// A turned range and a kit that cannot be taken are said, and change nothing.
func TestReadyRefusals(t *testing.T) {
	log := hillfoot(t)
	bad := acts.File{Name: "bad.toml", Text: "[[unit]]\ninput_kva = 3500\n"}
	d := driveReady(t, log, 80, 24, map[string]acts.File{"bad.toml": bad})
	d.keys("1")
	d.text("14")
	d.text("5")
	d.sees("14 to 5 °C is not a range of temperatures: the colder end comes first", "3 open, 5 not known.")
	d.keys("1")
	d.text("400")
	d.sees("is not a temperature of the air on a site")
	d.keys("esc")
	for _, file := range []struct{ name, says string }{{"none.toml", "cannot read none.toml"}, {"bad.toml", "unit 1: serial is missing"}} {
		d.keys("2", "2")
		d.text(file.name)
		d.sees(file.says, file.name) // what was typed is still there
		d.keys("esc")
		d.sees("3 open, 5 not known.")
	}
	if n := len(log.Entries); log.Entries[n-1].Kind == "kit taken" {
		t.Error("a faulty kit was taken")
	}
}

// Every line can be reached, in a small window too, and scrolling stops at both
// ends.
func TestReadyScrolls(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 50}} {
		d := driveReady(t, hillfoot(t), size[0], size[1], nil)
		first := d.frame()
		seen := first
		for range 40 {
			d.keys("down")
			seen += d.frame()
		}
		last := d.frame()
		for _, want := range []string{"who welds and with which", "2 × coupler 63", "a reserve is yours"} {
			if !strings.Contains(seen, want) {
				t.Errorf("%v: %q was never on the screen:\n%s", size, want, last)
			}
		}
		d.lacks("more: ↓")
		d.keys("pgup", "pgup", "pgup", "pgup")
		if d.frame() != first {
			t.Errorf("%v: back at the top\n%s\nwas\n%s", size, d.frame(), first)
		}
		d.keys("pgdown", "pgdown", "pgdown", "pgdown", "pgdown")
		if d.frame() != last {
			t.Errorf("%v: at the end\n%s\nwas\n%s", size, d.frame(), last)
		}
	}
}

func TestReadyWithoutASite(t *testing.T) {
	d := driveReady(t, newMemLog(), 80, 24, nil)
	d.sees("Nothing to compare: open a site")
	d.keys("1", "2", "down", "pgdown", "up")
	d.sees("Nothing to compare: open a site")
}

// Where a kit cannot be taken that is said.
func TestAKitCannotBeTakenHere(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.keys("6", "1", "2", "2")
	d.sees("▸ kit file")
	d.text("van.toml")
	d.sees("reading files is not available here", "van.toml")
	d.keys("down")
	d.sees("choosing from a folder is not available here")
}
