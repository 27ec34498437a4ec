package register

import (
	"bytes"
	"encoding/json"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

func TestMain(m *testing.M) {
	debug.SetGCPercent(400) // much is made and little kept
	os.Exit(m.Run())
}

// From a table's text to a row of the register: 40 s in 5…14 °C, 39.5 V and
// 6 min (common practice, no source).
func TestFromTableToRow(t *testing.T) {
	c := onSite(t)
	id := c.made("1A", "W-1")
	c.Do(acts.ReadLook(c.H, id, look(logbook.LookRound)))
	want := map[string]string{
		"weld": "KM-0001", "joint": "1A", "state": "stands", "chamber": "A", "circuit": "1", "leg": "A", "header": "", "port": "1",
		"pipe_od_mm": "40", "pipe_sdr": "11", "fitting": "coupler 40", "fitting_batch": "W-1", "coil_batch": "0042",
		"shift": "2026-03-09", "operator": crew.Ada, "operator_number": "Q-7", "operator_expiry": "2027-01-01", "unit": crew.Unit,
		"unit_calibrated": "2026-01-02", "weather": "dry, shelter none", "scraping_method": "rotary scraper", "preparation": "all done",
		"ambient_c": "9", "band": "5…14 °C", "time_from": "keyed by hand", "volts_table": "39.5", "volts_set": "39.5",
		"seconds_table": "40", "seconds_set": "40", "seconds_run": "40", "ohms": "2.43", "outcome": "completed",
		"fused_at": "2026-03-09T08:00:00+01:00", "cooling_min": "6", "hold_until": "2026-03-09T08:06:40+01:00",
		"released_at": "2026-03-09T08:07:40+01:00", "indicators": "up up", "entered": "in the walk", "verdict": "clear", "findings": "",
	}
	got := cellsOf(t, c.rows())[0]
	for column, v := range want {
		if cell, ok := got[column]; !ok || cell != v {
			t.Errorf("%s is %q, want %q", column, cell, v)
		}
	}
	for _, column := range []string{"fused_at", "hold_until", "released_at"} {
		if at, err := time.Parse(time.RFC3339, got[column]); err != nil || strings.HasSuffix(got[column], "Z") {
			t.Errorf("%s %q reads as %v, %v", column, got[column], at, err)
		}
	}
}

func TestHeaderNames(t *testing.T) {
	var names []string
	for _, c := range Columns {
		if slices.Contains(names, c.Name) {
			t.Errorf("two columns are called %s", c.Name)
		}
		if c.Name == "" || strings.ContainsFunc(c.Name, unicode.IsSpace) || c.Name != strings.ToLower(c.Name) {
			t.Errorf("column name %q", c.Name)
		}
		names = append(names, c.Name)
	}
	for _, want := range strings.Fields(`weld joint chamber circuit leg fitting operator unit ambient_c volts_table volts_set
		seconds_table seconds_set seconds_run ohms fused_at hold_until released_at indicators verdict findings`) {
		if !slices.Contains(names, want) {
			t.Errorf("no column %s", want)
		}
	}
	var out bytes.Buffer
	if err := CSV(&out, Report{}); err != nil {
		t.Fatal(err)
	}
	if got := out.String(); got != strings.Join(names, ",")+"\r\n" {
		t.Errorf("header line %q", got)
	}
}

// Every value is of the kind its column says, or is not known.
func TestKindsOfValues(t *testing.T) {
	c := onSite(t)
	c.made("1A", "W-1")
	c.Numbered("1B")
	seen := map[ColumnKind]int{}
	for _, row := range c.rows() {
		for _, col := range Columns {
			ok := true
			switch v := col.Cell(row).(type) {
			case nil:
				continue
			case string:
				ok = (col.Kind == Text || col.Kind == Date) && v != ""
			case int, float64:
				ok = col.Kind == Number
			case time.Time:
				ok = col.Kind == Time && !v.IsZero()
			default:
				ok = false
			}
			seen[col.Kind]++
			if !ok {
				t.Errorf("%s holds %#v", col.Name, col.Cell(row))
			}
		}
	}
	if seen[Text] == 0 || seen[Number] == 0 || seen[Time] == 0 || seen[Date] == 0 {
		t.Errorf("values seen: %v", seen)
	}
}

// hostile are texts that a person or a scanner may bring in, and the cell that
// must come of each.
var hostile = []struct{ name, text, want string }{
	{"plain", "W-1", "W-1"},
	{"equals", "=1+1", "'=1+1"},
	{"plus", "+1", "'+1"},
	{"minus", "-1+1", "'-1+1"},
	{"a number", "-42", "-42"},
	{"a number with its part", "-4.25", "-4.25"},
	{"a letter after the sign", "+W1", "'+W1"},
	{"at", "@SUM(A1)", "'@SUM(A1)"},
	{"tab first", "\t=1+1", "' =1+1"},
	{"carriage return first", "\r=1+1", "' =1+1"},
	{"line end first", "\n@x", "' @x"},
	{"blanks first", "   =1+1", "'   =1+1"},
	{"hard blank first", "\u00a0=1+1", "'\u00a0=1+1"},
	{"wide blank first", "\u3000=1+1", "'\u3000=1+1"},
	{"wide equals", "\uff1d1+1", "'\uff1d1+1"},
	{"wide plus, minus, at", "\uff0b\uff0d\uff20", "'\uff0b\uff0d\uff20"},
	{"quotes", `"=1"`, `"=1"`},
	{"comma and quotes", `a,"b",c`, `a,"b",c`},
	{"newlines", "a\r\nb\nc", "a  b c"},
	{"NUL", "\x00=1", "·=1"},
	{"escape", "\x1b]0;title\a\x1b[2J", "·]0;title··[2J"},
	{"C1 control", "\u009b2J", "·2J"},
	{"right to left", "\u202e=1+1", "·=1+1"},
	{"a mark beyond 16 bits", "\U000e0001x", "·x"},
	{"delete", "\x7fx", "·x"},
	{"no UTF-8", "\xff=1", "·=1"},
	{"end of data mark", `\.`, `\.`},
	{"minus inside", "a-1", "a-1"},
}

func TestHostileCells(t *testing.T) {
	for _, tt := range hostile {
		t.Run(tt.name, func(t *testing.T) {
			rows := []Row{{Weld: logbook.Weld{ID: "KM-0001", Operator: tt.text}}, {Joint: logbook.Joint{Struck: tt.text}}}
			cells := cellsOf(t, rows)
			if got := cells[0]["operator"]; got != tt.want {
				t.Errorf("cell %q, want %q", got, tt.want)
			}
			if got := cells[1]["state"]; !strings.HasPrefix(got, "not being built: ") {
				t.Errorf("cell %q", got)
			}
			for _, row := range cells {
				for column, v := range row {
					if strings.ContainsFunc(v, unicode.IsControl) || strings.TrimLeft(v, " \t") != "" && strings.ContainsAny(strings.TrimLeft(v, " \t")[:1], "=+-@") && v != "-42" && v != "-4.25" {
						t.Errorf("%s: %q would act", column, v)
					}
				}
			}
			if got := decoded(t, rows).Rows[0]["operator"]; got != strings.ToValidUTF8(tt.text, "\ufffd") {
				t.Errorf("JSON is the lossless form, but holds %q", got)
			}
		})
	}
}

// A number below nothing is a number, not a formula.
func TestNegativeNumbersStayNumbers(t *testing.T) {
	row := Row{Weld: logbook.Weld{ID: "KM-0001", Ambient: &logbook.AmbientRead{C: -3_50}}}
	if got := cellsOf(t, []Row{row})[0]["ambient_c"]; got != "-3.5" {
		t.Errorf("ambient %q", got)
	}
}

// decoded is the JSON document read back; what is written must be safe to show.
func decoded(t *testing.T, rows []Row) (doc Document) {
	t.Helper()
	var out bytes.Buffer
	site := logbook.Site{SiteOpened: logbook.SiteOpened{Name: "Meadow", Client: "c", Firm: "f", Address: "a"}}
	at := time.Date(2026, 3, 9, 8, 0, 0, 0, time.FixedZone("", 3600))
	rep := Report{Site: site, Rows: rows, Query: Query{Logs: []Log{{ID: "KM"}}, AsOf: at}}
	if err := JSON(&out, rep); err != nil {
		t.Fatal(err)
	}
	acts := func(r rune) bool { return r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) }
	if text := out.String(); strings.ContainsFunc(text, acts) {
		t.Errorf("a control character stands in the text at byte %d", strings.IndexFunc(text, acts))
	}
	if err := json.Unmarshal(out.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	return doc
}

func TestJSON(t *testing.T) {
	c := onSite(t)
	c.made("1A", "W-1")
	rows := c.rows()
	doc := decoded(t, rows)
	if doc.Format == "" || doc.Version != Version || doc.Site != "Meadow" || doc.Client != "c" || doc.Firm != "f" || doc.Address != "a" ||
		doc.Log != "KM" || doc.AsOf != "2026-03-09T08:00:00+01:00" || doc.Says != Caveat {
		t.Errorf("document %+v", doc)
	}
	if len(doc.Rows) != len(rows) || len(doc.Columns) != len(Columns) {
		t.Fatalf("%d rows, %d columns", len(doc.Rows), len(doc.Columns))
	}
	for i, row := range doc.Rows {
		if len(row) != len(Columns) {
			t.Errorf("row %d has %d columns", i, len(row))
		}
		for _, name := range doc.Columns {
			if _, ok := row[name]; !ok {
				t.Errorf("row %d has no %s", i, name)
			}
		}
	}
	first, open := doc.Rows[0], doc.Rows[1]
	if first["seconds_set"] != 40.0 || first["volts_set"] != 39.5 || first["coil_batch"] != "0042" || first["fused_at"] != "2026-03-09T08:00:00+01:00" {
		t.Errorf("first row %v", first)
	}
	if v, ok := open["weld"]; !ok || v != nil {
		t.Errorf("a joint without a weld has %v", v)
	}
	if empty := decoded(t, nil); empty.Rows == nil {
		t.Error("no rows must be an empty list, not null")
	}
}

// Welds in the order of their numbers, cut out ones too; then joints in which
// nothing stands, in the plan's order.
func TestRowsInOrder(t *testing.T) {
	c := onSite(t)
	cut := c.made("1B", "W-1")
	c.Do(acts.Cut(c.H, cut, "moved"))
	c.made("1A", "W-1")
	c.Do(acts.AbandonWalk(c.H, c.Numbered("1B"), "rain"))
	c.Numbered("TG")
	c.Do(acts.SplitJoint(c.H, "1B", "pipe too short", acts.Piece{Fittings: [2]string{"coupler 40", "elbow 40"}}), acts.StrikeJoint(c.H, "E1", "not needed"))
	want := [][4]string{
		{"KM-0001", "1B", "cut out", "clear"}, {"KM-0002", "1A", "stands", "clear"}, {"KM-0003", "1B", "given up", "given up"},
		{"KM-0004", "TG", "in the walk", "unfinished"}, {"", "1B", "make-up piece: 1B.1 and 1B.2", ""},
		{"", "E1", "not being built: not needed", ""}, {"", "1B.1", "no weld", ""}, {"", "1B.2", "no weld", ""},
	}
	rows := cellsOf(t, c.rows())
	if len(rows) != len(want) {
		t.Fatalf("%d rows, want %d", len(rows), len(want))
	}
	for i, w := range want {
		if got := [4]string{rows[i]["weld"], rows[i]["joint"], rows[i]["state"], rows[i]["verdict"]}; got != w {
			t.Errorf("row %d is %q, want %q", i, got, w)
		}
	}
	if rows[3]["header"] != "to ground" || rows[5]["position"] != "bend in the trench" || rows[6]["fitting"] != "coupler 40" {
		t.Errorf("header %q, position %q, fitting %q", rows[3]["header"], rows[5]["position"], rows[6]["fitting"])
	}
}
