//go:build unix

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

const fallowTables = "../../testdata/tables/"

// A morning on the larger invented site: what the crew has with it is compared
// and put right, a code is taught, and two joints are welded as they are offered.
func TestMorningOnALargeSite(t *testing.T) {
	t.Parallel()
	c := atFallow(t)
	kitPutRight(c)
	codesTaught(c)
	first := firstOffered(c)
	second := secondOffered(c)
	c.leaves()
	rows := c.register()
	rows["HF-0001"].shows(t, row{"joint": first, "fitting": "reducer 40x32", "fitting_code": code, "port_welded": "1", "fitting_batch": "B1", "seconds_run": "40", "outcome": "completed"})
	rows["HF-0002"].shows(t, row{"joint": second, "fitting_batch": "B2", "outcome": "completed"})
	out := c.runs(exitFindings, "audit")
	if !strings.Contains(out, "HF-0002") || strings.Contains(out, "fail ") {
		t.Errorf("the audit says\n%s", out)
	}
}

// atFallow is a crew at Fallow Court with its tables read back and its shift
// begun, and the board open.
func atFallow(t *testing.T) *crew {
	t.Helper()
	tables := []string{fallowTables + "harrow.toml", fallowTables + "fen.toml"}
	clock := holdClock(t)
	c := crewAt(t, clock, "../../testdata/plans/fallow.toml", tables...)
	h := acts.Head{At: clock.at, By: "Ada", Site: "fallow-court-invented"}
	for _, table := range tables {
		h.ID += "+"
		c.stores(acts.ReadBack(h, logbook.Hash(fileText(t, table))))
	}
	h.ID = "shift"
	day := clock.at.Local()
	c.stores(acts.StartShift(h, logbook.ShiftStarted{
		Day:       day.Format(time.DateOnly),
		Operators: []logbook.Operator{{Name: "Ada", Mark: "A", Expiry: day.AddDate(1, 0, 0).Format(time.DateOnly)}},
		Units:     []logbook.Unit{{Serial: "CU-311", Calibrated: day.AddDate(0, -3, 0).Format(time.DateOnly), Corrects: logbook.No}},
		Weather:   logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
	c.opens()
	return c
}

// kitPutRight: the first kit is short of pins and power, the corrected one of
// nothing.
func kitPutRight(c *crew) {
	c.t.Helper()
	c.press("6")
	c.waitFor("Plan ahead")
	c.press("1")
	c.waitFor("Readiness: ")
	c.takesKit("fallow-first")
	c.waitFor("Readiness: 3 short, 1 not known")
	for _, want := range []string{"do not take the pins of coupler 90, 4.7 mm", "do not take the pins of elbow 90, 4.7 mm", "the generator gives 3 kVA: 1 kVA"} {
		c.waitFor(want)
	}
	c.press("1")
	c.types("coldest", "5")
	c.types("warmest", "9")
	c.waitFor("Readiness: 3 short, 3 no shortage found")
	c.takesKit("fallow")
	c.waitFor("Readiness: 4 no shortage found, 33 in order.")
	c.press("esc")
	c.waitFor("Plan ahead")
	c.press("esc")
	c.waitFor("joints open.")
}

// takesKit declares a kit of testdata on the screen for readiness.
func (c *crew) takesKit(name string) {
	c.t.Helper()
	c.press("2")
	c.waitFor("2  from a file")
	c.press("2")
	c.types("kit file", "../../testdata/kits/"+name+".toml")
	c.types("declared by", "Ada")
}

const capCode = "999988887777666655554444" // invented

// codesTaught teaches two codes by scans on their screen.
func codesTaught(c *crew) {
	c.t.Helper()
	c.press("6", "3")
	c.waitFor("No code was scanned yet")
	for _, teach := range []struct{ code, digit, fitting string }{{code, "3", "reducer 40x32"}, {capCode, "5", "cap 40"}} {
		c.scans("Teach code "+teach.code, teach.code+"\r")
		c.waitFor(teach.digit + "  " + teach.fitting)
		c.answers("fitting, as printed on the bag", teach.digit)
		c.types("compared by", "Ada")
		c.waitFor(teach.code + "  taught as " + teach.fitting + " by Ada")
	}
	c.press("esc")
	c.waitFor("Plan ahead")
	c.press("esc")
	c.waitFor("joints open.")
}

// offered is the joint that the verb offers first; the board must name it too.
func (c *crew) offered() orderRowJSON {
	c.t.Helper()
	var o orderJSON
	if err := json.Unmarshal([]byte(c.runs(exitDone, "order", "--json")), &o); err != nil || len(o.Order) == 0 {
		c.t.Fatalf("order: %v, %d rows", err, len(o.Order))
	}
	c.waitFor("Next: " + o.Order[0].Joint + ", " + o.Order[0].Fitting)
	return o.Order[0]
}

// firstOffered: the scanned code chooses the row; a port on the rail of the other
// leg stops the walk.
func firstOffered(c *crew) string {
	c.t.Helper()
	j := c.offered()
	c.press("1")
	c.waitFor("step 1 of 9: fitting")
	c.scans("STOPPED: the code is taught as cap 40", capCode+"\r")
	c.scans("taught as reducer 40x32", code+"\r")
	c.types("number of the port this leg goes to", "12")
	c.waitFor("STOPPED: port 11 is planned for")
	c.waitFor("port 12 is on the same rail")
	c.types("number of the port this leg goes to", "1")
	c.types("batch of the fitting", "B1")
	c.press("1", "enter", "enter") // print as planned, coil and stubs not known
	c.weldsOn("8.5", "40", "2.5", 40*time.Second)
	return j.Joint
}

// secondOffered is the one that cools longest, now that the temperature is known.
// The code of a reducer stops its walk: the plan says another fitting.
func secondOffered(c *crew) string {
	c.t.Helper()
	j := c.offered()
	c.press("1")
	c.waitFor("step 1 of 9: fitting")
	c.scans("STOPPED: the code is taught as reducer 40x32", code+"\r")
	c.answers("fitting, as printed on the bag", "enter")
	c.types("batch of the fitting", "B2")
	c.press("1", "enter", "enter")
	c.weldsOn("", "150", "0.9", 150*time.Second)
	return j.Joint
}

// weldsOn goes from the preparation to the hold.
func (c *crew) weldsOn(celsius, seconds, ohms string, fuses time.Duration) {
	c.t.Helper()
	c.prepares()
	c.reads(celsius)
	c.keysIn()
	c.display(seconds, "39.5")
	c.resistance(ohms)
	c.current()
	c.passes(fuses + time.Second)
	c.fuses(seconds)
}

// With only the journal left the first screen says so, and nothing is made over it.
func TestAJournalWithoutItsLogIsSaid(t *testing.T) {
	t.Parallel()
	c := newCrew(t, nil)
	if got := journalAlone(c.log + "x"); got != "" {
		t.Errorf("without a journal %q is said", got)
	}
	entries := strings.Count(fileText(t, c.log+".journal"), "\n") - 1 // its first line is none
	if err := os.Remove(c.log); err != nil {
		t.Fatal(err)
	}
	c.terminal = openBoard(t, c.env)
	c.waitFor("1  type the job in here")
	said := strings.Join(strings.Fields(c.screen()), "")
	want := strings.ReplaceAll(fmt.Sprintf("A journal of %d entries lies beside %s, but no log: coolhold restore", entries, c.log), " ", "")
	if !strings.Contains(said, want) {
		t.Errorf("no %q on the first screen:\n%s", want, c.screen())
	}
	c.leaves()
	if _, err := os.Stat(c.log); !os.IsNotExist(err) {
		t.Errorf("looking made a log: %v", err)
	}
}
