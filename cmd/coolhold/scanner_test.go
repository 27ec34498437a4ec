//go:build unix

package main

import (
	"strings"
	"testing"
)

// An invented code of 24 digits; many of them are commands of the board.
const code = "123456780123456780120123"

// cuts are the ways in which a scan may arrive.
func cuts(text string) map[string][]string {
	return map[string][]string{
		"whole":  {text},
		"chunks": {text[:7], text[7:9], text[9:23], text[23:]},
		"runes":  strings.Split(text, ""),
	}
}

// However its bytes are cut, a scan at the fitting step lands whole.
func TestScanAtTheFitting(t *testing.T) {
	t.Parallel()
	c := readyToWeld(t, holdClock(t))
	joint := map[string]string{"whole": "1A", "chunks": "2A", "runes": "3A"}
	for how, chunks := range cuts(code + "\r") {
		c.begins(joint[how])
		c.asked("fitting, as printed on the bag")
		c.scans(code+"  (kept as scanned)", chunks...)
		c.asked("fitting, as printed on the bag") // its Enter took no offer
		c.press("esc")
	}
	c.leaves()
	found := 0
	for _, r := range c.register() {
		if r["weld"] != "" {
			found++
			// The fitting is the plan's: nobody has chosen one yet.
			r.shows(t, row{"fitting_code": code, "fitting_batch": "", "state": "in the walk"})
		}
	}
	if found != 3 {
		t.Errorf("%d welds with a code, want 3", found)
	}
}

// Where no scan is wanted it is swallowed and said, and nothing is stored: the
// log stays as it is to the byte.
func TestScanElsewhere(t *testing.T) {
	t.Parallel()
	c := readyToWeld(t, holdClock(t))
	c.ignoresScans("Next: 1A, reducer 40x32, low row: key 1.")
	c.begins("1A")
	c.fits("1", "B1")
	c.ignoresScans("0  all done")
	c.prepares()
	c.reads("8.5")
	c.keysIn()
	c.display("40", "39.5")
	c.resistance("2.6")
	c.ignoresScans("▸ start")
	c.current() // a hand still starts it
}

func (c *crew) ignoresScans(where string) {
	c.t.Helper()
	c.waitFor(where)
	c.waitGone("storing") // what was answered before
	before := c.journal()
	for how, chunks := range cuts(code + "\r") {
		c.scans("scan ignored here: 1234… (24 characters)", chunks...)
		c.press("backspace") // takes the line away and does nothing else
		c.waitGone("scan ignored here")
		if !strings.Contains(c.screen(), where) {
			c.t.Errorf("%s: a scan (%s) went on from here:\n%s", where, how, c.screen())
		}
	}
	if after := c.journal(); after != before {
		c.t.Errorf("%s: a scan stored something:\n%s", where, strings.TrimPrefix(after, before))
	}
}

// journal is every entry stored so far.
func (c *crew) journal() string { c.t.Helper(); return fileText(c.t, c.log+".journal") }
