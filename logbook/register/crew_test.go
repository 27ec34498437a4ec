package register

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// The figures of this table are invented, except 40 s in 5…14 °C, 39.5 V and
// 6 min (common practice, no source).
const tableText = `title = "invented table"
source = "invented"
bands = [[-5, 4], [5, 14], [15, 25]]
[[fitting]]
name = "coupler 40"
kind = "coupler"
sizes_mm = [40]
sdr = [11]
volts = 39.5
seconds = [44, 40, 36]
cooling_min = 6
ohms = 2.4
`

const planText = `site = "Meadow"
client = "invented client"
contract = "C-17 (invented)"
firm = "invented firm"
address = "invented address"
[[chamber]]
name = "A"
ports = [{no = 1, row = "low", bar = "from ground"}, {no = 2, row = "low", bar = "to ground"}]
[[chamber.circuit]]
no = 1
od_mm = 40
sdr = 11
length_m = 200
ports = [1, 2]
fitting = "coupler 40"
[[chamber.header]]
way = "to ground"
od_mm = 40
sdr = 11
length_m = 30
fitting = "coupler 40"
[[joint]]
label = "E1"
fitting = "coupler 40"
where = "bend in the trench"
`

const (
	ada  = "Ada Invented"
	unit = "CU-1"
)

// A crew works on an invented site in memory.
type crew struct {
	t    testing.TB
	book *logbook.Book
	seq  uint64
	h    acts.Head
	last logbook.Entry
	all  []logbook.Entry
}

func onSite(t testing.TB) *crew { return onSiteWith(t, "KM") }

// onSiteWith is a crew whose laptop has that tag.
func onSiteWith(t testing.TB, tag string) *crew {
	c := &crew{t: t, book: logbook.NewBook(tag, 1)}
	c.h = acts.Head{By: ada, At: fusion.Stamp{
		Wall: time.Date(2026, 3, 9, 7, 0, 0, 0, time.UTC), Offset: 3600, Boot: time.Hour, BootID: "boot one", Machine: "laptop",
	}}
	c.do(acts.OpenSite(c.h, acts.File{Name: "p", Text: planText}, []acts.File{{Name: "t", Text: tableText}}))
	c.h.Site = "meadow"
	c.do(acts.ReadBack(c.h, logbook.Hash(tableText)), acts.StartShift(c.h, logbook.ShiftStarted{
		Day: "2026-03-09", Operators: []logbook.Operator{{Name: ada, Number: "Q-7", Expiry: "2027-01-01"}},
		Units:   []logbook.Unit{{Serial: unit, Calibrated: "2026-01-02", Corrects: logbook.No}},
		Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
	c.h.Shift = c.last.Shift
	return c
}

func (c *crew) do(acts ...acts.Act) {
	c.t.Helper()
	for _, act := range acts {
		drafts, err := act(c.book)
		if err != nil {
			c.t.Fatal(err)
		}
		for i, d := range drafts {
			c.seq++
			c.h.ID = fmt.Sprint("act ", c.seq)
			if c.last, err = d.Entry(c.seq, i); err != nil {
				c.t.Fatal(err)
			}
			c.book.Add(c.last)
			c.all = append(c.all, c.last)
		}
	}
}

func (c *crew) wait(d time.Duration) { c.h.At = c.h.At.Add(d) }

func (c *crew) begin(label string) string {
	c.t.Helper()
	c.do(acts.BeginWeld(c.h, label, ada, unit))
	return c.last.Weld
}

// made is a whole weld: 9 °C, as in the table, fused, held and released. batch
// is that of its fitting.
func (c *crew) made(label, batch string) string {
	c.t.Helper()
	id := c.fusedOf(label, batch)
	c.wait(7 * time.Minute)
	c.do(acts.Release(c.h, id, look(logbook.LookRelease), fusion.Stamp{}))
	return id
}

// fused is a weld in its hold.
func (c *crew) fused(label string) string { c.t.Helper(); return c.fusedOf(label, "W-1") }

func (c *crew) fusedOf(label, batch string) string {
	c.t.Helper()
	id, volts, ohms, ran := c.begin(label), 39.5, 2.43, 40
	answers := []logbook.Answer{
		{Item: logbook.ItemFitting, V: "coupler 40"}, {Item: logbook.ItemBatch, V: batch}, {Item: logbook.ItemPipeBatch, V: "0042"},
		{Item: logbook.ItemMethod, V: logbook.RotaryTool}, {Item: logbook.ItemPrint, V: logbook.AsPlanned},
	}
	for _, p := range logbook.PrepItems {
		answers = append(answers, logbook.Answer{Item: p.Item, V: logbook.Done})
	}
	c.do(acts.AnswerStep(c.h, id, logbook.StepFitting, answers), acts.ReadBag(c.h, id, true), acts.ReadAmbient(c.h, id, 9_00, logbook.Typed, nil))
	c.do(acts.KeySettings(c.h, id, logbook.ModeKeyed, 40, &volts), acts.ReadOhms(c.h, id, &ohms))
	c.do(acts.StartFusion(c.h, id, 0))
	c.wait(40 * time.Second)
	c.do(acts.EndFusion(c.h, id, logbook.FusionEnded{Outcome: logbook.Completed}), acts.ReadRun(c.h, id, &ran))
	c.do(acts.ReadLook(c.h, id, look(logbook.LookHot)))
	return id
}

func look(when logbook.Occasion) logbook.Look {
	return logbook.Look{When: when, Indicators: []string{logbook.Up, logbook.Up}, How: logbook.Typed}
}

func (c *crew) report(o Query) Report {
	o.AsOf = c.h.At.Local()
	o.Logs = []Log{{ID: "log 1", Tag: "KM", Entries: int(c.seq)}}
	return New(c.book, c.h.Site, audit.Run(c.book, c.h.Site, c.h.At, fusion.Stamp{}), o)
}

func (c *crew) rows() []Row {
	return Rows(c.book, c.h.Site, audit.Run(c.book, c.h.Site, c.h.At, fusion.Stamp{}))
}

// cellsOf reads what CSV wrote: a map from column to cell for each row.
func cellsOf(t testing.TB, rows []Row) []map[string]string {
	t.Helper()
	var out bytes.Buffer
	if err := CSV(&out, Report{Rows: rows}); err != nil {
		t.Fatal(err)
	}
	lines, err := csv.NewReader(&out).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) != len(rows)+1 {
		t.Fatalf("%d lines for %d rows", len(lines), len(rows))
	}
	var cells []map[string]string
	for _, line := range lines[1:] {
		m := map[string]string{}
		for i, v := range line {
			m[lines[0][i]] = v
		}
		cells = append(cells, m)
	}
	return cells
}
