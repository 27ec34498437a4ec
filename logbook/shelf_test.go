package logbook_test

import (
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// A bag that prints otherwise stops the row for the whole site until a
// corrected table is taken and read back.
func TestBagStopsTheRow(t *testing.T) {
	c := crew.OnSite(t)
	id, other := c.Begin("1A"), c.Begin("1B")
	c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting("coupler 40", "W-1")), acts.ReadBag(c.H, id, false))
	if b := crew.Last[logbook.BagRead](c); b.Band.Low != 5 || b.Seconds != 40 || b.Matches {
		t.Errorf("bag read as %+v", b) // the middle band: no reading yet
	}
	c.WantNext(id, logbook.StepFitting)
	answers := crew.Fitting("coupler 40", "W-1")
	c.Refused(acts.AnswerStep(c.H, other, logbook.StepFitting, answers), logbook.ErrRule, "stopped")
	c.Do(acts.AnswerStep(c.H, other, logbook.StepFitting, crew.Fitting("elbow 40", "W-5"))) // another row goes on
	corrected := strings.Replace(crew.TableText, "44, 40, 36", "46, 40, 36", 1)
	c.Do(acts.TakeTable(c.H, acts.File{Name: "table2.toml", Text: corrected}))
	c.Refused(acts.AnswerStep(c.H, id, logbook.StepFitting, answers), logbook.ErrRule, "not read back")
	c.Do(acts.ReadBack(c.H, logbook.Hash(corrected)), acts.AnswerStep(c.H, id, logbook.StepFitting, answers))
	c.WantNext(id, logbook.StepBag)
	c.Do(acts.ReadBag(c.H, id, true))
	c.WantNext(id, logbook.StepPrep)
	shelf := logbook.ShelfOf(c.Site())
	if rows := shelf.Rows(); len(rows) != 4 || rows[0].Ref.Hash != logbook.Hash(corrected) || len(shelf.Tables()) != 2 {
		t.Errorf("%d rows, %d tables", len(rows), len(shelf.Tables()))
	}
	c.WantRebuilt()
}

// The bag is read for the band of the last reading.
func TestBagBand(t *testing.T) {
	c := crew.OnSite(t)
	row, err := logbook.ShelfOf(c.Site()).Row("coupler 40")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		last *logbook.LastAmbient
		want int
	}{{nil, 1}, {&logbook.LastAmbient{C: -1_00}, 0}, {&logbook.LastAmbient{C: 20_00}, 2}, {&logbook.LastAmbient{C: 40_00}, 1}} {
		if got := row.BagBand(tt.last); got != tt.want {
			t.Errorf("%+v: band %d, want %d", tt.last, got, tt.want)
		}
	}
}
