package labels

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/cmd/coolhold/example"
	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

var monday = fusion.Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Offset: 3600, Boot: 5 * time.Hour, BootID: "boot-1", Machine: "laptop"}

// folder is the log of the worked example.
type folder struct{ *crew.Memory }

// larkrise is the worked example, an invented site with one chamber.
func larkrise(t *testing.T) (*folder, logbook.Site) {
	t.Helper()
	f := &folder{crew.NewMemory("XM")}
	if err := example.Write(f, monday); err != nil {
		t.Fatal(err)
	}
	return f, f.Book.Sites()[0]
}

func (f *folder) do(t *testing.T, act acts.Act) {
	t.Helper()
	if _, err := f.Append(t.Context(), act); err != nil {
		t.Fatal(err)
	}
}

func (f *folder) labels(t *testing.T, o Query) []Label {
	t.Helper()
	return Of(f.Book, f.Book.Sites()[0], o)
}

// only is the one label of a kind that a joint has.
func (f *folder) only(t *testing.T, joint string, kind Purpose, now fusion.Stamp) Label {
	t.Helper()
	list := slices.DeleteFunc(f.labels(t, Query{Joint: joint, Now: now}), func(l Label) bool { return l.Purpose != kind })
	if len(list) != 1 {
		t.Fatalf("joint %s has %d labels of kind %s", joint, len(list), kind)
	}
	return list[0]
}

// One label a joint, one more for each end of a circuit and each header.
func TestOneForEachJointLegAndHeader(t *testing.T) {
	f, _ := larkrise(t)
	var got []string
	for _, l := range f.labels(t, Query{Now: monday}) {
		got = append(got, l.Joint+" "+string(l.Purpose))
	}
	want := "1A joint, 1A leg, 1B joint, 1B leg, 2A joint, 2A leg, 2B joint, 2B leg, 3A joint, 3A leg, 3B joint, 3B leg, " +
		"4A joint, 4A leg, 4B joint, 4B leg, 5A joint, 5A leg, 5B joint, 5B leg, FG joint, FG header, TG joint, TG header, E1 joint"
	if strings.Join(got, ", ") != want {
		t.Errorf("labels\n%s, want\n%s", strings.Join(got, ", "), want)
	}
}

func TestWhatIsWritten(t *testing.T) {
	f, _ := larkrise(t)
	for _, tt := range []struct {
		joint     string
		kind      Purpose
		ink, text string
	}{
		{"1A", Joint, "1A  XM-0001  8 Mar 2026  OB", "joint 1A, chamber A, circuit 1, leg A, red tape, from ground rail, port 1, weld XM-0001, date 2026-03-08, by OB"},
		{"3A", Joint, "3A  XM-0004  8 Mar 2026  OB", "joint 3A, chamber A, circuit 3, leg A, yellow tape, from ground rail, port 3, weld XM-0004, date 2026-03-08, by OB"}, // the one that stands
		{"1B", Joint, "1B  XM-0007  8 Mar 2026  TV", "joint 1B, chamber A, circuit 1, leg B, red tape, to ground rail, port 6, weld XM-0007, date 2026-03-08, by TV"},
		{"2B", Joint, "2B  XM-0010  9 Mar 2026  OB  cool until 09:04", "joint 2B, chamber A, circuit 2, leg B, blue tape, to ground rail, port 7, weld XM-0010, date 2026-03-09, by OB, cool until 09:04"},
		{"3B", Joint, "3B  weld ______  date ______  by ______  cool until ______", "joint 3B, chamber A, circuit 3, leg B, yellow tape, to ground rail, port 8, weld ______, date ______, by ______, cool until ______"},
		{"E1", Joint, "E1  weld ______  date ______  by ______  cool until ______", "joint E1, header from ground, before the plant room wall, weld ______, date ______, by ______, cool until ______"},
		{"5A", Leg, "5A  port 5  FG rail  green tape", "chamber A, circuit 5, leg A, green tape, from ground rail, port 5"},
		{"1B", Leg, "1B  port 6  TG rail  red tape", "chamber A, circuit 1, leg B, red tape, to ground rail, port 6"},
		{"FG", Header, "FROM GROUND (FG)  chamber A", "FROM GROUND (FG): water comes from the loops here, into the heat pump's ground side, chamber A, stub 63 mm SDR 11, pipe 63 mm SDR 11, Larkrise cottage (invented)"},
		{"TG", Header, "TO GROUND (TG)  chamber A", "TO GROUND (TG): water goes to the loops here, out of the heat pump's ground side, chamber A, stub 63 mm SDR 11, pipe 63 mm SDR 11, Larkrise cottage (invented)"},
	} {
		l := f.only(t, tt.joint, tt.kind, monday)
		if l.Ink != tt.ink || l.Text != tt.text {
			t.Errorf("%s %s:\nink  %q, want\n     %q\ntext %q, want\n     %q", tt.joint, tt.kind, l.Ink, tt.ink, l.Text, tt.text)
		}
	}
}

// A hold stands on a label while it runs: by the boot clock, to the full minute
// after it, and no longer.
func TestHoldWhileItRuns(t *testing.T) {
	f, _ := larkrise(t)
	set := monday
	set.Wall = set.Wall.Add(3 * time.Hour) // the wall clock was set; the hold was not
	restarted := fusion.Stamp{Wall: monday.Wall, Offset: monday.Offset, Boot: time.Minute, BootID: "boot-2", Machine: "laptop"}
	for _, tt := range []struct {
		name, want string
		now        fusion.Stamp
	}{
		{"running", "cool until 09:04", monday},
		{"over", "", monday.Add(10 * time.Minute)},
		{"wall clock set", "cool until 12:04", set},
		{"restarted a minute ago: only that minute is sure", "cool until 09:05", restarted},
	} {
		l := f.only(t, "2B", Joint, tt.now)
		if l.Hold != tt.want || strings.Contains(l.Ink, "cool") != (tt.want != "") || l.Weld != "XM-0010" {
			t.Errorf("%s: hold %q, want %q; ink %q", tt.name, l.Hold, tt.want, l.Ink)
		}
	}
}

// What is not known is not made up: a weld that fuses has its number and lines
// for the rest, one whose hold has no time says so.
func TestWhatIsNotKnown(t *testing.T) {
	f, site := larkrise(t)
	put := func(weld, joint string, b logbook.Body) {
		f.do(t, crew.Raw(acts.Head{ID: "x", At: monday, By: "Bo Invented", Site: site.ID}, joint, weld, b))
	}
	put("XM-0011", "3B", logbook.WeldBegun{Operator: "Bo Invented\x1b"})
	if l := f.only(t, "3B", Joint, monday); l.Weld != "" {
		t.Errorf("a walk that is open stands as weld %s", l.Weld)
	}
	put("XM-0011", "3B", logbook.FusionStarted{})
	if l := f.only(t, "3B", Joint, monday); l.Ink != "3B  XM-0011  date ______  Bo Invented·  cool until ______" || l.Date != "" {
		t.Errorf("fusing: %q", l.Ink)
	}
	put("XM-0011", "3B", logbook.FusionEnded{Outcome: logbook.Completed})
	if l := f.only(t, "3B", Joint, monday); l.Ink != "3B  XM-0011  9 Mar 2026  Bo Invented·  cooling: no time known" {
		t.Errorf("held for nobody knows how long: %q", l.Ink)
	}
}

// A fusion said to be over at 09:00, when it should be at 09:00:40, is held from
// then on: 6 min (common practice, no source) end at 09:06:40.
func TestNoHoldIsWrittenShort(t *testing.T) {
	f, site := larkrise(t)
	for _, b := range []logbook.Body{
		logbook.WeldBegun{Operator: "Ona Brill"}, logbook.SettingsKeyed{SecondsShown: 40, CoolingMin: 6},
		logbook.FusionStarted{}, logbook.FusionEnded{Outcome: logbook.Completed},
	} {
		f.do(t, crew.Raw(acts.Head{ID: "x", At: monday, By: "Ona Brill", Site: site.ID}, "3B", "XM-0011", b))
	}
	for _, after := range []time.Duration{0, 30 * time.Second, time.Minute, 6 * time.Minute} {
		if l := f.only(t, "3B", Joint, monday.Add(after)); l.Hold != "cool until 09:07" {
			t.Errorf("%v after the answer: %q", after, l.Hold)
		}
	}
}

func TestStruckAndSplitJointsHaveNone(t *testing.T) {
	f, site := larkrise(t)
	h := acts.Head{ID: "s", At: monday, By: "Ona Brill", Site: site.ID}
	f.do(t, acts.StrikeJoint(h, "E1", "the wall was opened elsewhere"))
	if got := f.labels(t, Query{Joint: "E1", Now: monday}); len(got) != 0 {
		t.Errorf("struck off: %v", got)
	}
	h.ID = "t"
	f.do(t, acts.SplitJoint(h, "3B", "a piece let in", acts.Piece{}))
	var got []string
	for _, l := range f.labels(t, Query{Now: monday}) {
		if strings.HasPrefix(l.Joint, "3B") {
			got = append(got, l.Joint+" "+string(l.Purpose))
		}
	}
	if want := "3B.1 joint, 3B.1 leg, 3B.2 joint, 3B.2 leg"; strings.Join(got, ", ") != want {
		t.Errorf("split: %s, want %s", strings.Join(got, ", "), want)
	}
}

func TestOfAChamber(t *testing.T) {
	f, _ := larkrise(t)
	if got := len(f.labels(t, Query{Chamber: "A", Now: monday})); got != 24 {
		t.Errorf("chamber A has %d labels, want 24: all but E1", got)
	}
	if got := f.labels(t, Query{Chamber: "B", Now: monday}); len(got) != 0 {
		t.Errorf("chamber B: %v", got)
	}
}

// "Flow" is used both ways in the trade, so it stands on no label.
func TestFlowIsNeverPrinted(t *testing.T) {
	f, _ := larkrise(t)
	var text strings.Builder
	list := f.labels(t, Query{Now: monday})
	if err := WriteText(&text, list); err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(list)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{text.String(), string(data)} {
		if strings.Contains(strings.ToLower(s), "flow") || !strings.Contains(s, "FROM GROUND (FG)") {
			t.Errorf("printed: %s", s)
		}
	}
	if !strings.Contains(text.String(), "header  TO GROUND (TG): water goes to the loops here, out of the heat pump's ground side, chamber A, stub 63 mm SDR 11, pipe 63 mm SDR 11, Larkrise cottage (invented)\n        write: TO GROUND (TG)  chamber A\n") {
		t.Errorf("text:\n%s", text.String())
	}
}

var errFull = errors.New("disk full")

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestAFullDiskIsSaid(t *testing.T) {
	if err := WriteText(full{}, []Label{{Purpose: Leg}}); !errors.Is(err, errFull) {
		t.Errorf("got %v", err)
	}
}

// A label says the port that the pipe is on, not the plan's.
func TestThePortAsWelded(t *testing.T) {
	f, site := larkrise(t)
	h := acts.Head{ID: "port", At: monday, By: "Hedda Roan", Site: site.ID}
	if l := f.only(t, "1A", Leg, monday); l.Port != 1 || l.Bar != "from ground" || l.Tape != "red" {
		t.Errorf("before: %+v", l)
	}
	f.do(t, acts.Correct(h, "XM-0001", logbook.ItemPort, "6", "looked at in the chamber"))
	for _, kind := range []Purpose{Joint, Leg} {
		if l := f.only(t, "1A", kind, monday); l.Port != 6 || l.Bar != "to ground" || !strings.Contains(l.Text, "port 6") {
			t.Errorf("%s: %+v", kind, l)
		}
	}
	h.ID = "odd"
	f.do(t, acts.Correct(h, "XM-0001", logbook.ItemPort, "99", "no such port"))
	if l := f.only(t, "1A", Leg, monday); l.Port != 99 || l.Bar != "" {
		t.Errorf("a port that is none of the chamber's: %+v", l)
	}
}
