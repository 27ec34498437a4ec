package register

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// The short form of the seals, for every foot.
func TestSealLine(t *testing.T) {
	open, other := Log{Tag: "KM", Entries: 40}, Log{Tag: "VN", Entries: 9, Seal: &logbook.Sealed{Entries: 8, Root: "abcdefghijklmnop"}}
	first := open
	first.Seal = sampleSeal
	for _, tt := range []struct {
		logs []Log
		want string
	}{
		{nil, "not sealed"}, {[]Log{open}, "not sealed"}, {[]Log{first}, "sealed: log KM, its first 31 entries (the next is the seal, 8 entries since), root q83vEjRWeJCr"},
		{[]Log{first, other}, "sealed: log KM, its first 31 entries (the next is the seal, 8 entries since), root q83vEjRWeJCr; log VN, its first 8 entries (the next is the seal, none since), root abcdefghijkl"},
		{[]Log{open, other}, "sealed: log VN, its first 8 entries (the next is the seal, none since), root abcdefghijkl; the others not"},
	} {
		if got := (Query{Logs: tt.logs}).SealLine(); got != tt.want {
			t.Errorf("%q, want %q", got, tt.want)
		}
	}
}

// What is listed, by joint: the last of a joint is enough to tell the rows.
func listed(rep Report) string {
	var out []string
	for _, row := range rep.Rows {
		out = append(out, strings.TrimSpace(row.Weld.ID+" "+row.Joint.Label))
	}
	return strings.Join(out, ", ")
}

func TestFilters(t *testing.T) {
	c := onSite(t)
	c.made("1A", "W-1") // 08:00, round not made
	c.Wait(24 * time.Hour)
	c.made("1B", "W-1")
	for _, tt := range []struct {
		name string
		o    Query
		want string
	}{
		{"everything", Query{}, "KM-0001 1A, KM-0002 1B, TG, E1"},
		{"first day", Query{Day: "2026-03-09"}, "KM-0001 1A"},
		{"second day", Query{Day: "2026-03-10"}, "KM-0002 1B"},
		{"no such day", Query{Day: "2026-03-11"}, ""},
		{"since the very second", Query{Since: time.Date(2026, 3, 9, 7, 0, 0, 0, time.UTC)}, "KM-0001 1A, KM-0002 1B"},
		{"since a second later", Query{Since: time.Date(2026, 3, 9, 7, 0, 1, 0, time.UTC)}, "KM-0002 1B"},
		{"clear", Query{Verdicts: []string{"clear"}}, "KM-0001 1A, KM-0002 1B"},
		{"no weld", Query{Verdicts: []string{NoWeld}}, "TG, E1"},
		{"two words", Query{Verdicts: []string{NoWeld, "clear"}}, "KM-0001 1A, KM-0002 1B, TG, E1"},
		{"fail", Query{Verdicts: []string{"fail"}}, ""},
	} {
		rep := c.report(tt.o)
		if got := listed(rep); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
		if rep.All != 4 || rep.Filtered() == (tt.name == "everything") || rep.Filtered() != (rep.FilterLine() != "") {
			t.Errorf("%s: %d rows in all, filtered %v, says %q", tt.name, rep.All, rep.Filtered(), rep.FilterLine())
		}
	}
}

// A weld that was given up is in no joint, though it was not cut out.
func TestAWeldGivenUpIsNotInPlace(t *testing.T) {
	c := onSite(t)
	c.made("1A", "W-1")
	c.Do(acts.AbandonWalk(c.H, c.Numbered("1B"), "rain"))
	for _, n := range c.report(Query{}).Counts {
		if want := map[audit.Verdict][2]int{audit.Clear: {1, 0}, audit.NoHeat: {0, 1}}[n.Verdict]; n.InPlace() != want[0] || n.GivenUp != want[1] {
			t.Errorf("%s: in place %d, given up %d, want %v", n.Verdict, n.InPlace(), n.GivenUp, want)
		}
	}
}

func TestWhatTheReportSays(t *testing.T) {
	c := worked(t)
	rep := c.report(Query{})
	counted, cut := 0, 0
	for _, n := range rep.Counts {
		counted, cut = counted+n.Standing+n.CutOut, cut+n.CutOut
	}
	if counted != len(c.Book.Welds(c.H.Site)) || cut != 1 {
		t.Errorf("%d welds counted of %d: %+v", counted, len(c.Book.Welds(c.H.Site)), rep.Counts)
	}
	// Corrected: 9 °C, now 8.5 °C. The same band, so it stays clear.
	if got := rep.Counts[len(rep.Counts)-1]; got.Verdict != audit.Clear || got.Standing != 3 {
		t.Errorf("clear: %+v", got)
	}
	if len(rep.People) != 1 || rep.People[0].Name != crew.Ada || !slices.Equal(rep.People[0].Days, []string{"2026-03-09"}) || rep.Units[0].Serial != crew.Unit {
		t.Errorf("people %+v, units %+v", rep.People, rep.Units)
	}
	if len(rep.Tables) != 1 || rep.Tables[0].ReadBack != crew.Ada || len(rep.Tables[0].Fittings) != 1 {
		t.Errorf("tables %+v", rep.Tables)
	}
	if len(rep.Joints) != 4 || rep.Joints[1].Weld != "KM-0003" || rep.Joints[3].State != "open" {
		t.Errorf("joints %+v", rep.Joints)
	}
	only := c.report(Query{Verdicts: []string{NoWeld}})
	if len(only.Findings) != 0 || len(rep.Findings) == 0 || !reflect.DeepEqual(only.Counts, rep.Counts) {
		t.Errorf("findings %d and %d, counts %+v", len(rep.Findings), len(only.Findings), only.Counts)
	}
}

// People and units of two shifts: once each, but again where what is said of
// them differs.
func TestCrewOfShifts(t *testing.T) {
	shift := func(day, expiry string) logbook.Shift {
		return logbook.Shift{ShiftStarted: logbook.ShiftStarted{
			Day: day, Operators: []logbook.Operator{{Name: crew.Ada, Expiry: expiry}, {Name: "Bo Invented"}}, Units: []logbook.Unit{{Serial: crew.Unit}},
		}}
	}
	people, units := crewOf([]logbook.Shift{shift("d1", "2027"), shift("d2", "2028"), shift("d2", "2028")})
	if len(people) != 3 || !slices.Equal(people[1].Days, []string{"d1", "d2"}) || !slices.Equal(people[2].Days, []string{"d2"}) {
		t.Errorf("people %+v", people)
	}
	if len(units) != 1 || !slices.Equal(units[0].Days, []string{"d1", "d2"}) {
		t.Errorf("units %+v", units)
	}
}

// People and units that only a weld names are listed, and said to be on no shift;
// one of a shift is not listed again.
func TestThoseOfNoShift(t *testing.T) {
	began := fusion.Stamp{Wall: time.Date(2026, 3, 10, 9, 0, 0, 0, time.UTC)}
	rep := Report{}
	rep.People, rep.Units = crewOf([]logbook.Shift{{ShiftStarted: logbook.ShiftStarted{Day: "2026-03-09", Operators: []logbook.Operator{{Name: crew.Ada}}, Units: []logbook.Unit{{Serial: crew.Unit}}}}})
	rep.offShift([]logbook.Weld{
		{ID: "KM-0001", Operator: crew.Ada, Unit: crew.Unit, Begun: began}, {ID: "KM-0002", Operator: "Nobody Known", Unit: "CU-999", Begun: began},
		{ID: "KM-0003", Operator: "Nobody Known", Begun: began}, {ID: "KM-0004", Begun: began},
	})
	if len(rep.People) != 2 || rep.People[0].OffShift || daysOf(rep.People[0].Stated()) != "2026-03-09; " || rep.People[1].Name != "Nobody Known" || daysOf(rep.People[1].Stated()) != "; 2026-03-10" {
		t.Errorf("people %+v", rep.People)
	}
	if len(rep.Units) != 2 || rep.Units[0].OffShift || rep.Units[1].Serial != "CU-999" || daysOf(rep.Units[1].Stated()) != "; 2026-03-10" {
		t.Errorf("units %+v", rep.Units)
	}
}

// Ground over a joint is said with its row, until the joint was dug up.
func TestCoveredRows(t *testing.T) {
	c := worked(t)
	covered := func() map[string]string {
		out := map[string]string{}
		for _, row := range cellsOf(t, c.rows()) {
			out[row["joint"]] = row["covered"]
		}
		return out
	}
	by := crew.Ada + ", " + c.H.At.Local().Format("2006-01-02 15:04")
	if got := covered(); got["1A"] != "" || got["1B"] != by+", not settled then" || got["TG"] != by || got["E1"] != "" {
		t.Errorf("got %q, by %q", got, by)
	}
	c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Chamber: "A", Text: "all of it"}))
	if got := covered(); got["1B"] != "" {
		t.Errorf("dug up since: %q", got)
	}
}

// A part of the register still has everything that is open on the site.
func TestOpenIsNeverAPart(t *testing.T) {
	c := worked(t)
	whole, part := c.report(Query{}), c.report(Query{Verdicts: []string{"clear"}})
	if len(whole.Open) == 0 || !reflect.DeepEqual(whole.Open, part.Open) || len(part.Findings) >= len(whole.Findings) {
		t.Errorf("open %d and %d, findings %d and %d", len(whole.Open), len(part.Open), len(whole.Findings), len(part.Findings))
	}
	for _, f := range whole.Open {
		if f.Settled || f.Severity == audit.Note {
			t.Errorf("%+v is not open", f)
		}
	}
}

// Two laptops on one site, each with a shift and welds of its own, and a copy
// of the one: every weld once, every joint once, every table once.
func TestTwoLaptops(t *testing.T) {
	a, b := teamOf(t, "KM"), teamOf(t, "VN")
	a.made("1A", "W-1")
	b.Wait(time.Minute)
	b.made("1B", "W-2")
	entries, err := logbook.Merge([]logbook.LogCopy{
		{ID: "a", Tag: "KM", Entries: a.Entries}, {ID: "b", Tag: "VN", Entries: b.Entries}, {ID: "a", Tag: "KM", Entries: a.Entries[:5]},
	})
	if err != nil {
		t.Fatal(err)
	}
	book := logbook.Fold("KM", entries)
	at := b.H.At
	rep := New(book, "meadow", audit.Run(book, "meadow", at, fusion.Stamp{}), Query{AsOf: at.Local(), Logs: []Log{{ID: "a", Tag: "KM"}, {ID: "b", Tag: "VN"}}})
	if got := listed(rep); got != "KM-0001 1A, VN-0001 1B, TG, E1" {
		t.Errorf("rows %q", got)
	}
	if len(rep.Joints) != 4 || len(rep.Tables) != 1 || len(rep.Shifts) != 2 || len(rep.People) != 1 {
		t.Errorf("%d joints, %d tables, %d shifts, %d people", len(rep.Joints), len(rep.Tables), len(rep.Shifts), len(rep.People))
	}
	for _, cells := range cellsOf(t, rep.Rows)[:2] {
		if cells["operator_number"] != "Q-7" || cells["verdict"] != "clear" || !strings.HasSuffix(cells["shift"], cells["weld"][:2]) {
			t.Errorf("%s: number %q, verdict %q (%s), shift %q", cells["weld"], cells["operator_number"], cells["verdict"], cells["findings"], cells["shift"])
		}
	}
}

// Every value that can be corrected has a column that shows it.
func TestEveryFieldHasAColumn(t *testing.T) {
	c := worked(t)
	w, _ := c.Book.Weld(c.H.Site, "KM-0001")
	names := map[string]bool{}
	for _, col := range Columns {
		names[col.Name] = true
	}
	for _, f := range logbook.Fields(w) {
		name := ColumnOf(f.Key)
		look := logbook.LookNo(f.Key) > 0 && !strings.HasPrefix(f.Key, "indicators")
		if !names[name] || (name == "looks") != look {
			t.Errorf("%s is shown by %q", f.Name, name)
		}
	}
	for _, v := range logbook.WeldValues {
		if !names[v.InRegister()] {
			t.Errorf("%s: no column %s", v.Key, v.InRegister())
		}
	}
}

func TestCorrectedValuesAreMarked(t *testing.T) {
	rep := worked(t).report(Query{})
	row := rep.Rows[0]
	if got := row.Was("ambient_c"); got != "corrected: was 9" {
		t.Errorf("ambient %q", got)
	}
	if got := row.Was("unit"); got != "" {
		t.Errorf("unit %q", got)
	}
	cells := cellsOf(t, rep.Rows)[0]
	want := "ambient: 8.5, corrected: was 9 (misread the thermometer; Ada Invented, 2026-03-09 "
	if !strings.HasPrefix(cells["corrections"], want) || cells["ambient_c"] != "8.5" || cells["fitting_batch"] != "W-11" {
		t.Errorf("CSV %q, %q, %q", cells["corrections"], cells["ambient_c"], cells["fitting_batch"])
	}
	all := rep.Corrections()
	if len(all) != 2 || all[1].Column != "fitting_batch" || all[1].Old != "W-1" || all[1].New != "W-11" || all[1].By != crew.Ada {
		t.Errorf("corrections %+v", all)
	}
	w := logbook.Weld{ID: "KM-0009", Corrections: []logbook.Corrected{
		{Correction: logbook.Correction{Field: "ohms", New: "2.4"}}, {Correction: logbook.Correction{Field: "ohms", Old: "2.4", New: "2.5"}},
		{Correction: logbook.Correction{Field: "wiped", Old: logbook.Done, New: logbook.CouldNot}},
	}}
	if got := (Row{Weld: w}).Was("ohms") + "; " + (Row{Weld: w}).Was("preparation"); got != "corrected 2 times: first not recorded, then 2.4, then this; corrected: was wiped done" {
		t.Errorf("twice: %q", got)
	}
}

func TestCutOutsNameTheirReplacement(t *testing.T) {
	rep := worked(t).report(Query{})
	cells := cellsOf(t, rep.Rows)
	if got := cells[1]; got["state"] != "cut out" || got["replaced_by"] != "KM-0003" || got["cut_out_why"] != "moved by the digger" ||
		!strings.HasPrefix(got["cut_out_ordered"], "moved by the digger (Ada Invented, 2026-03-09 ") || got["cut_out_at"] == "" {
		t.Errorf("cut out: %v", got)
	}
	if cells[0]["replaced_by"] != "" || cells[2]["replaced_by"] != "" {
		t.Error("a weld that stands is replaced by nothing")
	}
	split := Row{Weld: *row(t, rep, "KM-0002"), Joint: logbook.Joint{Split: []string{"1B.1", "1B.2"}}}
	if got := split.Cell("replaced_by"); got != "make-up piece: 1B.1 and 1B.2" {
		t.Errorf("make-up piece: %v", got)
	}
}

func row(t testing.TB, rep Report, weld string) *logbook.Weld {
	t.Helper()
	i := slices.IndexFunc(rep.Rows, func(r Row) bool { return r.Weld.ID == weld })
	if i < 0 {
		t.Fatalf("no %s", weld)
	}
	return &rep.Rows[i].Weld
}

// schema compiles the published schema with a library that is none of ours.
func schema(t testing.TB) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("register.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("register.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func written(t testing.TB, rep Report) map[string]any {
	t.Helper()
	var out bytes.Buffer
	if err := JSON(&out, rep); err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(&out)
	if err != nil {
		t.Fatal(err)
	}
	return doc.(map[string]any)
}

func TestJSONFollowsItsSchema(t *testing.T) {
	s := schema(t)
	empty := onSite(t)
	for name, rep := range map[string]Report{
		"worked": Sample(t), "no welds": empty.report(Query{}), "nothing": {}, "filtered": worked(t).report(Query{Verdicts: []string{"fail"}}),
		"hostile": With(t, "\u202e=1+1\x00"), "three logs": Unlike(t, true), "pressure tests": Pressed(t), "flow, purge and fluid": Flowing(t), "looked at": Looked(t),
	} {
		if name == "nothing" {
			rep.AsOf = time.Unix(0, 0).UTC()
		}
		if err := s.Validate(written(t, rep)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The schema must refuse what is not a register, or it would check nothing.
func TestTheSchemaRefuses(t *testing.T) {
	s := schema(t)
	for name, spoil := range map[string]func(doc map[string]any){
		"another version":    func(doc map[string]any) { doc["version"] = json.Number("1") },
		"no site":            func(doc map[string]any) { delete(doc, "site") },
		"rows that are null": func(doc map[string]any) { doc["rows"] = nil },
		"a day for a time":   func(doc map[string]any) { doc["as_of"] = "2026-03-09" },
		"text for seconds":   func(doc map[string]any) { firstRow(doc)["seconds_set"] = "40" },
		"prose for looks":    func(doc map[string]any) { firstRow(doc)["looks"] = "up up" },
		"a finding untold":   func(doc map[string]any) { firstRow(doc)["findings"] = []any{map[string]any{"rule": "wet"}} },
		"a card untold":      func(doc map[string]any) { firstRow(doc)["preparation"] = []any{"all done"} },
		"a column missing":   func(doc map[string]any) { delete(firstRow(doc), "verdict") },
		"another verdict":    func(doc map[string]any) { firstRow(doc)["verdict"] = "passed" },
		"no log number":      func(doc map[string]any) { doc["logs"] = []any{map[string]any{"tag": "KM"}} },
	} {
		doc := written(t, Sample(t))
		spoil(doc)
		if s.Validate(doc) == nil {
			t.Errorf("%s passed", name)
		}
	}
}

// Each joint has what the newest pressure test of it as it stands came to, or that it
// changed after one; a test says what its readings come to, and one that was taken back that.
func TestPressureTestsInTheRegister(t *testing.T) {
	doc := written(t, Pressed(t))
	tested := map[string]any{}
	for _, row := range doc["rows"].([]any) {
		row := row.(map[string]any)
		tested[fmt.Sprint(row["weld"])] = row["pressure_tested"]
	}
	const within = "KM-P1 2026-03-09: within what the method allows"
	for weld, want := range map[string]any{"KM-0001": within, "KM-0002": nil, "KM-0003": "KM-P2 2026-03-09: not within what the method allows", "KM-0004": "none: it changed after the test of its section"} {
		if tested[weld] != want {
			t.Errorf("%s: %v, want %v", weld, tested[weld], want)
		}
	}
	var said []string
	for _, k := range doc["pressure_tests"].([]any) {
		k := k.(map[string]any)
		_, back := k["taken_back"]
		said = append(said, fmt.Sprint(k["section"], " ", k["outcome"], " ", len(k["readings"].([]any)), " ", back))
	}
	if want := []string{"circuit 1 within 3 false", "header to ground not_within 2 false", "all within 2 true"}; !slices.Equal(said, want) {
		t.Errorf("tests %q, want %q", said, want)
	}
}

func firstRow(doc map[string]any) map[string]any { return doc["rows"].([]any)[0].(map[string]any) }

// The schema's rows are the columns, each of its kind.
func TestTheSchemaHasEveryColumn(t *testing.T) {
	var s struct {
		Properties struct {
			Rows struct {
				Items struct {
					Required   []string
					Properties map[string]struct {
						Type   []string
						Format string
						Enum   []any
					}
				}
			}
		}
	}
	if err := json.Unmarshal(Schema, &s); err != nil {
		t.Fatal(err)
	}
	rows := s.Properties.Rows.Items
	if len(rows.Properties) != len(Columns) || len(rows.Required) != len(Columns) {
		t.Errorf("%d properties, %d required, %d columns", len(rows.Properties), len(rows.Required), len(Columns))
	}
	for i, c := range Columns {
		p := rows.Properties[c.Name]
		kind := map[ColumnKind]string{Text: "string", Number: "number", Time: "string", Date: "string"}[c.Kind]
		if structured[c.Name] != nil {
			kind = "array"
		}
		if c.Name != "verdict" && !slices.Equal(p.Type, []string{kind, "null"}) || (p.Format == "date-time") != (c.Kind == Time) {
			t.Errorf("%s: %+v", c.Name, p)
		}
		if i < len(rows.Required) && rows.Required[i] != c.Name {
			t.Errorf("column %d is %s, the schema requires %s there", i, c.Name, rows.Required[i])
		}
	}
	if got := len(rows.Properties["verdict"].Enum); got != len(Verdicts) {
		t.Errorf("%d verdicts in the schema", got) // with null for no weld
	}
}

// The same log and the same options give the same bytes.
func TestSameReportSameBytes(t *testing.T) {
	write := func() string {
		rep := Sample(t)
		var out bytes.Buffer
		if err := CSV(&out, rep); err != nil {
			t.Fatal(err)
		}
		if err := JSON(&out, rep); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	if a, b := write(), write(); a != b {
		t.Error("two writings differ")
	}
}

// daysOf are days that are stated, and those that are not.
func daysOf(stated, not []string) string {
	return strings.Join(stated, ", ") + "; " + strings.Join(not, ", ")
}
