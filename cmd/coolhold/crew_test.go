//go:build unix

package main

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// All people, machines and figures below are invented, except 40 s for
// 5…14 °C, 39.5 V and 6 min (common practice, no source).
const (
	hillfoot = "../../testdata/plans/hillfoot.toml"
	valley   = "../../testdata/tables/valley.toml"
)

// The labels of hillfoot.toml in the order of the board.
var joints = []string{"1A", "1B", "2A", "2B", "3A", "3B", "4A", "4B", "FG", "TG", "E1"}

// A crew is a site with its log, and the board while it is open.
type crew struct {
	*terminal
	t     *testing.T
	log   string
	env   []string
	clock *heldClock // nil: the machine's own
}

// newCrew opens the site of Hillfoot through the verb.
func newCrew(t *testing.T, clock *heldClock) *crew {
	t.Helper()
	return crewAt(t, clock, hillfoot, valley)
}

// crewAt opens the site of a plan through the verb.
func crewAt(t *testing.T, clock *heldClock, plan string, tables ...string) *crew {
	t.Helper()
	return crewIn(t, clock, filepath.Join(t.TempDir(), "site.coolhold"), plan, tables...)
}

// crewIn opens the site of a plan through the verb, in a log of that name.
func crewIn(t *testing.T, clock *heldClock, log, plan string, tables ...string) *crew {
	t.Helper()
	c := &crew{t: t, log: log, clock: clock, env: []string{selfEnv + "=1", raceEnv}}
	if clock != nil {
		c.env = clock.env()
	}
	c.env = append(c.env, "COOLHOLD_LOG="+c.log, "COOLHOLD_THEME=", keysEnv+"="+c.scanning())
	args := []string{"site", "new", "--tag", "HF", "--plan", plan}
	for _, table := range tables {
		args = append(args, "--table", table)
	}
	c.runs(exitDone, args...)
	return c
}

// runs runs a verb on the log, which must end with the code.
func (c *crew) runs(code int, args ...string) string {
	c.t.Helper()
	got := verbInside(c.t, c.env, args...)
	if got.code != code {
		c.t.Fatalf("%s: exit code %d, want %d\n%s%s", args, got.code, code, got.out, got.err)
	}
	return got.out
}

// opens starts the board; a board before it must have ended.
func (c *crew) opens() {
	c.t.Helper()
	c.terminal = openBoard(c.t, c.env)
	c.gap = 0
	c.waitFor("joints open.")
}

// scanning is the file that is there while a scanner types.
func (c *crew) scanning() string { return c.log + ".scanning" }

// scans types as a scanner does, and waits for what the board says to it: however
// slow the machine, by the board's clock of keys no time goes by.
func (c *crew) scans(says string, chunks ...string) {
	c.t.Helper()
	if err := os.WriteFile(c.scanning(), nil, 0o600); err != nil {
		c.t.Fatal(err)
	}
	c.burst(chunks...)
	c.waitFor(says)
	if err := os.Remove(c.scanning()); err != nil {
		c.t.Fatal(err)
	}
}

func openBoard(t *testing.T, env []string, args ...string) *terminal {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return startTerminal(t, 80, 24, env, self, args...)
}

// dies: the program is killed in the middle of whatever is done, time passes,
// and the board is opened again.
func (c *crew) dies(away time.Duration) {
	c.t.Helper()
	c.kill()
	c.clock.pass(away)
	c.opens()
}

// passes moves the held clock; a key that does nothing makes the board look at
// it before its next tick.
func (c *crew) passes(d time.Duration) {
	c.t.Helper()
	c.clock.pass(d)
	c.press("left")
}

// asked waits until a field is the present one.
func (c *crew) asked(label string) {
	c.t.Helper()
	c.waitFor("▸ " + label)
}

// answers gives a field one key after another.
func (c *crew) answers(label string, keys ...string) {
	c.t.Helper()
	c.asked(label)
	c.press(keys...)
}

// types gives a field a text.
func (c *crew) types(label, text string) {
	c.t.Helper()
	c.asked(label)
	c.typeText(text)
	c.press("enter")
}

// leaves closes the board as a person does.
func (c *crew) leaves() {
	c.t.Helper()
	c.press("esc")
	c.answers("leave", "1")
	if code := c.exitCode(); code != exitDone {
		c.t.Errorf("the board ended with exit code %d", code)
	}
}

func (c *crew) readsTableBack() {
	c.t.Helper()
	c.waitFor(`A fusion table is not read back`)
	c.press("5")
	c.waitFor("NOT read back")
	c.press("enter")
	c.waitFor("first read to the end")
	c.press("pgdown", "pgdown", "enter")
	c.answers("every figure is as printed", "1")
	c.types("compared by", "Ada")
	c.waitFor("(read back by Ada)")
	c.press("esc")
}

// startsShift: Ada on one unit that does not correct for temperature, dry.
func (c *crew) startsShift() {
	c.t.Helper()
	c.waitFor("Start a shift: key 3.")
	c.press("3")
	c.types("operator 1: name", "Ada")
	c.press("enter") // no number
	c.types("valid to (YYYY-MM-DD)", "2027-01-31")
	c.press("2") // nobody else
	c.types("control unit 1: serial", "U7")
	c.types("last calibrated (YYYY-MM-DD)", "2026-01-12")
	c.answers("does it correct", "2")
	c.answers("another control unit", "2")
	c.press("enter", "enter") // no generator, no thermometer named
	c.answers("weather", "2", "1")
	c.waitFor("Next: 1A, reducer 40x32")
}

var chosen = regexp.MustCompile(`(?m)^ ▸ (\S+) `)

// opensJoint moves the cursor of the board to a joint and opens it.
func (c *crew) opensJoint(label string) {
	c.t.Helper()
	c.waitFor("joints open.")
	c.waitFor(" ▸ ")
	at := chosen.FindStringSubmatch(c.screen())
	if at == nil {
		c.t.Fatalf("no joint is chosen:\n%s", c.screen())
	}
	by := slices.Index(joints, label) - slices.Index(joints, at[1])
	for range max(by, -by) {
		c.press(map[bool]string{true: "down", false: "up"}[by > 0])
	}
	c.waitFor(" ▸ " + label + " ")
	c.press("enter")
}

// begins a weld in a joint.
func (c *crew) begins(joint string) {
	c.t.Helper()
	c.opensJoint(joint)
	c.waitFor("1  weld it")
	c.press("1")
	c.waitFor("step 1 of 9: fitting")
}

// A query is asked by what stands on the screen.
type query struct {
	sight  string
	answer func()
}

// meets answers what is asked until a text stands on the screen.
func (c *crew) meets(until string, asked ...query) {
	c.t.Helper()
	for {
		now := -1
		stands := func() bool {
			screen := c.screen()
			now = slices.IndexFunc(asked, func(q query) bool { return strings.Contains(screen, q.sight) })
			return now >= 0 || strings.Contains(screen, until)
		}
		if err := c.await(stands, patience); err != nil {
			c.t.Fatalf("nothing that is known is asked before %q: %v", until, err)
		}
		if now < 0 {
			return
		}
		asked[now].answer()
		c.waitGone(asked[now].sight)
	}
}

// cardBatch is the line of the card as last time that has the fitting's batch.
var cardBatch = regexp.MustCompile(`(?m)^ +2  fitting batch +(.*?)   as last time`)

// fits takes the plan's fitting out of its bag, with a batch, for the leg of a port (""
// where the joint goes to none).
func (c *crew) fits(port, batch string) {
	c.t.Helper()
	c.asked("fitting, as printed on the bag")
	if was := cardBatch.FindStringSubmatch(c.screen()); was != nil && was[1] != batch {
		c.press("2")
		c.types("batch of the fitting", batch)
	}
	c.asked("fitting, as printed on the bag")
	c.press("enter")
	enter := func() { c.press("enter") }
	c.meets("step 2 of 9",
		query{"▸ port this leg goes to", func() { c.press(port) }},
		query{"▸ batch of the fitting", func() { c.typeText(batch); c.press("enter") }},
		query{"▸ print on the pipe", func() { c.press("1") }},
		query{"▸ batch of the coil", enter}, query{"▸ batch of the chamber's stubs", enter},
	)
}

// prepares says that all is done, with a rotary scraper.
func (c *crew) prepares() {
	c.t.Helper()
	c.waitFor("0  all done")
	c.press("0")
	c.meets("▸ ambient temperature", query{"▸ scraped with", func() { c.press("1") }})
}

// reads gives the ambient temperature; "" confirms the last reading.
func (c *crew) reads(celsius string) {
	c.t.Helper()
	if celsius == "" {
		c.waitFor("still 8.5 °C")
		c.press("space")
		return
	}
	c.types("ambient temperature in", celsius)
}

// bagged says that a new bag prints what the table has, where that is asked.
func (c *crew) bagged() {
	c.t.Helper()
	asked := func() bool { return strings.Contains(c.screen(), "▸ this bag prints") }
	if err := c.await(func() bool { return asked() || strings.Contains(c.screen(), "step 4 of 9: settings") }, patience); err != nil {
		c.t.Fatalf("neither bag nor settings: %v; the screen:\n%s", err, c.screen())
	}
	if asked() {
		c.press("1")
	}
}

// keysIn says how the unit is set, and that the figures shown are in it.
func (c *crew) keysIn() {
	c.t.Helper()
	c.bagged()
	c.meets("Enter: it is in the unit", query{"▸ the unit's time is", func() { c.press("1") }})
	c.press("enter")
}

// display gives what is read off the unit.
func (c *crew) display(seconds, volts string) {
	c.t.Helper()
	c.types("seconds the unit's display shows", seconds)
	c.asked("volts it shows")
	c.press(voltsKeys(volts)...)
}

func (c *crew) resistance(ohms string) {
	c.t.Helper()
	c.types("resistance the unit shows", ohms)
}

// current says that the current is on.
func (c *crew) current() {
	c.t.Helper()
	c.answers("start", "1")
	c.waitFor("Fusing:")
}

// fuses for so many seconds and says what the unit says.
func (c *crew) fuses(seconds string) {
	c.t.Helper()
	c.answers("how the fusion ended", "1")
	c.ran(seconds)
}

// ran is what follows a completed fusion: seconds run, and the look.
func (c *crew) ran(seconds string) {
	c.t.Helper()
	c.types("seconds the unit says it ran", seconds)
	c.looks()
}

// looks at a weld and finds nothing.
func (c *crew) looks() {
	c.t.Helper()
	c.answers("melt, wire, marks, in line", "0")
	c.answers("both indicators", "1")
	c.waitFor("Write on the pipe:")
	c.press("enter")
	c.waitFor("joints open.")
}

// releases ends the first hold that is over.
func (c *crew) releases(joint, weld string) {
	c.t.Helper()
	c.waitFor(joint + " hold over")
	c.press("right")
	c.waitFor("What runs and what waits")
	c.waitFor(joint + "  ")
	c.press("1")
	c.waitFor(joint + "  " + weld)
	c.answers("the hold", "0") // held to the end, firm, cool
	c.answers("both indicators", "1")
	c.waitFor("What runs and what waits")
	c.press("esc")
	c.waitGone(joint + " hold over")
}

// goesRound feels and looks at so many welds, then closes the shift.
func (c *crew) goesRound(welds int) {
	c.t.Helper()
	c.press("3")
	for i := range welds {
		c.waitFor(fmt.Sprintf(": %d to feel", welds-i))
		c.answers("felt by hand", "0")
		c.answers("both indicators", "1")
	}
	c.waitFor(": 0 to feel and look at")
	c.press("9")
	c.answers("close the shift", "1")
	c.waitFor("Start a shift: key 3.")
}

// A row of the register, by column.
type row map[string]string

// register reads the register in CSV, by weld; joints without one by joint.
func (c *crew) register(args ...string) map[string]row {
	c.t.Helper()
	return rowsOf(c.t, c.runs(exitDone, append([]string{"register", "--format", "csv"}, args...)...))
}

func rowsOf(t *testing.T, text string) map[string]row {
	t.Helper()
	lines, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix([]byte(text), []byte("\ufeff")))).ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("register: %v\n%s", err, text)
	}
	rows := map[string]row{}
	for _, line := range lines[1:] {
		r := row{}
		for i, name := range lines[0] {
			r[name] = line[i]
		}
		id := cmp.Or(r["weld"], r["joint"])
		if _, twice := rows[id]; twice {
			t.Errorf("%s stands twice in the register", id)
		}
		rows[id] = r
	}
	return rows
}

// shows checks cells of a row.
func (r row) shows(t *testing.T, want row) {
	t.Helper()
	for name, cell := range want {
		if got, ok := r[name]; !ok || got != cell {
			t.Errorf("%s %s: %s is %q, want %q", r["weld"], r["joint"], name, got, cell)
		}
	}
}

// holdLeft is the time left that the screen shows for a joint.
func (c *crew) holdLeft(joint string) time.Duration {
	c.t.Helper()
	c.waitFor(joint + " hold ")
	m := regexp.MustCompile(joint + ` hold (\d+):(\d\d)`).FindStringSubmatch(c.screen())
	if m == nil {
		c.t.Fatalf("no hold of %s:\n%s", joint, c.screen())
	}
	left, err := time.ParseDuration(strings.Join(m[1:], "m") + "s")
	if err != nil {
		c.t.Fatal(err)
	}
	return left
}
