package tui

import (
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/bubbletea"
	"pgregory.net/rapid"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/tui/shell"
)

// wordy is a site on which every name is as long as it may be: its shift is open,
// a joint is done, one is fused and held, one stands in its walk.
func wordy(t testing.TB) *memLog {
	t.Helper()
	long := func(word string, n int) string { return strings.Repeat(word+" ", n)[:n-1] + "." }
	plan, table := fileOf(t, "plans/hillfoot.toml"), fileOf(t, "tables/valley.toml")
	for _, f := range []*acts.File{&plan, &table} {
		for _, name := range []string{"reducer 40x32", "coupler 63", "elbow 63"} {
			f.Text = strings.ReplaceAll(f.Text, `"`+name+`"`, `"`+long(name, 40)+`"`)
		}
	}
	for was, is := range map[string]string{
		`"Hillfoot barn (invented)"`: `"` + long("Hillfoot", 40) + `"`, `name       = "A"`: `name       = "Uplawn"`, `"ground level"`: `"` + long("under the beech", 200) + `"`,
		`"header from ground, bend before the plant room wall"`: `"` + long("bend before the wall", 200) + `"`, "length_m = 200\n": "length_m = 200\ntape = \"" + strings.Repeat("greenish-", 2) + "a\"\n",
	} {
		if !strings.Contains(plan.Text, was) {
			t.Fatalf("%s is not in the plan", was)
		}
		plan.Text = strings.ReplaceAll(plan.Text, was, is)
	}
	c := ona(t)
	c.H.At, c.H.By = monday.Add(-time.Hour), long("Ona Brill", 60)
	c.Opens(plan.Text, table.Text)
	c.Do(acts.ReadBack(c.H, logbook.Hash(table.Text)))
	c.Do(acts.StartShift(c.H, logbook.ShiftStarted{
		Day:       "2026-03-09",
		Operators: []logbook.Operator{{Name: c.H.By, Mark: "OB"}, {Name: long("Tam Velding", 60), Mark: "TV"}, {Name: long("Ida Nord", 60), Mark: "IN"}, {Name: long("Bo Hale", 60), Mark: "BH"}},
		Units:     []logbook.Unit{{Serial: long("CU-208", 40), Corrects: logbook.NotKnown}, {Serial: long("CU-77", 40), Corrects: logbook.No}, {Serial: long("CU-9", 40), Corrects: logbook.No}},
		Weather:   logbook.Weather{Sky: logbook.Skies.Codes()[len(logbook.Skies.List)-1], Shelter: logbook.Shelters.Codes()[len(logbook.Shelters.List)-1]},
		Generator: long("generator", 40),
	}))
	log := logOf(c.Memory)
	fillLegs(t, log, 2)
	for _, w := range c.Book.Welds(c.H.Site) {
		c.Do(acts.NoteOn(c.H, w.ID, long("a note", 200)))
	}
	log.happens(t, logbook.PressureLost, "", 2)
	return log
}

// With names as long as they may be, and a hold that runs, the figures to key stand
// whole in the smallest window.
func TestTheFiguresToKeyAreNotLost(t *testing.T) {
	log := wordy(t)
	for _, b := range []logbook.Body{
		logbook.WeldBegun{Operator: "Ona Brill"}, logbook.SettingsKeyed{SecondsShown: 80, CoolingMin: 10},
		logbook.FusionStarted{}, logbook.FusionEnded{Outcome: logbook.Completed},
	} {
		log.does(t, func(h acts.Head) acts.Act { return crew.Raw(h, "TG", "KM-0003", b) })
	}
	d := drive(t, log, monday, 60, 20)
	d.keys("1", "enter", "2", "enter", "enter", "3", "a", "enter", "1", "a", "enter", "a", "enter", "0", "1")
	d.text("8.5")
	d.keys("1", "1")
	d.sees("TG hold 11:20", "Key into the unit", "     ##    ", "Enter: it is in the unit")
}

// Whatever is opened, with names as long as they may be, no word is lost unsaid:
// the driver looks after every message.
func TestNoWordIsLostUnsaid(t *testing.T) {
	keys := []string{
		"enter", "enter", "esc", "up", "down", "left", "right", "pgdown",
		"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "a",
	}
	rapid.Check(t, func(rt *rapid.T) {
		size := rapid.SampledFrom([][2]int{{80, 24}, {60, 20}}).Draw(rt, "size")
		log := wordy(t)
		d := driveWith(t, log, monday, size[0], size[1], func(o *shell.Outside) {
			o.ReadInput = func(string, string) (shell.Input, error) { return shell.Input{}, errDisk }
		})
		var pressed []string
		for range rapid.IntRange(1, 25).Draw(rt, "keys") {
			if d.quit {
				return
			}
			k := rapid.SampledFrom(append(keys, "tick", "words")).Draw(rt, "key")
			pressed = append(pressed, k)
			switch k {
			case "tick":
				d.pass(time.Duration(rapid.IntRange(1, 200).Draw(rt, "s")) * time.Second)
			case "words":
				d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("w")})
				d.send(shell.Quiet())
			default:
				d.keys(k)
			}
			if t.Failed() {
				rt.Fatalf("after %q", pressed)
			}
		}
	})
}

// One weld with all that can go wrong on its way, its release, the end-of-shift check and
// the foreman's look at it, in the smallest window and the usual one.
func TestAWordyWeldFromEndToEnd(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {60, 20}} {
		log := wordy(t)
		d := drive(t, log, monday, size[0], size[1])
		d.keys("1")
		d.sees("who welds")
		d.keys("1", "1")
		d.sees("step 1 of 9: fitting")
		d.scan(code24)
		d.keys("1")
		d.text(strings.Repeat("W-6312/", 9))
		d.keys("1")
		d.text(strings.Repeat("coil 5519/", 7))
		d.text(strings.Repeat("stub 071/", 8))
		for range 3 {
			if strings.Contains(d.frame(), "port this leg goes to") {
				d.keys("3") // whatever it says of it
			}
		}
		d.sees("step 2 of 9: preparation")
		d.keys("2", "3", "1")
		d.text(strings.Repeat("no room for it ", 6))
		d.keys("esc", "1")
		d.sees("step 2 of 9: preparation")
		d.keys("0", "1")
		d.sees("step 3 of 9: ambient")
		d.text("79")
		d.sees("STOPPED")
		d.text("9.5")
		d.sees("this bag prints")
		d.keys("1")
		d.sees("step 4 of 9: settings", "Whether this unit corrects", "a banded time would be corrected")
		d.keys("1")
		d.sees("Key into the unit")
		d.keys("enter")
		d.text("98")
		d.keys("1")
		d.sees("STOPPED")
		d.text("40")
		d.keys("1")
		d.sees("step 5 of 9: resistance")
		d.text("2.9")
		d.sees("step 6 of 9: start")
		d.keys("3")
		d.text(strings.Repeat("error 17 ", 8))
		d.sees("The unit refused")
		d.text("2.9")
		d.keys("1")
		d.sees("Fusing: ")
		d.pass(time.Minute)
		d.keys("1")
		d.text("40")
		d.sees("Look, do not touch")
		d.keys("1", "2", "2", "2", "3", "2", "4", "2", "0", "1")
		d.sees("Write on the pipe")
		d.keys("esc")
		d.pass(time.Hour)
		d.keys("right", "1")
		d.keys("0", "1", "esc")
		d.keys("9")
		d.choose("KM-0003")
		d.keys("enter")
		for range 12 {
			d.keys("pgdown")
		}
		d.keys("5", "3", "enter")
		d.sees("right value of")
		d.keys("esc", "esc", "7", "1")
		d.sees("What happened later")
		d.keys("esc", "esc", "esc", "5", "enter")
		for range 9 {
			d.keys("pgdown", "1")
		}
		d.keys("esc", "4", "enter", "1", "esc", "esc", "esc", "esc", "esc")
	}
}
