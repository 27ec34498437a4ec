package logbook_test

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
	"coolhold/logbook"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

// filled is one body of every kind with every field set; figures are invented.
func filled() []logbook.Body {
	at := time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)
	band := fusion.Band{Low: 5, High: 14}
	joint := plan.Joint{Label: "1A", Fitting: "coupler 40", OdMM: 40, SDR: 11}
	return []logbook.Body{
		logbook.TableTaken{"f", "h", "t", "text"}, logbook.TableReadBack{"h"}, logbook.PlanTaken{"f", "h", "text", "version"}, logbook.KitTaken{"f", "h", "text"},
		logbook.SiteOpened{"uid", "n", "c", "f", "a", "contract", "rotary tool", 30, []logbook.Chamber{{"A", "lid", new(101.3), new(102.4)}}, "before cover", []string{logbook.GroundLevel}, []string{logbook.GroundBed}, 0.9, 0.02},
		logbook.JointPlanned{joint}, logbook.JointAdded{joint, "why"}, logbook.JointStruck{"why"}, logbook.JointTakenUp{"why"}, logbook.JointSplit{[]string{"1A.1", "1A.2"}, "why"},
		logbook.ShiftStarted{
			"2026-03-09", []logbook.Operator{{crew.Ada, "AI", "7", "2027-01-01"}}, []logbook.Unit{{crew.Unit, "2026-01-01", logbook.No}},
			"g", "t", logbook.Weather{"dry", "none"}, []logbook.Answer{{Item: "i", V: "v", How: logbook.Offered, Why: "w"}}, true,
		},
		logbook.ShiftClosed{}, logbook.WeatherChanged{logbook.Weather{"wind", "tent"}}, logbook.WeldBegun{crew.Ada, crew.Unit, logbook.No, 2},
		logbook.StepAnswered{logbook.StepPrep, []logbook.Answer{{Item: "wiped", V: logbook.CouldNot, How: logbook.Scanned, Why: "w", Was: "x"}}},
		logbook.BagRead{"coupler 40", "W-1", "h", band, 40, true, new(40)}, logbook.AmbientRead{14_50, logbook.Typed, &crew.Morning, logbook.Changed{"9", logbook.Tenfold}},
		logbook.SettingsKeyed{"h", "t", &band, 9, 39.5, 40, 6, logbook.Computed, new(20), "cooling end", logbook.ModeKeyed, new(39.5), 40, logbook.Typed, logbook.Carried, true, 2, logbook.Changed{"9", logbook.Tenfold}},
		logbook.StepStopped{logbook.StepAmbient, "why", "tried"}, logbook.ResistanceRead{new(2.4), 2, 3, "basis", logbook.Typed, logbook.Changed{"9", logbook.Tenfold}},
		logbook.AttemptRefused{"said", new(45), new(0)}, logbook.FusionStarted{3, &at}, logbook.FusionEnded{logbook.Stopped, new(17), "said", &at, true, logbook.Changed{"9", logbook.Tenfold}},
		logbook.RunRead{new(40), logbook.Later, logbook.Changed{"9", logbook.Tenfold}}, logbook.Released{&at}, logbook.Disturbed{4, true, logbook.Unsure, "what"}, logbook.CutOut{"why", true},
		logbook.IndicatorsRead{logbook.Look{logbook.LookHot, []string{logbook.Up, logbook.Part}, "none", "seen", "moved", "no", "warm", logbook.Typed}, &at, true, "looker", &logbook.PaperRow{"f.csv", 2, "key"}},
		logbook.WalkLeft{logbook.StepPrep, true}, logbook.WalkResumed{logbook.StepPrep, true, true, true, []string{logbook.TurnedWet}}, logbook.WalkAbandoned{"why", true}, logbook.EnteredLater{"why", &logbook.PaperRow{"f.csv", 2, "key"}}, logbook.Note{Text: "text", Remark: true},
		logbook.ClockDoubted{"why", 1.5, 2.5, 3.5}, logbook.GapAccepted{1.5, "why"}, logbook.HoldSaid{"14:49", "14:43", "14:52", 1.5, 0.5, "why"}, logbook.Reviewed{logbook.Judged{"key", "digest", json.RawMessage(`{"why":"facts"}`)}, true, "why"},
		logbook.Correction{"fitting", "a", "b", "why", &logbook.SettingsKeyed{"h", "t", &band, 9, 39.5, 40, 6, logbook.Computed, new(20), "cooling end", logbook.ModeKeyed, new(39.5), 40, logbook.Typed, logbook.Carried, true, 2, logbook.Changed{"9", logbook.Tenfold}}, &logbook.ResistanceRead{new(2.4), 2, 3, "basis", logbook.Typed, logbook.Changed{"9", logbook.Tenfold}}},
		logbook.CutOrdered{"why", true, []string{"Ada Invented"}}, logbook.RecheckAsked{"why"}, logbook.Covered{"chamber A", []string{"1A"}, "2026-03-08", []string{logbook.GroundBed}}, logbook.CoverWithdrawn{"chamber A", "why"}, logbook.DaySigned{"2026-03-09", []logbook.Judged{{"key", "digest", json.RawMessage(`{"why":"facts"}`)}}, 2},
		logbook.Sealed{9, "root", "note", "2026-03-09"}, logbook.LogRestored{logbook.FromJournal, 9, "root"}, logbook.TwinSetAside{6, 7, "why"}, logbook.Enclosed{"f.jpg", "hash", 12, "what", "chamber A", &logbook.SectionID{"A", 3, ""}, "KM-P1", &logbook.Taken{"2026:03:09 10:14:02", "+01:00", logbook.TimeAbsent}}, logbook.Happened{logbook.DugUp, "2027-01-02", "A", 3, "text"},
		logbook.CodeTaught{"123456789012345678901234", "coupler 40", "h", "elbow 40", "why", true, "Ona Invented"},
		logbook.PersonNamed{"Ona Invented", 2, logbook.RoleForeman, "invented firm", []string{"O. Invented"}, []string{"Ona"}, logbook.Yes, "U+200B"},
		logbook.SameSite{[]logbook.SiteIn{{"log", "plan"}}, "why", true},
		logbook.PressureBegun{
			"KM-P1", logbook.SectionID{"A", 3, ""}, logbook.StageWelded, logbook.AsSpecified, 6, "spec 4.2", 60, new(0.2), new(1000.0), "maker, 10 °C", new(5.9), "A/3", "issue 2",
			"flow gauge", new(10.0), logbook.Gauge{"G-1", new(10.0), new(0.1), "2026-01-02", new(1.2)}, new(fusion.Celsius(9_00)), new(fusion.Celsius(8_00)), logbook.No, logbook.Yes,
			map[string]string{logbook.ShutVents: logbook.ShutOff}, "Bo Invented", []string{"3B"}, &at, "no laptop",
		},
		logbook.PressurePhased{"KM-P1", logbook.PhaseHold, &at}, logbook.PressureRead{"KM-P1", new(6.1), new(0.25), new(0.01), "text", &at, 2, "why"},
		logbook.PressureEnded{"KM-P1", logbook.RanToEnd, logbook.LeakNone, new(2.0), "text", &at}, logbook.PressureWithdrawn{"KM-P1", "why"},
		logbook.FlowChecked{logbook.SectionID{"A", 3, ""}, new(28.5), logbook.ShutBoth, logbook.OthersFlow, []logbook.FlowSeen{{logbook.SectionID{"A", 4, ""}, new(6.0)}}, new(40.0), "text", &at},
		logbook.Purged{logbook.SectionID{"A", 0, "FG"}, new(80.0), new(45.0), new(15.0), new(fusion.Celsius(9_00)), logbook.Yes, logbook.No, logbook.Unseen, []logbook.PumpPoint{{50, 30}, {100, 24}}, "text", &at},
		logbook.FluidFilled{logbook.SectionID{"A", 3, ""}, logbook.ContentDosed, "invented glycol", new(25.0), new(42.5), "B-1", "invented inhibitor", new(fusion.Celsius(-12_50)), "refractometer R-1", logbook.Yes, "text", &at},
		logbook.LeftAs{
			logbook.SectionID{"A", 0, "FG"}, logbook.PressureStands, new(2.0), "G-1", []string{"3A"}, true, []string{"1A"}, "caps", "fill", "purge", new(18.5), "flange", "FG in paint",
			&logbook.Call{"Ona Invented", "000", "invented firm"}, "text", &at,
		},
		logbook.LoopWithdrawn{"purged", logbook.SectionID{"A", 3, ""}, "why"},
		logbook.GroundChecked{"chamber A", logbook.GroundCovered, []logbook.GroundSeen{{logbook.GroundCover, logbook.Yes, new(0.95)}}, []logbook.Offset{{"house corner to lid", 4.35}}, "1 and 2 to the hedge", "text", &at}, logbook.GroundWithdrawn{"chamber A", "why"},
		logbook.ClosingNamed{"why"}, logbook.PressureLook{3, logbook.LeakNone, "Bo Invented", "text", &at},
	}
}

func TestEveryBodyIsReadBack(t *testing.T) {
	seen := map[logbook.Kind]bool{}
	for _, b := range filled() {
		t.Run(string(b.Kind()), func(t *testing.T) {
			if seen[b.Kind()] {
				t.Fatal("two bodies have this kind")
			}
			seen[b.Kind()] = true
			wantNoGap(t, reflect.ValueOf(b), "body")
			e, err := logbook.Draft{ID: "x", At: crew.Morning, By: crew.Ada, Site: "s", Shift: "h", Weld: "w", Joint: "j", Body: b}.Entry(7, 2)
			if err != nil {
				t.Fatal(err)
			}
			back := crew.Reread(t, e)
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
	if len(seen) != len(logbook.Bodies) {
		t.Errorf("%d kinds are tried, %d can be read", len(seen), len(logbook.Bodies))
	}
}

// A kind's name stands in every log: one that was ever written is read for ever
// by that name.
func TestKindsAsTheyStandInLogs(t *testing.T) {
	want := []logbook.Kind{
		"ambient read", "attempt refused", "bag read", "clock doubted", "closing weld named", "code taught", "correction", "cover withdrawn", "covered", "cut out",
		"cut-out ordered", "day signed", "disturbed", "enclosed", "entered later", "flow checked", "fluid filled", "fusion ended", "fusion started", "gap accepted", "ground check withdrawn", "ground checked",
		"happened", "hold stated", "indicators read", "joint added", "joint planned", "joint split", "joint struck off", "joint taken up", "kit taken", "left as", "log restored", "looked at under pressure", "loop reading withdrawn", "note",
		"person named", "plan taken", "pressure phase begun", "pressure read", "pressure test begun", "pressure test ended", "pressure test withdrawn", "purged", "re-check asked", "released", "resistance read", "reviewed", "run read", "same site", "sealed", "settings keyed",
		"shift closed", "shift started", "site opened", "step answered", "step stopped", "table read back", "table taken", "twin set aside",
		"walk abandoned", "walk left", "walk resumed", "weather changed", "weld begun",
	}
	var got []logbook.Kind
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
		kind logbook.Kind
		v    int
		body string
	}{
		{"a kind of later", "core drilled", 1, `{"mm":12}`},
		{"a newer version", "note", 2, `{"text":"hello"}`},
		{"a body that does not read", "note", 1, `{"text":7}`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			id := c.Begin("1A")
			was := crew.Dump(t, c.Book)
			e := logbook.Entry{Seq: uint64(len(c.Entries) + 1), At: c.H.At, By: c.H.By, Site: c.H.Site, Weld: id, Joint: "1A", Kind: tt.kind, V: tt.v, Body: json.RawMessage(tt.body)}
			u, ok := crew.Reread(t, e).Open().(logbook.Unknown)
			if !ok || u.Kind() != tt.kind || string(u.Raw) != tt.body || !strings.Contains(u.Line(), string(tt.kind)) {
				t.Errorf("opened as %#v", u)
			}
			c.Book.Add(e)
			w, _ := c.Book.Weld(c.H.Site, id)
			last := w.Trail[len(w.Trail)-1]
			if logbook.TraceOf(last).Line != u.Line() || last.Seq != e.Seq {
				t.Errorf("it is shown as %+v", last)
			}
			w.Trail = w.Trail[:len(w.Trail)-1]
			c.Book.PutWeld(w)
			s, _ := c.Book.Site(c.H.Site)
			want := logbook.Unread{Kind: tt.kind, V: tt.v, Seq: int(e.Seq), Weld: id, Joint: "1A", Garbled: tt.name == "a body that does not read"}
			if len(s.Unread) != 1 || s.Unread[0] != want {
				t.Errorf("the site has %+v, want %+v", s.Unread, want)
			}
			s.Unread = nil
			c.Book.PutSite(s)
			if got := crew.Dump(t, c.Book); got != was {
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
		if got := logbook.Clean(tt.text); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
		if again := logbook.Clean(logbook.Clean(tt.text)); again != tt.want {
			t.Errorf("%s: cleaned twice %q", tt.name, again)
		}
	}
}
