package register

import (
	"bytes"
	"encoding/csv"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
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

// A team works on an invented site in memory.
type team struct{ *crew.Crew }

func onSite(t testing.TB) *team { return teamOf(t, "KM") }

// teamOf is a team whose laptop has that tag.
func teamOf(t testing.TB, tag string) *team {
	c := &team{crew.Tagged(t, tag)}
	c.Opens(planText, tableText)
	c.Do(acts.ReadBack(c.H, logbook.Hash(tableText)), acts.StartShift(c.H, logbook.ShiftStarted{
		Day: "2026-03-09", Operators: []logbook.Operator{{Name: crew.Ada, Number: "Q-7", Expiry: "2027-01-01"}},
		Units:   []logbook.Unit{{Serial: crew.Unit, Calibrated: "2026-01-02", Corrects: logbook.No}},
		Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
	return c
}

// made is a whole weld: 9 °C, as in the table, fused, held and released. batch
// is that of its fitting.
func (c *team) made(label, batch string) string {
	c.T.Helper()
	id := c.fusedOf(label, batch)
	c.Wait(7 * time.Minute)
	c.Do(acts.Release(c.H, id, look(logbook.LookRelease), fusion.Stamp{}))
	return id
}

// fused is a weld in its hold.
func (c *team) fused(label string) string { c.T.Helper(); return c.fusedOf(label, "W-1") }

func (c *team) fusedOf(label, batch string) string {
	c.T.Helper()
	id := c.Numbered(label)
	answers := []logbook.Answer{
		{Item: logbook.ItemFitting, V: "coupler 40"}, {Item: logbook.ItemBatch, V: batch}, {Item: logbook.ItemPipeBatch, V: "0042"},
		{Item: logbook.ItemMethod, V: logbook.RotaryTool}, {Item: logbook.ItemPrint, V: logbook.AsPlanned},
	}
	for _, p := range logbook.PrepItems {
		answers = append(answers, logbook.Answer{Item: p.Item, V: logbook.Done})
	}
	c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, answers), acts.ReadBag(c.H, id, true), acts.ReadAmbient(c.H, id, 9_00, logbook.Typed, nil))
	c.Do(acts.KeySettings(c.H, id, logbook.ModeKeyed, 40, new(39.5)), acts.ReadOhms(c.H, id, new(2.43)))
	c.Do(acts.StartFusion(c.H, id, 0))
	c.Wait(40 * time.Second)
	c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}), acts.ReadRun(c.H, id, new(40)))
	c.Do(acts.ReadLook(c.H, id, look(logbook.LookHot)))
	return id
}

func look(when logbook.Occasion) logbook.Look {
	return logbook.Look{When: when, Indicators: []string{logbook.Up, logbook.Up}, How: logbook.Typed}
}

func (c *team) report(o Query) Report {
	o.AsOf = c.H.At.Local()
	o.Logs = []Log{{ID: "log 1", Tag: "KM", Entries: len(c.Entries)}}
	return New(c.Book, c.H.Site, audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}), o)
}

func (c *team) rows() []Row {
	return Rows(c.Book, c.H.Site, audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}))
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
