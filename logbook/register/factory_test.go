package register

import (
	"strings"
	"testing"

	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// What came fused from a works is listed with its certificate, last, and is among
// no welds and no joints without one.
func TestFactoryJoints(t *testing.T) {
	text := strings.Replace(planText, `od_mm = 40
sdr = 11
length_m = 200`, `od_mm = 40
sdr = 13.6
length_m = 200
probe = "P1"`, 1)
	text = strings.Replace(text, `{no = 1, row`, `{no = 1, od_mm = 40, sdr = 11, row`, 1) + `[[factory]]
label = "F1"
where = "foot of the probe"
certificate = "C-1"
ends = [{pipe = "1A"}]
[[factory]]
label = "F2"
where = "seam"
chamber = "A"
`
	c := &team{crew.Empty(t)}
	c.Opens(text, strings.Replace(tableText, "sdr = [11]", "sdr = [11, 13.6]", 1))
	c.Do(acts.StrikeJoint(c.H, "E1", "not needed"))
	rows := cellsOf(t, c.rows())
	for i, want := range map[int][6]string{
		0: {"1A", "no weld", "", "stub 40 mm SDR 11, pipe 40 mm SDR 13.6", "P1", "13.6"},
		1: {"1B", "no weld", "", "", "P1", "13.6"},
		4: {"F1", "not ours", "C-1", "pipe 40 mm SDR 13.6", "", "13.6"},
		5: {"F2", "not ours", "certificate not given", "", "", ""},
	} {
		r := rows[i]
		if got := [6]string{r["joint"], r["state"], r["certificate"], r["ends"], r["probe"], r["pipe_sdr"]}; got != want {
			t.Errorf("row %d is %q, want %q", i, got, want)
		}
	}
	if len(rows) != 6 || rows[4]["position"] != "foot of the probe" || rows[5]["chamber"] != "A" || rows[4]["verdict"] != "" {
		t.Errorf("got %d rows, %v", len(rows), rows[4:])
	}
	for name, q := range map[string]Query{"no weld": {Verdicts: []string{NoWeld}}, "a day": {Day: "2026-03-09"}} {
		for _, row := range c.report(q).Rows {
			if row.Factory != nil {
				t.Errorf("by %s %s is listed", name, row.Joint.Label)
			}
		}
	}
	if got := len(c.report(Query{}).Rows); got != 6 {
		t.Errorf("%d rows without a filter", got)
	}
}
