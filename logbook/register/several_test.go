package register

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

// Three laptops were on one site: two drew the same tag, the third had another plan.
// The expectation was written by hand from what is done here and from the two plans; their
// hashes came from sha256sum. Nothing writes it anew.
func threeLogs(t *testing.T) (copies []logbook.LogCopy, third *team) {
	t.Helper()
	first, other := testFile(t, "meadow.toml"), testFile(t, "meadow_other.toml")
	a, b, c := laptop(t, "KM", first, 0), laptop(t, "KM", first, 30*time.Minute), laptop(t, "VN", other, time.Hour)
	a.made("1A", "W-1")
	a.Do(acts.AddJoint(a.H, plan.Joint{Label: "X1", Fitting: "coupler 40"}, "bend too tight"))
	b.made("1A", "W-2")
	c.made("1B", "W-3")
	c.Do(acts.SplitJoint(c.H, "TG", "too short", acts.Piece{OdMM: 40, SDR: 11, Fittings: [2]string{"coupler 40", "coupler 40"}}))
	c.Do(acts.SameSite(c.H, []logbook.SiteIn{
		{Log: "a1b2c3d4", Plan: "17386ae39822"}, {Log: "e5f60718", Plan: "17386ae39822"}, {Log: "0c0d0e0f", Plan: "39c8277b8837"},
	}, "the van had another drawing", false))
	return []logbook.LogCopy{
		{Name: "a", ID: "a1b2c3d4", Tag: "KM", Entries: a.Entries}, {Name: "b", ID: "e5f60718", Tag: "KM", Entries: b.Entries}, {Name: "c", ID: "0c0d0e0f", Tag: "VN", Entries: c.Entries},
	}, c
}

func testFile(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// laptop is a team with a log of its own that opens the site by this plan, later.
func laptop(t *testing.T, tag, planText string, later time.Duration) *team {
	c := &team{crew.Tagged(t, tag)}
	c.Wait(later)
	c.Opens(planText, tableText)
	c.Do(acts.ReadBack(c.H, logbook.Hash(tableText)), acts.StartShift(c.H, logbook.ShiftStarted{
		Day: "2026-03-09", Operators: []logbook.Operator{{Name: crew.Ada, Number: "Q-7", Expiry: "2027-01-01"}},
		Units:   []logbook.Unit{{Serial: crew.Unit, Calibrated: "2026-01-02", Corrects: logbook.No}},
		Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
	return c
}

func mergedReport(t *testing.T, copies []logbook.LogCopy, at fusion.Stamp) Report {
	t.Helper()
	entries, err := logbook.Merge(copies)
	if err != nil {
		t.Fatal(err)
	}
	book := logbook.Fold("KM", entries)
	return New(book, "meadow", audit.Run(book, "meadow", at, fusion.Stamp{}), Query{AsOf: at.Local()})
}

func TestThreeLogsAsWrittenByHand(t *testing.T) {
	copies, third := threeLogs(t)
	rep := mergedReport(t, copies, third.H.At)
	want, err := csv.NewReader(strings.NewReader(testFile(t, "three_logs.csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var buf bytes.Buffer
	if err := CSV(&buf, rep); err != nil {
		t.Fatal(err)
	}
	got, err := csv.NewReader(&buf).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	got = columnsOf(got, want[0])
	if len(got) != len(want) {
		t.Errorf("%d rows, want %d", len(got), len(want))
	}
	for i := range min(len(got), len(want)) {
		if !reflect.DeepEqual(got[i], want[i]) {
			t.Errorf("row %d is\n%q, want\n%q", i, got[i], want[i])
		}
	}
}

// columnsOf are the columns of these names, in their order.
func columnsOf(rows [][]string, names []string) (out [][]string) {
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	for _, row := range rows {
		var cells []string
		for _, name := range names {
			cells = append(cells, row[at[name]])
		}
		out = append(out, cells)
	}
	return out
}

func TestWhatThreeLogsDiffersInIsFound(t *testing.T) {
	copies, third := threeLogs(t)
	rep := mergedReport(t, copies, third.H.At)
	var buf bytes.Buffer
	if err := JSON(&buf, rep); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Plans []Plan `json:"plans"`
	}
	if err := json.Unmarshal(buf.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	plans := []Plan{
		{"KM (a1b2)", "17386ae39822", 1, "plan.toml", ""}, {"KM (e5f6)", "17386ae39822", 1, "plan.toml", ""}, {"VN", "39c8277b8837", 1, "plan.toml", ""},
	}
	if !reflect.DeepEqual(doc.Plans, plans) {
		t.Errorf("plans are %+v", doc.Plans)
	}
	found := map[string]string{}
	for _, f := range rep.Open {
		found[f.Key] = f.Says
	}
	const between = " (KM (a1b2) / VN)"
	want := map[string]string{
		"logs-differ:meadow": "meadow: the logs do not have the same of it (plans KM (a1b2) 17386ae39822, KM (e5f6) 17386ae39822, VN 39c8277b8837): " +
			"client invented client / another client" + between + "; joint 1A port 1 / 3" + between + "; joint 1B port 2 / 4" + between +
			"; joint E1 place bend in the trench / at the wall" + between + "; joint TG length 30 m / 35 m" + between,
		"two-in-joint:KM-0001 (a1b2)": "KM-0001 (a1b2) stands in joint 1A, and so does KM-0001 (e5f6)",
		"two-in-joint:KM-0001 (e5f6)": "KM-0001 (e5f6) stands in joint 1A, and so does KM-0001 (a1b2)",
	}
	for key, says := range want {
		if found[key] != says {
			t.Errorf("%s says\n%q, want\n%q", key, found[key], says)
		}
	}
}

// Who said that sites of unlike plans are one, when and why, stands with the plans.
func TestWhoSaidThatItIsOneSite(t *testing.T) {
	copies, third := threeLogs(t)
	h := third.H
	h.By = "Hedda Invented"
	third.Do(acts.SameSite(h, []logbook.SiteIn{{Log: "a1b2c3d4", Plan: "older"}, {Log: "0c0d0e0f", Plan: "39c8277b8837"}}, "it was another job", true))
	copies[2].Entries = third.Entries
	var buf bytes.Buffer
	if err := JSON(&buf, mergedReport(t, copies, third.H.At)); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Said []map[string]any `json:"one_site"`
	}
	if err := json.Unmarshal(buf.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	at := third.H.At.Local().Format(time.RFC3339)
	want := []map[string]any{
		{"logs": []any{"KM (a1b2)", "KM (e5f6)", "VN"}, "why": "the van had another drawing", "by": crew.Ada, "at": at, "log": "VN"},
		{"logs": []any{"KM (a1b2)", "VN"}, "why": "it was another job", "by": "Hedda Invented", "at": at, "log": "VN", "withdrawn": true},
	}
	if !reflect.DeepEqual(doc.Said, want) {
		t.Errorf("got %v, want\n%v", doc.Said, want)
	}
}

// Unlike is the report of three laptops whose plans are not alike; accepted tells whether
// the foreman has accepted that.
func Unlike(t *testing.T, accepted bool) Report {
	copies, third := threeLogs(t)
	if accepted {
		entries, err := logbook.Merge(copies)
		if err != nil {
			t.Fatal(err)
		}
		book := logbook.Fold("KM", entries)
		h := third.H
		h.By = "Hedda Invented"
		f, _ := audit.Run(book, "meadow", h.At, fusion.Stamp{}).Find("logs-differ:meadow")
		act := acts.Accept(h, fusion.Stamp{}, f.Judged(), "the newer drawing counts")
		third.Do(func(logbook.Reader) ([]logbook.Draft, error) { return act(book) })
		copies[2].Entries = third.Entries
	}
	return mergedReport(t, copies, third.H.At)
}
