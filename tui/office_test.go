package tui

import (
	"regexp"
	"testing"
	"time"

	"coolhold/tui/shell"
)

// How the office stands is on the board, in place of a blank row, as a list and as a
// drawing where there is room; what somebody must see to stands above all on both.
func TestTheOfficeOnTheBoard(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}, {100, 40}} {
		log := exampleAt(t, monday)
		var state shell.OfficeState
		d := driveWith(t, log, monday, size[0], size[1], func(o *shell.Outside) {
			o.Office = func(l shell.Log) shell.OfficeState {
				if l != shell.Log(log) {
					t.Error("the office of another log is asked for")
				}
				return state
			}
		})
		d.pass(time.Second)
		d.lacks("office")
		joints := d.rows()
		state.Says = "office lacks 3 entries after 08:40, no link"
		d.pass(time.Second)
		d.sees("office lacks 3 entries after 08:40, no link", "2B hold")
		if got := d.rows(); got != joints {
			t.Errorf("%d rows of the list are seen with it, %d without", got, joints)
		}
		d.keys("8")
		d.lacks("office lacks")
		d.keys("esc")
		if size[1] == 40 {
			d.keys("7")
			d.sees("office lacks 3 entries after 08:40, no link")
			d.keys("7")
		}
		state = shell.OfficeState{Says: "office has MORE of this log", Warn: true}
		d.pass(time.Second)
		d.sees("office has MORE of this log")
		d.keys("7")
		d.sees("office has MORE of this log")
	}
}

var aRow = regexp.MustCompile(`(?m)^ [▸ ] ([1-5][AB]|[TF]G|E1) `)

// rows are those of joints that are seen.
func (d *driver) rows() int {
	return len(aRow.FindAllString(d.frame(), -1))
}
