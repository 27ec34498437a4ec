package logbook

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook/plan"
)

// filled is one body of every kind with every field set; figures are invented.
func filled() []Body {
	at := time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)
	band := fusion.Band{Low: 5, High: 14}
	joint := plan.Joint{Label: "1A", Fitting: "coupler 40", OdMM: 40, SDR: 11}
	return []Body{
		TableTaken{"f", "h", "t", "text"}, TableReadBack{"h"}, PlanTaken{"f", "h", "text", "version"}, KitTaken{"f", "h", "text"},
		SiteOpened{"uid", "n", "c", "f", "a", "contract", "rotary tool", []Chamber{{"A", "lid"}}},
		JointPlanned{joint}, JointAdded{joint, "why"}, JointStruck{"why"}, JointSplit{[]string{"1A.1", "1A.2"}, "why"},
		ShiftStarted{
			"2026-03-09", []Operator{{ada, "AI", "7", "2027-01-01"}}, []Unit{{unit, "2026-01-01", No}},
			"g", "t", Weather{"dry", "none"}, []Answer{{Item: "i", V: "v", How: Offered, Why: "w"}},
		},
		ShiftClosed{}, WeatherChanged{Weather{"wind", "tent"}}, WeldBegun{ada, unit, No},
		StepAnswered{StepPrep, []Answer{{Item: "wiped", V: CouldNot, How: Scanned, Why: "w"}}},
		BagRead{"coupler 40", "W-1", "h", band, 40, true}, AmbientRead{14_50, Typed, &morning},
		SettingsKeyed{"h", "t", &band, 9, 39.5, 40, 6, Computed, ptr(20), "cooling end", ModeKeyed, ptr(39.5), 40, Typed, true},
		StepStopped{StepAmbient, "why", "tried"}, ResistanceRead{ptr(2.4), 2, 3, "basis", Typed},
		AttemptRefused{"said"}, FusionStarted{3, &at}, FusionEnded{Stopped, ptr(17), "said", &at, true},
		RunRead{ptr(40), Later}, Released{&at}, Disturbed{4, true, "what"}, CutOut{"why"},
		IndicatorsRead{Look{LookHot, []string{Up, Part}, "none", "seen", "moved", "no", "warm", Typed}},
		WalkLeft{StepPrep}, WalkResumed{StepPrep, true}, WalkAbandoned{"why"}, EnteredLater{"why", &PaperRow{"f.csv", 2, "key"}}, Note{"text"},
		ClockDoubted{"why", 1.5, 2.5, 3.5}, GapAccepted{1.5, "why"}, Reviewed{Judged{"key", "digest", json.RawMessage(`{"why":"facts"}`)}, true, "why"},
		Correction{"fitting", "a", "b", "why", &SettingsKeyed{"h", "t", &band, 9, 39.5, 40, 6, Computed, ptr(20), "cooling end", ModeKeyed, ptr(39.5), 40, Typed, true}, &ResistanceRead{ptr(2.4), 2, 3, "basis", Typed}},
		CutOrdered{"why", true}, RecheckAsked{"why"}, Covered{"chamber A", []string{"1A"}}, DaySigned{"2026-03-09", []Judged{{"key", "digest", json.RawMessage(`{"why":"facts"}`)}}, 2},
		Sealed{9, "root", "note", "2026-03-09"}, LogRestored{FromJournal, 9, "root"}, Enclosed{"f.pdf", "hash", 12, "what"}, Happened{DugUp, "2027-01-02", "A", 3, "text"},
		CodeTaught{"123456789012345678901234", "coupler 40", "h", "elbow 40", "why"},
	}
}

func TestEveryBodyIsReadBack(t *testing.T) {
	seen := map[Kind]bool{}
	for _, b := range filled() {
		t.Run(string(b.Kind()), func(t *testing.T) {
			if seen[b.Kind()] {
				t.Fatal("two bodies have this kind")
			}
			seen[b.Kind()] = true
			wantNoGap(t, reflect.ValueOf(b), "body")
			e, err := Draft{ID: "x", At: morning, By: ada, Site: "s", Shift: "h", Weld: "w", Joint: "j", Body: b}.Entry(7, 2)
			if err != nil {
				t.Fatal(err)
			}
			back := reread(t, e)
			if !reflect.DeepEqual(back, e) {
				t.Errorf("entry read back as\n%+v\nwant\n%+v", back, e)
			}
			if got := back.Open(); !reflect.DeepEqual(got, b) {
				t.Errorf("body read back as\n%#v\nwant\n%#v", got, b)
			}
			if line := b.Line(); line == "" || strings.ContainsAny(line, "\n\r") {
				t.Errorf("line %q", line)
			}
		})
	}
	if len(seen) != len(bodies) {
		t.Errorf("%d kinds are tried, %d can be read", len(seen), len(bodies))
	}
}

// A kind's name stands in every log: one that was ever written is read for ever
// by that name.
func TestKindsAsTheyStandInLogs(t *testing.T) {
	want := []Kind{
		"ambient read", "attempt refused", "bag read", "clock doubted", "code taught", "correction", "covered", "cut out",
		"cut-out ordered", "day signed", "disturbed", "enclosed", "entered later", "fusion ended", "fusion started", "gap accepted",
		"happened", "indicators read", "joint added", "joint planned", "joint split", "joint struck off", "kit taken", "log restored", "note",
		"plan taken", "re-check asked", "released", "resistance read", "reviewed", "run read", "sealed", "settings keyed",
		"shift closed", "shift started", "site opened", "step answered", "step stopped", "table read back", "table taken",
		"walk abandoned", "walk left", "walk resumed", "weather changed", "weld begun",
	}
	var got []Kind
	for _, b := range filled() {
		got = append(got, b.Kind())
	}
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("kinds are %q, want %q: enter a new one here, change none", got, want)
	}
}

// wantNoGap fails for a field that is zero: its loss would not be seen.
func wantNoGap(t *testing.T, v reflect.Value, name string) {
	t.Helper()
	for i := range v.NumField() {
		f, called := v.Field(i), name+"."+v.Type().Field(i).Name
		if v.Type().Field(i).Anonymous && f.Type() != reflect.TypeFor[plan.Joint]() {
			wantNoGap(t, f, called)
		} else if f.IsZero() {
			t.Errorf("%s is not filled in", called)
		}
	}
}

// Every type of the package with a method Kind must be among the bodies, or
// it would be written and not read back.
func TestNoBodyIsMissing(t *testing.T) {
	tried := map[string]bool{"Unknown": true}
	for _, b := range filled() {
		tried[reflect.TypeOf(b).Name()] = true
	}
	found := 0
	for _, fn := range methods(t, "Kind") {
		found++
		if !tried[fn] {
			t.Errorf("%s has a kind and is not read back", fn)
		}
	}
	if found != len(tried) {
		t.Errorf("%d bodies found in the code, %d tried", found, len(tried))
	}
}

// methods gives the types of this package's code that have a method of a name.
func methods(t *testing.T, name string) (types []string) {
	t.Helper()
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), f, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv != nil && fn.Name.Name == name {
				types = append(types, fn.Recv.List[0].Type.(*ast.Ident).Name)
			}
		}
	}
	return types
}

func TestWhatIsNotKnownIsKept(t *testing.T) {
	tests := []struct {
		name string
		kind Kind
		v    int
		body string
	}{
		{"a kind of later", "core drilled", 1, `{"mm":12}`},
		{"a newer version", "note", 2, `{"text":"hello"}`},
		{"a body that does not read", "note", 1, `{"text":7}`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			id := c.begin("1A")
			was := dump(t, c.book)
			e := Entry{Seq: uint64(len(c.entries)), At: c.h.At, Site: c.h.Site, Weld: id, Joint: "1A", Kind: tt.kind, V: tt.v, Body: json.RawMessage(tt.body)}
			u, ok := reread(t, e).Open().(Unknown)
			if !ok || u.Kind() != tt.kind || string(u.Raw) != tt.body || !strings.Contains(u.Line(), string(tt.kind)) {
				t.Errorf("opened as %#v", u)
			}
			c.book.Add(e)
			w, _ := c.book.Weld(c.h.Site, id)
			last := w.Trail[len(w.Trail)-1]
			if TraceOf(last).Line != u.Line() || last.Seq != e.Seq {
				t.Errorf("it is shown as %+v", last)
			}
			w.Trail = w.Trail[:len(w.Trail)-1]
			c.book.PutWeld(w)
			if got := dump(t, c.book); got != was {
				t.Errorf("it changed the records to\n%s\nfrom\n%s", got, was)
			}
			if string(last.Body) != tt.body {
				t.Errorf("the entry is kept as %+v", last)
			}
		})
	}
}

func TestClean(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"plain", "Mühle 3 Ω", "Mühle 3 Ω"},
		{"line ends and tabs", "a\nb\rc\td", "a b c d"},
		{"escape", "a\x1b[31mred", "a·[31mred"},
		{"NUL, bell, delete", "\x00\a\x7f", "···"},
		{"C1 control", "\u009b31m", "·31m"},
		{"right to left", "a\u202eb\u2066c\u200fd", "a·b·c·d"},
		{"line separators", "a\u2028b\u2029c", "a·b·c"},
		{"no UTF-8", "a\xffb", "a·b"},
	}
	for _, tt := range tests {
		if got := Clean(tt.text); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
		if again := Clean(Clean(tt.text)); again != tt.want {
			t.Errorf("%s: cleaned twice %q", tt.name, again)
		}
	}
}
