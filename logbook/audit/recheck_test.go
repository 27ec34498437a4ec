package audit_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// Another look is one that was made after it was asked for, however late it is told, and
// neither looked at nor typed by who made the weld.
func TestWhatClosesARecheck(t *testing.T) {
	looked := func(by, looker string, after time.Duration, day bool) func(*team, string) {
		return func(c *team, id string) {
			b := again(nil)
			at := c.Weld(id).Recheck.At.Local().Add(after)
			if b.Looker, b.DayOnly = looker, day; after != 0 || day {
				b.Stated, b.How = &at, logbook.Later
			}
			if looker != "" {
				b.Paper = &logbook.PaperRow{File: "s.csv", Line: 3, Key: "again"}
			}
			c.Wait(time.Hour)
			c.again(c.by(by), id, b)
		}
	}
	for _, tt := range []struct {
		name string
		look func(*team, string)
		due  bool
	}{
		{"by another, since", looked(hedda, "", 20*time.Minute, false), false},
		{"by another, the minute it was asked", looked(hedda, "", -time.Second, false), false},
		{"by another, before", looked(hedda, "", -10*time.Minute, false), true},
		{"by another, that day", looked(hedda, "", 0, true), false},
		{"another's, typed by its welder", looked("Ada Invented", hedda, 20*time.Minute, false), true},
		{"another's, typed by a third", looked("Odile Typist", hedda, 20*time.Minute, false), false},
		{"its welder's, typed by a third", looked("Odile Typist", "Ada Invented", 20*time.Minute, false), true},
		{"of whom nobody knows", looked("Odile Typist", "not known", 20*time.Minute, false), true},
	} {
		c := onSite(t)
		id := c.made("1A", well())
		c.Wait(30*time.Minute - time.Duration(c.H.At.Wall.Second())*time.Second + 30*time.Second)
		c.Do(acts.AskRecheck(c.foreman(), id, "shade"))
		tt.look(c, id)
		if due := c.run().RecheckDue(c.Weld(id)); due != tt.due || strings.Contains(strings.Join(rulesOf(c.run()), " "), "recheck-asked") != tt.due {
			t.Errorf("%s: due %v", tt.name, due)
		}
	}
}

// A look of the day before it was asked for is told late, and closes nothing.
func TestALookOfTheDayBeforeClosesNoRecheck(t *testing.T) {
	c := onSite(t)
	id := c.made("1A", well())
	day := c.H.At.Local()
	c.Wait(24 * time.Hour)
	c.Do(acts.AskRecheck(c.foreman(), id, "shade"))
	b := again(nil)
	b.Stated, b.DayOnly, b.How = &day, true, logbook.Later
	c.again(c.foreman(), id, b)
	if !c.run().RecheckDue(c.Weld(id)) {
		t.Error("it is closed")
	}
}
