package logbook_test

import (
	"strings"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// A bag that prints otherwise stops the row for the whole site: until the figures are
// typed again from that bag and are the table's, or a corrected table is read back.
func TestBagStopsTheRow(t *testing.T) {
	c := crew.OnSite(t)
	id, other := c.Fitted("1A"), c.Fitted("1B")
	for _, w := range []string{id, other} {
		c.Do(acts.AnswerStep(c.H, w, logbook.StepPrep, crew.Card()), acts.ReadAmbient(c.H, w, 2_00, logbook.Typed, nil))
	}
	c.WantNext(id, logbook.StepBag)
	c.Do(acts.TypeBag(c.H, id, 46))
	if b := crew.Last[logbook.BagRead](c); b.Band.Low != -5 || b.Seconds != 44 || b.Matches || *b.Printed != 46 {
		t.Errorf("bag read as %+v", b) // the band that will be used
	}
	c.WantNext(id, logbook.StepBag)
	c.Refused(acts.KeySettings(c.H, id, logbook.ModeKeyed, 44, nil), logbook.ErrRule, "prints 46 s")
	c.Refused(acts.ReadBag(c.H, id, true), logbook.ErrRule, "type its figure again from that bag")
	third := c.Begin("2A")
	c.Do(acts.AnswerStep(c.H, third, logbook.StepFitting, crew.Fitting("coupler 40", "W-9")), acts.AnswerStep(c.H, third, logbook.StepPrep, crew.Card()), acts.ReadAmbient(c.H, third, 2_00, logbook.Typed, nil))
	c.Do(acts.TypeBag(c.H, third, 46)) // the bag of W-1 again, whosever walk it is
	if b := crew.Last[logbook.BagRead](c); b.Batch != "W-1" || b.Matches {
		t.Errorf("bag read as %+v", b)
	}
	c.Do(acts.TypeBag(c.H, other, 44)) // the first was a slip
	if b := crew.Last[logbook.BagRead](c); !b.Matches || *b.Printed != 44 || len(c.Site().Tables[0].Stopped) != 0 {
		t.Errorf("bag read as %+v, stopped %v", b, c.Site().Tables[0].Stopped)
	}
	c.WantNext(id, logbook.StepSettings)
	c.WantNext(third, logbook.StepBag) // W-9 itself was not read yet
	c.Do(acts.TypeBag(c.H, third, 46))
	c.WantNext(id, logbook.StepBag)
	corrected := strings.Replace(crew.TableText, "44, 40, 36", "46, 40, 36", 1)
	c.Do(acts.TakeTable(c.H, acts.File{Name: "table2.toml", Text: corrected}))
	c.Refused(acts.TypeBag(c.H, third, 46), logbook.ErrRule, "not read back")
	c.Do(acts.ReadBack(c.H, logbook.Hash(corrected)))
	c.WantNext(third, logbook.StepBag)
	c.Do(acts.ReadBag(c.H, third, true))
	c.WantNext(third, logbook.StepSettings)
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
		c    fusion.Celsius
		read bool
		want int
	}{{0, false, 1}, {-1_00, true, 0}, {20_00, true, 2}, {40_00, true, 1}} {
		var w logbook.Weld
		if tt.read {
			w.Ambient = &logbook.AmbientRead{C: tt.c}
		}
		if got := row.BagBand(w); got != tt.want {
			t.Errorf("%+v: band %d, want %d", tt, got, tt.want)
		}
	}
}
