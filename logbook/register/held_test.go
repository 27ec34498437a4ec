package register

import (
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// Where the end of a fusion was put right, the hold that counts from it ends with it, and so
// does the wait that follows the hold; of a hold that counts from its entry neither moves.
func TestAHoldMovesWithItsCorrectedEnd(t *testing.T) {
	for _, stated := range []bool{true, false} {
		c := crew.OnSite(t)
		id := c.Late(func(l *acts.LateWeld) { l.HoldStated = stated })
		was := c.Weld(id)
		held, _ := was.HoldUntil()
		over, waits := was.WaitOver()
		ended, _ := was.EndedAt()
		c.Do(acts.Correct(c.H, id, logbook.FieldEnded, ended.Add(-time.Minute).Format(time.RFC3339), "read again on the sheet"))
		by := time.Duration(0)
		if stated {
			by = -time.Minute
		}
		is := c.Weld(id)
		now, _ := is.HoldUntil()
		if then, _ := is.WaitOver(); !waits || !now.Equal(held.Add(by)) || !then.Equal(over.Add(by)) {
			t.Errorf("stated %v: held until %v, was %v; the wait is over %v, was %v", stated, now, held, then, over)
		}
		rep := reported(c)
		if got := rep.Rows[0].Cell("hold_until"); got != Value(now) {
			t.Errorf("stated %v: the register has %v, want %v", stated, got, now)
		}
		all := is.AsRecorded()
		if first, _ := all[len(all)-1].HoldUntil(); !first.Equal(held) {
			t.Errorf("stated %v: as it was recorded it was held until %v, want %v", stated, first, held)
		}
		if left, _ := is.Hold.Left(c.H.At, crew.Morning); left != now.Sub(c.H.At.Local()) {
			t.Errorf("stated %v: %v are left of the hold, until %v", stated, left, now)
		}
	}
}
