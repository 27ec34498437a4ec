package tui

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook/acts"
	"coolhold/logbook/plan"
)

var marked = regexp.MustCompile(`▸ ?([\w.]+)`)

// at is the joint that is marked as chosen, in the list or the drawing.
func (d *driver) at() string {
	d.t.Helper()
	m := marked.FindAllStringSubmatch(d.frame(), -1)
	if len(m) != 1 {
		d.t.Fatalf("%d joints are marked:\n%s", len(m), d.frame())
	}
	return m[0][1]
}

// goes presses keys and checks where the mark is after each.
func (d *driver) goes(way string) {
	d.t.Helper()
	for _, step := range strings.Fields(way) {
		key, want, _ := strings.Cut(step, ":")
		d.keys(key)
		if got := d.at(); got != want {
			d.t.Fatalf("%s leads to %s, want %s:\n%s", key, got, want, d.frame())
		}
	}
}

// At 80 by 24 the whole of the example is drawn: each joint with its port, its
// state in words and the time left of its hold.
func TestTheDrawing(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.sees("7 draw")
	d.keys("7")
	d.sees("7 list", "[FG  fail", "header from ground 63 mm", "chamber A, rail from ground, low row", "chamber A, rail to ground, high row",
		"[TG  query", "header to ground 63 mm", "Outside the chambers", "[▸E1  open", "elbow 63")
	want := []string{
		"┌port 6──┐┌port 7╌╌┐┌port 8┈┈┐┌port 9┈┈┐┌port 10┈┐",
		"│   1B   │╎   2B   ╎┊   3B   ┊┊   4B   ┊┊   5B   ┊",
		"│ clear  │╎  hold  ╎┊  open  ┊┊  open  ┊┊  open  ┊",
		"│        │╎  3:51  ╎┊        ┊┊        ┊┊        ┊",
		"circuit 1 circuit 2 circuit 3 circuit 4 circuit 5",
		"   red      blue     yellow     white     green",
		"┌port 1──┐┌port 2──┐┌port 3──┐┌port 4──┐┏port 5━━┓",
		"│   1A   ││   2A   ││   3A   ││   4A   │┃   5A   ┃",
		"│ clear  ││ clear  ││ clear  ││accepted│┃ query  ┃",
	}
	d.sees(want...)
	d.lacks("more: ↓")
	d.pass(10 * time.Second)
	d.sees("╎  3:41  ╎")
	d.keys("7")
	d.sees("▸ E1       elbow 63", "coupler 40")
}

// The arrows move by the place in the drawing; the joint chosen is the same in
// the list, and Enter opens the same screen.
func TestTheChosenJointIsOne(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.keys("7")
	d.goes("up:FG up:1A up:1B right:2B right:3B")
	d.keys("7")
	if got := d.at(); got != "3B" {
		t.Fatalf("%s is chosen in the list", got)
	}
	d.keys("up", "7")
	d.goes("right:4A left:3A down:FG down:E1 down:E1 up:FG left:5A up:5B right:1A left:5B left:4B left:3B left:2B left:1B up:TG left:TG down:1B down:1A down:FG up:1A up:1B right:2B right:3B")
	d.keys("enter")
	d.sees("3B   coupler 40   open", "circuit 3, leg B, port 8 high, rail to ground", "yellow tape")
	d.keys("esc")
	d.sees("▸3B")
	d.keys("7", "enter")
	d.sees("3B   coupler 40   open")
}

// While something waits for an answer the right arrow goes there, as the strip
// says, and not to the next joint.
func TestTheRightArrowGoesToWhatWaits(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 80, 24)
	d.sees("→ runs")
	d.keys("7", "up")
	d.lacks("→ runs")
	d.keys("right")
	d.sees("▸E1")
	d.pass(4 * time.Minute)
	d.sees("2B hold over: release →", "│", "over", "→ runs")
	d.keys("right")
	d.sees("What runs and what waits")
	d.keys("esc", "left")
	d.sees("▸FG")
}

// A window that is too narrow shows the list, and says why.
func TestTheDrawingInANarrowWindow(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 60, 20)
	d.keys("7")
	d.sees("The drawing needs a window 80 wide: this is the list.", "▸ E1")
	d.keys("up")
	d.sees("▸ TG")
	d.send(tea.WindowSizeMsg{Width: 80, Height: 24})
	d.sees("[▸TG  query")
	d.lacks("needs a window")
}

// In a large window the drawing is that of the register, with weld numbers.
func TestTheDrawingInALargeWindow(t *testing.T) {
	d := drive(t, exampleAt(t, monday), monday, 120, 41)
	d.keys("7")
	d.sees("port 3", "KM-0006", "240 m", "no weld", "hold 3:51", "rail from ground, low row", "Pressure test", "[▸E1  open")
	d.goes("up:FG up:1A up:1B up:TG right:1B right:2B down:2A")
}

// Eight circuits fit one page of 80 columns; with more PgUp and PgDn turn, and
// each joint of the list is drawn on one of the pages.
func TestLargeChambers(t *testing.T) {
	for n, pages := range map[int]int{8: 1, 12: 2, 20: 3} {
		log := bigSite(t, n)
		d := drive(t, log, monday, 80, 24)
		d.keys("7")
		var seen []string
		label := regexp.MustCompile(`\b(\d+[AB])\b`)
		for page := 1; page <= pages; page++ {
			if pages > 1 {
				d.sees(fmt.Sprintf("Chamber A, part %d of %d: PgUp and PgDn turn", page, pages))
			}
			body := strings.Join(strings.Split(d.frame(), "\n")[3:], "\n")
			for _, m := range label.FindAllStringSubmatch(body, -1) {
				seen = append(seen, m[1])
			}
			d.keys("pgdown")
		}
		slices.Sort(seen)
		var want []string
		for _, j := range log.Memory.Book.Joints("copse") {
			if j.Leg != "" {
				want = append(want, j.Label)
			}
		}
		slices.Sort(want)
		if !slices.Equal(seen, want) {
			t.Errorf("%d circuits: drawn %q, want %q", n, seen, want)
		}
		d.keys("pgup", "pgup", "pgup")
		if want := map[bool]string{true: "▸1A", false: "[▸TG"}[pages == 1]; !strings.Contains(d.frame(), want) {
			t.Errorf("%d circuits: %q is not chosen:\n%s", n, want, d.frame())
		}
	}
}

// A joint outside the chambers stands under every page: going to it does not
// turn the page.
func TestAJointOutsideKeepsThePage(t *testing.T) {
	log := bigSite(t, 12)
	log.does(t, func(h acts.Head) acts.Act {
		return acts.AddJoint(h, plan.Joint{Label: "X1", Fitting: "elbow 63", AskPlace: true}, "needed")
	})
	d := drive(t, log, monday, 80, 24)
	d.keys("7")
	d.goes("pgdown:9B down:9A down:X1")
	d.sees("part 2 of 2", "circuit 9", "circ. 10")
	d.goes("up:9A")
}

// A leg of several pieces is higher than the window: the chosen piece is shown.
func TestTheChosenJointIsAlwaysInSight(t *testing.T) {
	log := exampleAt(t, monday)
	log.does(t, func(h acts.Head) acts.Act { return acts.SplitJoint(h, "3B", "stub too short", acts.Piece{}) })
	log.does(t, func(h acts.Head) acts.Act { return acts.SplitJoint(h, "3B.2", "and again", acts.Piece{}) })
	d := drive(t, log, monday, 80, 24)
	d.keys("7")
	for range 12 {
		d.keys("up")
		d.at()
	}
	d.sees("[▸TG")
	for range 12 {
		d.keys("down")
		d.at()
	}
	d.sees("[▸E1")
	d.goes("left:FG left:5A left:4A left:3A up:3B.2.2 up:3B.2.1 up:3B.1")
}

func TestTheMenusOfTheBoard(t *testing.T) {
	for _, tt := range []struct {
		keys string
		want string
	}{
		{"6", "5  add a joint that is not in the plan"}, {"6 1", "Readiness: "}, {"6 2", "The order proposed"}, {"6 3", "Codes of fittings"}, {"6 5", "Add a joint that is not in the plan"},
		{"8", "2  theme"}, {"8 1", "Sites in this log"}, {"8 2", "More"}, {"6 4", "What to write on the pipe"}, {"6 7", "Plan ahead"}, {"8 9", "More"},
	} {
		d := drive(t, exampleAt(t, monday), monday, 80, 24)
		d.keys(strings.Fields(tt.keys)...)
		d.sees(tt.want)
		d.keys("esc")
		if len(tt.keys) > 1 && !strings.Contains(tt.keys, "5") && tt.want != "More" && tt.want != "Plan ahead" {
			d.sees(map[byte]string{'6': "Plan ahead", '8': "More"}[tt.keys[0]])
			d.keys("esc")
		}
		d.sees("joints open.")
	}
}
