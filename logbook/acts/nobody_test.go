package acts_test

import (
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// A sign or an initial names no welder: he would be nobody where own work is looked for.
// That nobody knows who it was can be said.
func TestASignIsNoWelder(t *testing.T) {
	for _, name := range []string{"?", "-", "C", "1 2"} {
		c := crew.OnSite(t)
		id := c.Done("1A")
		c.Refused(acts.Correct(c.H, id, logbook.FieldOperator, name, "asked both"), logbook.ErrRule, "is no name")
		c.Refused(acts.EnterLater(c.H, c.LateWeld(func(l *acts.LateWeld) { l.Operator = name })), logbook.ErrRule, "is no name")
		c.Do(acts.CloseShift(c.H))
		c.Refused(acts.StartShift(c.H, logbook.ShiftStarted{Day: "2026-03-10", Operators: []logbook.Operator{{Name: name}}, Units: []logbook.Unit{{Serial: crew.Unit}}}), logbook.ErrRule, "is no name")
	}
	c := crew.OnSite(t)
	id := c.Done("1A")
	c.Do(acts.Correct(c.H, id, logbook.FieldOperator, "not known", "asked both"))
	c.Do(acts.EnterLater(c.H, c.LateWeld(func(l *acts.LateWeld) { l.Operator = "not known" })))
}
