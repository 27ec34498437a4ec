package tui

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook/acts"
	"coolhold/logbook/plan"
	"coolhold/tui/shell"
)

// door is the board with one more key, which pushes the order.
type door struct{ board }

func (s door) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if key, ok := msg.(tea.KeyMsg); ok && string(key.Runes) == "o" {
		env.Do.Push(newOrder(env))
		return s
	}
	s.board.Update(env, msg)
	return s
}

func (s door) Keys(env shell.Env) shell.Keys {
	return append(s.board.Keys(env), key.NewBinding(key.WithKeys("o"), key.WithHelp("o", "order")))
}

func driveOrder(t *testing.T, log shell.Log, w, h int) *driver {
	t.Helper()
	now, mono := monday, time.Hour
	d := &driver{t: t, now: &now, mono: &mono, w: w, h: h}
	d.m = shell.New(shell.Program{
		Log: log, Theme: "plain", Clock: func() fusion.Stamp { return *d.now }, Mono: func() time.Duration { return *d.mono },
		NewID: func() string { d.ids++; return fmt.Sprintf("order-%d", d.ids) }, Bell: func() {},
		After: func(time.Duration, tea.Msg) tea.Cmd { return nil },
		Start: func(shell.Env) shell.Screen { return door{} },
	})
	d.send(tea.WindowSizeMsg{Width: w, Height: h})
	d.run(d.m.Init())
	d.keys("o")
	return d
}

// The example prepares a joint in 8 min, and its elbow cools longest.
func TestTheOrderOnScreen(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 40}} {
		d := driveOrder(t, exampleAt(t, monday), size[0], size[1])
		d.sees("The order proposed: 4 joints left", "last fusion 09:36, last hold 09:42", "no wait printed for elbow 63: see the bag")
		d.sees("▸ 1   E1", "09:00–09:10", "2   3B", "high", "Built on:", "times as printed for 8.5 °C, read 08:55")
		d.keys("down", "down", "down")
		if !chosenIs(d.frame(), "5B") {
			t.Errorf("5B is not chosen:\n%s", d.frame())
		}
		d.keys("up", "up", "up")
		if !chosenIs(d.frame(), "E1") {
			t.Errorf("E1 is not chosen:\n%s", d.frame())
		}
		d.keys("esc")
		d.sees("FG: KM-0008 failed.", "Outside the chambers")
	}
}

func TestTheOrderAsksForFigures(t *testing.T) {
	d := driveOrder(t, exampleAt(t, monday), 80, 24)
	d.sees("enough clamp sets assumed", "8 min a joint for", "preparation, the median of 9 welds of this site")
	d.keys("1")
	d.text("100")
	d.sees(`"100" is no whole number from 0 to 99 clamp sets`)
	d.text("1")
	d.sees("1 clamp set, as given", "▸ 1   3B", "09:04–09:13", "4   E1", "last hold 10:10", "pressure test: after the cut-outs: FG") // 2B keeps the one clamp until 09:03; the unit is at the chamber
	d.keys("2")
	d.text("20")
	d.sees("1 clamp set, as given", "20 min a joint for", "last hold 10:58")
	d.keys("2")
	d.text("0")
	d.sees("the median of 9 welds", "last hold 10:10")
	d.keys("1", "esc")
	d.sees("1 clamp set, as given")
	d.keys("esc")
	d.sees("Outside the chambers")
}

// The temperature, a move and the end of the day are typed; blank takes one back.
// Nothing of it is stored.
func TestTheOrderAsksForTheDay(t *testing.T) {
	log := exampleAt(t, monday)
	n := len(log.Entries)
	d := driveOrder(t, log, 80, 24)
	d.keys("3")
	d.text("400")
	d.sees(`"400" is not a temperature of the air on a site`)
	d.text("4,5")
	d.sees("times as printed for 4.5 °C, as given")
	d.keys("3")
	d.text("-20")
	d.sees("no time is printed for -20 °C", "without 3B, 4B, 5B, E1: no times")
	d.keys("3", "enter")
	d.sees("times as printed for 8.5 °C, read 08:55")

	d.keys("4")
	d.text("121")
	d.sees(`"121" is no whole number from 0 to 120 min`)
	d.text("30")
	d.sees("30 min a move between chambers or to what lies", "▸ 1   3B", "4   E1", "09:57–10:06")
	d.keys("4")
	d.text("0")
	d.sees("moving time not stated", "▸ 1   E1", "09:00–09:10")

	d.keys("5")
	d.text("nine")
	d.sees(`"nine" is not a time of day: write it as 18:00`)
	d.text("09:25")
	d.sees("to 09:25 (as given)", "10 Mar 08:48–08:57 cool 09:03", "10 Mar 08:57–09:06 cool 09:12")
	d.keys("5", "enter")
	d.sees("to 18:00 (our choice)")
	if len(log.Entries) != n {
		t.Error("something was stored")
	}
}

// What an order is built on is there in full, in a small window too: each
// assumption, what no unit can fuse, what is left in the van.
func TestAllThatTheOrderIsBuiltOn(t *testing.T) {
	log := exampleAt(t, monday)
	site := log.Memory.Book.Sites()[0]
	kit := "[[unit]]\nserial = \"CU-208\"\noutput_volts_high = 33.5\n[[stock]]\nfitting = \"coupler 40\"\ncount = 4\n" // invented
	if _, err := log.Append(t.Context(), acts.TakeKit(acts.Head{ID: "kit", At: monday, Site: site.ID, Shift: site.Shift, By: "Ona Brill"}, acts.File{Name: "kit.toml", Text: kit})); err != nil {
		t.Fatal(err)
	}
	for _, size := range [][2]int{{80, 24}, {60, 20}} {
		d := driveOrder(t, log, size[0], size[1])
		d.sees("no control un", "6 built on", "Esc back")
		d.keys("6")
		seen := ""
		for range 40 {
			seen += strings.Join(strings.Fields(d.frame()), " ") + "\n"
			d.keys("down")
		}
		for _, want := range []string{
			"What the order is built on", "moving time not stated", "(our choice)", "hands at each unit prepare", "low row before high row", "not known, so held against none",
			"without 3B, 4B, 5B: no control unit can fuse coupler 40", "6 V short", "Fittings for the open joints", "coupler 40: 3 needed, 4 in the van", "elbow 63: 1 needed, not among what is in",
		} {
			if !strings.Contains(seen, want) {
				t.Errorf("%v: %q was never on the screen:\n%s", size, want, d.frame())
			}
		}
		d.keys("esc")
		d.sees("The order proposed")
	}
}

func TestTheOrderBeginsAWalk(t *testing.T) {
	log := exampleAt(t, monday)
	d := driveOrder(t, log, 80, 24)
	d.keys("enter")
	d.sees("New weld in E1", "who welds")
	d.keys("enter")
	d.sees("step 1 of 9: fitting")
	d.keys("esc")
	d.sees("KM-0011  in the walk")
	d.keys("o")
	d.sees("▸ 1   E1", "KM-0011", "2   3B")
	d.keys("enter")
	d.sees("step 1 of 9: fitting")
}

// Joints without times say why; without a shift no walk begins; a site that is
// done says so.
func TestTheOrderAtItsEdges(t *testing.T) {
	log := exampleAt(t, monday)
	site := log.Memory.Book.Sites()[0]
	n := 0
	save := func(act func(acts.Head) acts.Act) {
		t.Helper()
		n++
		h := acts.Head{ID: fmt.Sprint("edge ", n), At: monday, Site: site.ID, Shift: site.Shift, By: "Ona Brill"}
		if _, err := log.Append(t.Context(), act(h)); err != nil {
			t.Fatal(err)
		}
	}
	for _, label := range []string{"3B", "4B", "5B"} {
		save(func(h acts.Head) acts.Act { return acts.StrikeJoint(h, label, "not needed") })
	}
	save(func(h acts.Head) acts.Act {
		return acts.AddJoint(h, plan.Joint{Label: "E2", Fitting: "tee 63"}, "forgotten")
	})
	save(func(h acts.Head) acts.Act { return acts.CloseShift(h) })
	d := driveOrder(t, log, 80, 24)
	d.sees("2   E2", "its fitting is in no table", "without E2: no times", "1 control unit assumed: no shift is open")
	d.keys("enter")
	d.sees("start a shift first: key 3", "The order proposed")
	d.keys("esc")
	d.sees("Last fusion 09:10, last hold 09:22; no time known for E2, FG.")
	save(func(h acts.Head) acts.Act { return acts.StrikeJoint(h, "E1", "not needed") })
	save(func(h acts.Head) acts.Act { return acts.StrikeJoint(h, "E2", "not needed") })
	d = driveOrder(t, log, 80, 24)
	d.sees("No joint is open. 1 to cut out.", "If all goes on so: last hold 09:04")
	d.keys("down", "enter")
	d.sees("No joint is open.")
}

// The board says the forecast in a line of its own where it fits.
func TestTheBoardForecasts(t *testing.T) {
	const line = "Last fusion 09:36, last hold 09:42; no time known for FG."
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.sees(line, "4 of 13 joints open. 1 to cut out. Last hold ends 09:04.", "Pressure test: after the cut-outs: FG.")
	d = drive(t, exampleAt(t, monday), monday, 60, 20)
	d.sees("joints open. 1 to cut out. Last hold ends 09:04.", line)
}
