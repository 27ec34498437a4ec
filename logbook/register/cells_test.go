package register

import (
	"errors"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/plan"
)

// Cells that say more than one value.
func TestCells(t *testing.T) {
	at := time.Date(2026, 3, 9, 14, 5, 0, 0, time.FixedZone("", 3600))
	stop := 17
	weld := func(change func(*logbook.Weld)) Row {
		w := logbook.Weld{ID: "KM-0001", Answers: map[string]logbook.Answer{}}
		change(&w)
		return Row{Weld: w}
	}
	look := func(indicators ...string) logbook.Seen {
		return logbook.Seen{Look: logbook.Look{Indicators: indicators}}
	}
	done := func(w *logbook.Weld) { w.Answers["wiped"] = logbook.Answer{V: logbook.Done} }
	tests := []struct {
		name, column, want string
		row                Row
	}{
		{"stated release", "released_at", "2026-03-09T14:05:00+01:00", weld(func(w *logbook.Weld) { w.ReleasedStated = &at })},
		{"no release", "released_at", "", weld(func(*logbook.Weld) {})},
		{"seconds of a stopped fusion", "seconds_run", "17", weld(func(w *logbook.Weld) { w.StoppedAt = &stop })},
		{"ohms not shown", "ohms", "", weld(func(w *logbook.Weld) { w.Ohms = &logbook.ResistanceRead{} })},
		{"how it came", "came_by", "scanned: fitting; typed: ambient, settings, resistance; computed: cooling time", weld(func(w *logbook.Weld) {
			w.Answers[logbook.ItemFitting] = logbook.Answer{V: "coupler 40", How: logbook.Scanned}
			w.Ambient = &logbook.AmbientRead{How: logbook.Typed}
			w.Settings = &logbook.SettingsKeyed{How: logbook.Typed, CoolingHow: logbook.Computed}
			w.Ohms = &logbook.ResistanceRead{How: logbook.Typed}
		})},
		{"how the mode came", "came_by", "typed: settings; carried over: time from", weld(func(w *logbook.Weld) {
			w.Settings = &logbook.SettingsKeyed{How: logbook.Typed, ModeHow: logbook.Carried}
		})},
		{"one method", "scraping_method", "hand scraper", weld(func(w *logbook.Weld) {
			w.Answers[logbook.ItemMethod] = logbook.Answer{V: logbook.HandTool}
		})},
		{"a method of each end", "scraping_method", "first end hand scraper; other end rotary scraper", weld(func(w *logbook.Weld) {
			w.Answers[logbook.ItemMethod], w.Answers[logbook.ItemMethod2] = logbook.Answer{V: logbook.HandTool}, logbook.Answer{V: logbook.RotaryTool}
		})},
		{"no band", "band", "outside", weld(func(w *logbook.Weld) { w.Settings = &logbook.SettingsKeyed{} })},
		{"no volts in the table", "volts_table", "", weld(func(w *logbook.Weld) { w.Settings = &logbook.SettingsKeyed{} })},
		{"preparation in part", "preparation", "1 of 9 done", weld(done)},
		{"preparation not given", "preparation", "", weld(func(*logbook.Weld) {})},
		{"preparation that could not", "preparation", "clamped: could not (no access); 1 of 9 done", weld(func(w *logbook.Weld) {
			done(w)
			w.Answers["clamped"] = logbook.Answer{V: logbook.CouldNot, Why: "no access"}
		})},
		{"indicators that changed", "indicators", "up flat; then up up", weld(func(w *logbook.Weld) {
			w.Looks = []logbook.Seen{look("up", "flat"), look(), look("up", "up"), look("up", "up")}
		})},
		{"entered later", "entered", "later", weld(func(w *logbook.Weld) { w.LateWhy = "van" })},
		{"header from ground", "header", "from ground", Row{Joint: logbook.Joint{Joint: plan.Joint{Way: "FG"}}}},
		{"weather of a late weld", "weather", "", weld(func(w *logbook.Weld) { w.Started, w.LateWhy = &fusion.Stamp{Wall: at}, "van" })},
		{"findings", "findings", "fail wire-seen; query wet (accepted by Bo Invented: seen)", Row{Findings: []audit.Finding{
			{Rule: "wire-seen", Severity: audit.Fail},
			{Rule: "wet", Severity: audit.Query, Accepted: &audit.Acceptance{Why: "seen", By: "Bo Invented"}},
		}}},
	}
	for _, tt := range tests {
		if got := cellsOf(t, []Row{tt.row})[0][tt.column]; got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

var errFull = errors.New("disk full")

// A full writer takes a few bytes and then no more.
type full struct{ left int }

func (f *full) Write(p []byte) (int, error) {
	if len(p) > f.left {
		return 0, errFull
	}
	f.left -= len(p)
	return len(p), nil
}

func TestAFullDiskIsSaid(t *testing.T) {
	rows := make([]Row, 200)
	for _, room := range []int{0, 5000} {
		if err := CSV(&full{room}, Report{Rows: rows}); !errors.Is(err, errFull) {
			t.Errorf("CSV with room for %d: %v", room, err)
		}
		if err := JSON(&full{room}, Report{Rows: rows}); !errors.Is(err, errFull) {
			t.Errorf("JSON with room for %d: %v", room, err)
		}
	}
}
