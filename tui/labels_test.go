package tui

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/tui/shell"
)

// driveLabels opens the labels of a log; write makes the sheet.
func driveLabels(t *testing.T, log shell.Log, w, h int, write func(shell.Log, string) (string, error)) *driver {
	t.Helper()
	d := driveWith(t, log, monday, w, h, func(o *shell.Outside) { o.WriteLabels = write })
	d.open(newLabels(shell.Env{}))
	return d
}

// Every label can be reached, in a small window too, and scrolling stops at both
// ends; a hold stands there while it runs.
func TestLabelsOnScreen(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}, {120, 50}} {
		d := driveLabels(t, exampleAt(t, monday), size[0], size[1], nil)
		d.sees("What to write on the pipe", "joint    1A  KM-0001  8 Mar 2026  OB", "leg      1A  port 1  FG rail  red tape")
		first := d.frame()
		seen := first
		for range 30 {
			d.keys("down")
			seen += d.frame()
		}
		for _, want := range []string{
			"joint    2B  KM-0010  9 Mar 2026  OB  cool until 09:04", "joint    3B  weld ______  date ______  by ______",
			"header   FROM GROUND (FG)  chamber A", "header   TO GROUND (TG)  chamber A", "joint    E1  weld ______",
		} {
			if !strings.Contains(seen, want) {
				t.Errorf("%v: %q was never on the screen:\n%s", size, want, d.frame())
			}
		}
		d.lacks("more: ↓")
		last := d.frame()
		d.keys("pgup", "pgup", "pgup", "up")
		if d.frame() != first {
			t.Errorf("%v: back at the top\n%s\nwas\n%s", size, d.frame(), first)
		}
		d.keys("pgdown", "pgdown", "pgdown")
		if d.frame() != last {
			t.Errorf("%v: at the end\n%s\nwas\n%s", size, d.frame(), last)
		}
		d.keys("esc")
		d.lacks("What to write on the pipe")
	}
}

func TestLabelsFollowTheHold(t *testing.T) {
	d := driveLabels(t, exampleAt(t, monday), 120, 50, nil)
	d.sees("OB  cool until 09:04")
	d.pass(5 * time.Minute)
	d.lacks("cool until 09:04")
	d.sees("joint    2B  KM-0010  9 Mar 2026  OB")
}

func TestTheSheetOfLabelsByOneKey(t *testing.T) {
	log := exampleAt(t, monday)
	var of []string
	d := driveLabels(t, log, 80, 24, func(l shell.Log, site string) (string, error) {
		of = append(of, l.Path()+" "+site)
		if len(of) > 1 {
			return "", errDisk
		}
		return "labels: /home/ada/Documents/labels.pdf\x1b[2J", nil
	})
	d.sees("1 write the sheet to print")
	d.keys("1")
	d.sees("labels: /home/ada/Documents/labels.pdf·[2J", "What to write on the pipe")
	d.keys("1")
	d.sees("no space left on device")
	if want := "memory " + log.Memory.Book.Sites()[0].ID; len(of) != 2 || of[0] != want {
		t.Errorf("written of %q, want %q", of, want)
	}
	d = driveLabels(t, log, 80, 24, nil)
	d.keys("1")
	d.sees("writing the labels is not available here")
}

func TestLabelsWithoutASite(t *testing.T) {
	d := driveLabels(t, newMemLog(), 60, 20, func(shell.Log, string) (string, error) { return "written", nil })
	d.sees("No joint is planned, so there is nothing to write.")
	d.keys("1", "down", "pgdown", "up")
	d.lacks("written")
}

// fallow is the invented site with three chambers, with two joints held whose
// labels begin alike.
func fallow(t *testing.T) *memLog {
	t.Helper()
	c := ona(t)
	c.Do(acts.OpenSite(c.H, fileOf(t, "plans/fallow.toml"), []acts.File{fileOf(t, "tables/harrow.toml"), fileOf(t, "tables/fen.toml")}))
	c.Do(acts.StartShift(c.H, logbook.ShiftStarted{Day: "2026-03-09", Operators: []logbook.Operator{{Name: "Ona Brill", Mark: "OB"}}, Units: []logbook.Unit{{Serial: "CU-311"}}}))
	for i, joint := range []string{"North-10A", "North-10B"} {
		for _, b := range []logbook.Body{
			logbook.WeldBegun{Operator: "Ona Brill", Unit: "CU-311"}, logbook.SettingsKeyed{SecondsShown: 40, CoolingMin: 6},
			logbook.FusionStarted{}, logbook.FusionEnded{Outcome: logbook.Completed},
		} {
			c.Do(crew.Raw(c.H, joint, logbook.WeldNumber("KM", i+1), b))
		}
	}
	return logOf(c.Memory)
}

// Labels that begin alike are told apart wherever welds are listed.
func TestLongLabelsAreToldApart(t *testing.T) {
	for _, width := range []int{60, 80} {
		d := drive(t, fallow(t), monday, width, 24)
		d.keys("right")
		d.sees("1  North-10A KM-0001", "2  North-10B KM-0002")
		d.keys("esc", "3")
		d.sees("End-of-shift check", "   North-10A KM-0001", "   North-10B KM-0002")
	}
	d := driveLabels(t, fallow(t), 80, 24, nil)
	for range 10 {
		d.keys("pgdown")
		if strings.Contains(d.frame(), "North-10B  KM-0002") {
			break
		}
	}
	d.sees("joint    North-10A  KM-0001  9 Mar 2026  OB  cool until 09:07", "joint    North-10B  KM-0002  9 Mar 2026  OB  cool until 09:07", "leg      North-10B  port 20  TG rail", "header   FROM GROUND (FG)  chamber North")
}
