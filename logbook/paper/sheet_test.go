package paper

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// The figures of this table are invented, except 40 s in 5…14 °C, 39.5 V and
// 6 min (common practice, no source).
const tableText = `title = "invented table"
source = "invented"
bands = [[-5, 4], [5, 14]]
[[fitting]]
name = "coupler 40"
kind = "coupler"
sizes_mm = [40]
sdr = [11]
volts = 39.5
seconds = [44, 40]
cooling_min = [7, 6]
[[fitting]]
name = "elbow 40"
kind = "elbow"
sizes_mm = [40]
sdr = [11]
volts = 39.5
seconds = [44, 40]
cooling_min = 6
`

const planText = `site = "Invented Meadow"
client = "invented client"
firm = "invented firm"
address = "invented address"
[[chamber]]
name = "A"
ports = [{no = 1, row = "low", bar = "from ground"}, {no = 2, row = "high", bar = "to ground"}]
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
fitting = "odd one"
[[joint]]
label = "E1"
fitting = "elbow 40"
where = "bend in the trench"
`

// meadow is an invented site whose table is not read back.
func meadow(t *testing.T) *crew.Crew {
	c := crew.Empty(t)
	c.Opens(planText, tableText)
	return c
}

// readBack is the same site, its table read back.
func readBack(t *testing.T) *crew.Crew {
	c := meadow(t)
	c.Do(acts.ReadBack(c.H, logbook.Hash(tableText)))
	return c
}

// toWeld are all joints of a site.
func toWeld(r logbook.Reader, site logbook.Site) (out []ToWeld) {
	for _, j := range r.Joints(site.ID) {
		out = append(out, ToWeld{Joint: j})
	}
	return out
}

// What comes before the weld stands above its times: ground to be moved, unless
// it was moved since, and a failed weld to be cut out.
func TestWhatComesFirst(t *testing.T) {
	c := readBack(t)
	c.Do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A"}))
	c.Do(acts.Happen(c.H, "1A", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Text: "again"}))
	book, site := c.Book, c.Site()
	joints := toWeld(book, site)
	joints[0].CutOut, joints[1].CutOut = "KM-0001", "KM-0002"
	const cut = "out and say so on the board, at the joint, before this sheet is typed in"
	s := SheetOf(site, joints, "2026-03-09")
	for i, want := range []string{
		"cut KM-0001 " + cut, "covered with ground on 2026-03-09 by Ada Invented: dig it up; cut KM-0002 " + cut,
		"covered with ground on 2026-03-09 by Ada Invented: dig it up", "",
	} {
		if got := s.Blocks[i].First; got != want {
			t.Errorf("%s: first %q, want %q", s.Blocks[i].Joint, got, want)
		}
	}
	var out bytes.Buffer
	if err := s.WriteText(&out); err != nil || !strings.Contains(out.String(), "\n  FIRST: cut KM-0001 out") || strings.Count(out.String(), "FIRST") != 3 {
		t.Errorf("%v in\n%s", err, out.String())
	}
}

func TestSheetOf(t *testing.T) {
	c := readBack(t)
	book, site := c.Book, c.Site()
	s := SheetOf(site, toWeld(book, site), "2026-03-09")
	if s.Site != "Invented Meadow" || s.Day != "2026-03-09" || len(s.Blocks) != 4 {
		t.Fatalf("%+v", s)
	}
	b := s.Blocks[0]
	if b.Joint != "1A" || b.Place != "chamber A, circuit 1, leg A, port 1, low row, pipe 40 mm SDR 11" || b.Fitting != "coupler 40" {
		t.Errorf("%+v", b)
	}
	if got := b.Times(); got != "-5…4 °C: 44 s, cooling 7 min  |  5…14 °C: 40 s, cooling 6 min" {
		t.Errorf("times %q", got)
	}
	if got := b.Supply(); got != "39.5 V  |  invented table, read back by Ada Invented" {
		t.Errorf("supply %q", got)
	}
	header := s.Blocks[2]
	if !strings.Contains(header.Place, "header to ground") || header.Times() != "no times: its fitting is in no table of the site; take them from the bag" || header.Supply() != "" {
		t.Errorf("%+v", header)
	}
	if at := s.Blocks[3].Place; at != "bend in the trench" {
		t.Errorf("E1 is at %q", at)
	}
}

// Times that may not be used are not printed.
func TestNoTimesOnTheSheet(t *testing.T) {
	c := meadow(t)
	book, site := c.Book, c.Site()
	if b := SheetOf(site, toWeld(book, site)[:1], "d").Blocks[0]; b.Figures != nil || !strings.Contains(b.Times(), "is not read back") {
		t.Errorf("%+v", b)
	}
	site.Tables[0].ReadBack, site.Tables[0].Stopped = "Ada", map[string][]logbook.BagRead{"coupler 40": {{}}}
	if b := SheetOf(site, toWeld(book, site)[:1], "d").Blocks[0]; b.Figures != nil || !strings.Contains(b.Times(), "a bag printed other times") {
		t.Errorf("%+v", b)
	}
}

// Printed as text, each column has its place once: what is the same for many joints with
// the day, all else with each joint, and a box where the file takes a tick.
func TestTheTextHasEachColumnOnce(t *testing.T) {
	c := readBack(t)
	var out bytes.Buffer
	if err := SheetOf(c.Site(), toWeld(c.Book, c.Site())[:2], "2026-03-09").WriteText(&out); err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(out.String(), "\nJOINT ")
	if len(parts) != 3 || !strings.Contains(parts[0], "\nTHE DAY ") {
		t.Fatalf("%d parts:\n%s", len(parts), out.String())
	}
	for _, col := range Printed() {
		if col.Name == colJoint {
			continue // it stands above its lines
		}
		want := []int{0, 1, 1}
		if slices.Contains(theDay, col.Name) {
			want = []int{1, 0, 0}
		}
		box := "____"
		if col.Tick != "" {
			box = "[ ] "
		}
		for i, part := range parts {
			line := fmt.Sprintf("\n  %-17s %s", col.Name, box)
			if got := strings.Count(part, line); got != want[i] {
				t.Errorf("%s stands %d times in part %d, want %d", col.Name, got, i, want[i])
			}
		}
	}
	for _, name := range theDay {
		if !slices.Contains(Names(), name) {
			t.Errorf("%s is no column", name)
		}
	}
}

func TestWriteText(t *testing.T) {
	c := readBack(t)
	book, site := c.Book, c.Site()
	var out bytes.Buffer
	if err := SheetOf(site, toWeld(book, site)[:2], "2026-03-09").WriteText(&out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Invented Meadow\n2026-03-09\n", Caution, How, "\nJOINT 1A   coupler 40", "\nJOINT 1B ", "  ambient_c         ____________________  in the shade beside the joint, °C\n", "read back by Ada Invented"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing in\n%s", want, out.String())
		}
	}
}
