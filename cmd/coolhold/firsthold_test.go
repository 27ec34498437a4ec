//go:build unix

package main

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// picks answers a question by the digit of a line.
func (c *crew) picks(asked, line string) {
	c.t.Helper()
	c.asked(asked)
	if figure := strings.TrimPrefix(line, "SDR "); strings.Trim(figure, "0123456789.") == "" {
		c.typeText(figure) // a list of figures: it is typed
		c.press("enter")
		return
	}
	at := regexp.MustCompile(`(?m)^ +(\d)  ` + regexp.QuoteMeta(line) + ` *$`)
	if err := c.await(func() bool { return at.MatchString(c.screen()) }, patience); err != nil {
		c.t.Fatalf("%q has no digit: %v; the screen:\n%s", line, err, c.screen())
	}
	c.press(at.FindStringSubmatch(c.screen())[1])
}

// lines types one line after another, each into the question that asks for it.
func (c *crew) lines(pairs ...string) {
	c.t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		c.types(pairs[i], pairs[i+1])
	}
}

// typesBag types one fitting of the invented table as a bag prints it.
func (c *crew) typesBag(kind, sizes, classes, ohms, tolerance string, bands []string, seconds, cooling string) {
	c.t.Helper()
	c.picks("kind", kind)
	c.lines("pipe it takes", sizes, "name, the same in table and plan", "")
	c.picks("SDR printed as allowed", classes)
	c.lines("volts", "39.5", "resistance", ohms, "its tolerance", tolerance)
	for i, b := range bands {
		c.types([]string{"coldest band: from", "band from", "next band, from"}[min(i, 2)], b)
	}
	for _, s := range strings.Fields(seconds) {
		c.types("fusion time at", s)
	}
	c.types("cooling time", cooling)
	c.picks("besides", "nothing more is printed")
	c.waitFor("1: every figure is as on the bag")
	c.press("1")
}

// typesTable types the three fittings that the invented site needs.
func (c *crew) typesTable() {
	c.t.Helper()
	c.lines("maker or name on the bags", "Valley", "copied from", "")
	c.typesBag("coupler", "40", "SDR 11 and 17", "2.4", "10", []string{"-10", "-1", "4", "14", "24", "40", ""}, "44 42 40 38 36", "6")
	c.typesBag("reducer", "40x32", "SDR 11", "2.6", "", nil, "44 42 40 38 36", "6")
	c.typesBag("coupler", "63", "SDR 11 and 17", "1.5", "8", nil, "92 88 84 80 76", "9 9 10 10 11")
	c.picks("kind", "no further fitting")
}

// typesSite types the site and its chamber: four circuits and two headers.
func (c *crew) typesSite() {
	c.t.Helper()
	c.waitFor("▸ 2  the site")
	c.press("enter")
	c.lines("name of the site", "Hillfoot barn", "client", "Marta Quill", "firm that welds", "Brookside", "address", "1 Nowhere Lane")
	c.picks("scraping that is required", "either")
	c.types("two letters", "HF")
	c.waitFor("1: the site is so")
	c.press("1")
	c.waitFor("▸ 3  chambers")
	c.press("enter")
	c.lines("its name", "", "where its lid lies", "", "stubs of the ports: outside diameter", "40")
	c.picks("stubs of the ports: SDR", "11")
	c.types("circuits: how many", "4")
	c.picks("its ports are numbered", "the first half in the low row, the rest in the high")
	c.picks("the low row is on the rail", "from ground")
	c.lines("ports in all", "", "pipe of the circuits: outside diameter", "32")
	c.picks("pipe of the circuits: SDR", "11")
	c.types("length of a circuit", "200 200 180 180.5")
	c.picks("fitting at the ports", "reducer 40x32")
	c.types("tape on the pipes", "")
	c.picks("headers to weld here", "both, alike")
	c.types("headers: outside diameter of the stub", "63")
	c.picks("headers: SDR of the stub", "11")
	c.types("headers: outside diameter of the pipe", "63")
	c.picks("headers: SDR of the pipe", "11")
	c.types("headers: length of the pipe", "18")
	c.picks("headers: fitting", "coupler 63")
	c.waitFor("1: the chamber is so")
	c.press("pgdown", "pgdown", "pgdown", "pgdown") // what comes of it is read to its end
	c.press("1")
}

// What a hand strikes in a second, and the longest that a first hold may take: ours to
// keep, no source.
const (
	keysASecond = 3
	firstHold   = 5 * time.Minute
)

// From the bare program, without a log, a file or an editor, to the first hold: bags and
// site typed, table read back, shift begun, one joint welded. The keys are counted and
// taken at the pace of a hand; what must be waited for besides is the fusion.
func TestFromTheBareProgramToTheFirstHold(t *testing.T) {
	t.Parallel()
	c := &crew{t: t, log: filepath.Join(t.TempDir(), "first.coolhold"), clock: holdClock(t)}
	c.env = append(c.clock.env(), "COOLHOLD_LOG="+c.log, "COOLHOLD_THEME=", keysEnv+"="+c.scanning())
	c.terminal = openBoard(t, c.env)
	c.gap = 0
	step := func(what string, do func()) {
		was := c.struck
		do()
		t.Logf("%-28s %4d keys", what, c.struck-was)
	}
	step("the table, from the bags", func() {
		c.waitFor("1  type the job in here")
		c.press("1")
		c.waitFor("▸ 1  fusion tables")
		c.press("enter")
		c.typesTable()
	})
	step("the site and its chamber", c.typesSite)
	step("the plan, read back", func() {
		c.waitFor("▸ 5  read the plan back")
		c.press("enter")
		c.waitFor("10 joints to weld")
		c.press("pgdown", "1")
		c.waitFor("10 of 10 joints open.")
	})
	step("the table, read back", func() {
		c.waitFor(`A fusion table is not read back`)
		c.press("5")
		c.waitFor("NOT read back")
		c.press("enter")
		c.answers("every figure is as printed", "1")
		c.types("compared by", "Ada")
		c.waitFor("(read back by Ada)")
		c.press("esc")
	})
	step("the shift", c.startsShift)
	var waits time.Duration
	step("one weld", func() {
		c.begins("1A")
		c.fits("1", "B1")
		c.prepares()
		c.reads("8.5")
		c.keysIn()
		c.display("40", "39.5")
		c.resistance("2.6")
		c.current()
		c.passes(41 * time.Second)
		waits += 41 * time.Second
		c.answers("how the fusion ended", "1")
		c.types("seconds the unit says it ran", "40")
	})
	c.waitFor("1A hold")
	took := time.Duration(c.struck)*time.Second/keysASecond + waits
	t.Logf("%d keys at %d a second, and %v of fusion: %v from the bare program to the first hold", c.struck, keysASecond, waits, took)
	if took > firstHold {
		t.Errorf("the first hold begins after %v, %v is the most", took, firstHold)
	}
	if c.struck < 300 {
		t.Errorf("%d keys: less than is typed", c.struck)
	}
}
