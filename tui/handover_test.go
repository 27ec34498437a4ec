package tui

import (
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/tui/shell"
)

// elsewhere is a log under a path of its own, as one on a stick has.
type elsewhere struct{ *memLog }

func (elsewhere) Path() string { return "stick" }

// onStick lets a driver open a log that was handed over, by its file.
func onStick(t *testing.T, files *[]string) func(*shell.Outside) {
	return func(o *shell.Outside) {
		o.OpenLog = func(file string) (shell.Log, error) {
			*files = append(*files, file)
			if file != "/stick/monday.coolhold" {
				return nil, errDisk
			}
			return elsewhere{exampleAt(t, monday)}, nil
		}
	}
}

func TestALogThatWasHandedOverIsOpened(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}} {
		var files []string
		d := driveWith(t, nil, monday, size[0], size[1], onStick(t, &files))
		d.sees("3  open a log that was handed over")
		d.keys("3", "enter")
		d.sees("type it first")
		d.text("/stick/other")
		d.sees("no space left on device", "3  open a log that was handed over")
		d.keys("3")
		d.scan("'/stick/monday.coolhold'") // pasted, or dropped on the window
		d.sees("Larkrise cottage", "4A hold")
		if strings.Join(files, " ") != "/stick/other /stick/monday.coolhold" {
			t.Errorf("opened %q", files)
		}
	}
}

func TestAHandedOverLogFromTheSites(t *testing.T) {
	var files []string
	own := newMemLog()
	d := driveWith(t, own, monday, 80, 24, onStick(t, &files))
	d.keys("3")
	d.text("/stick/monday.coolhold")
	d.sees("4A hold")
	d.keys("8", "1")
	d.sees("0  open a log that was handed over", "Larkrise cottage")
	d.keys("0")
	d.text("/stick/other")
	d.sees("no space left on device", "Sites in this log")
	d = drive(t, exampleAt(t, monday), monday, 80, 24)
	d.keys("8", "1", "0")
	d.sees("opening a log is not available here")
}

func TestTheRegisterByOneKey(t *testing.T) {
	log := exampleAt(t, monday)
	var of []string
	d := driveWith(t, log, monday, 60, 20, func(o *shell.Outside) {
		o.WriteRegister = func(l shell.Log, site string) (string, error) {
			of = append(of, l.Path()+" "+site)
			if len(of) > 1 {
				return "", errDisk
			}
			return "register: /home/ada/Documents/larkrise.pdf\x1b[2J and .xlsx", nil
		}
	})
	d.sees("0 register")
	d.keys("0")
	d.sees("/home/ada/Documents/larkrise.pdf·[2J")
	d.keys("0")
	d.sees("no space left on device")
	want := "memory " + log.book.Sites()[0].ID
	if len(of) != 2 || of[0] != want {
		t.Errorf("written of %q, want %q", of, want)
	}
	d = drive(t, exampleAt(t, monday), monday, 80, 24)
	d.keys("0")
	d.sees("writing the register is not available here")
}

// Something that waits to be stored belongs to the log it was said in.
func TestNoOtherLogWhileSomethingIsNotStored(t *testing.T) {
	var files []string
	d := driveWith(t, exampleAt(t, monday), monday, 80, 24, onStick(t, &files))
	d.keys("6", "5")
	d.text("E9")
	d.text("elbow 63")
	d.text("at the wall")
	for _, r := range "one more" {
		d.keys(string(r))
	}
	*d.mono += time.Second
	m, storing := d.m.Update(tea.KeyMsg{Type: tea.KeyEnter})
	d.m = m
	d.sees("storing 1")
	d.keys("8", "1", "0")
	d.text("/stick/monday.coolhold")
	d.sees("not opened: something is not stored yet")
	d.run(storing)
	d.lacks("storing 1")
	if len(files) != 0 {
		t.Fatalf("opened %q", files)
	}
	d.keys("0")
	d.text("/stick/monday.coolhold")
	d.lacks("E9")
	if len(files) != 1 {
		t.Errorf("opened %q", files)
	}
}
