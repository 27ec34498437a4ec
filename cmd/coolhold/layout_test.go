//go:build unix

package main

import (
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// fourJoints is the smallest site: a circuit and its headers, typed from a sheet.
func fourJoints(t *testing.T) *van {
	t.Helper()
	v := onPlan(t, planOf("Four joints", 1, "A"))
	v.at = v.at.AddDate(0, 0, 1)
	v.runs(exitDone, "transcribe", v.rows(func(int, map[string]string) {}), "--by", "Tam Velding")
	return v
}

// twentyFour is a site of two chambers with a course as a site has one: queries, a correction,
// a weld cut out and made anew, what is alike accepted, tests, flow checks, purges and a
// filling. All of it is invented.
func twentyFour(t *testing.T) *van {
	t.Helper()
	v := onPlan(t, planOf("Twenty-four joints", 5, "N", "S"))
	v.at = v.at.AddDate(0, 0, 1)
	v.runs(exitDone, "transcribe", v.rows(func(i int, row map[string]string) {
		switch i {
		case 3:
			row["indicators"] = "up / part"
		case 7:
			row["clamped"] = ""
		case 11:
			row["released_at"], row["cooling_min"] = "", ""
		case 14:
			row["cut_out"] = "the clamp slipped"
		case 19:
			row["ohms"] = ""
		}
	}), "--by", "Tam Velding")
	v.at = v.at.Add(24 * time.Hour)
	v.runs(exitDone, "transcribe", v.rows(func(_ int, row map[string]string) { row["date"] = "2026-03-11" }), "--by", "Tam Velding")
	v.runs(exitDone, "people", "add", "Hedda Invented", "--role", "foreman", "--firm", "Nowhere Loops (invented)", "--by", "Tam Velding")
	v.runs(exitDone, "correct", "NB-0008", "clamped", "done", "--by", "Hedda Invented", "--why", "asked the crew")
	v.runs(exitDone, "review", "indicator-part", "--weld", "NB-0004", "--by", "Hedda Invented", "--why", "looked at with the crew")
	v.acceptsWhatIsAlike()
	v.presses("circuit 1", 6.1, 6.05, 6.05)
	v.presses("circuit 2", 6.1, 5.2)
	for i := range 3 {
		v.runs(exitDone, "flow", fmt.Sprintf("circuit %d", i+1), "--flow", fmt.Sprintf("%g", 28.5-float64(i)), "--shut", "both", "--others", "still", "--gauge-max", "42", "--by", "Hedda Invented")
		v.runs(exitDone, "purge", fmt.Sprintf("circuit %d", i+1), "--flow", "31", "--minutes", "25", "--after-bubble", "15", "--bypassed", "none there", "--strainer", "yes", "--turned", "yes", "--by", "Hedda Invented")
	}
	v.runs(exitDone, "fluid", "all", "--content", "ready", "--name", "invented fluid", "--share", "30", "--litres", "1700", "--batch", "B-17", "--inhibitor", "as delivered", "--freezes", "-14", "--instrument", "R-1", "--meant-for", "yes", "--by", "Hedda Invented")
	return v
}

// presses makes a pressure test of a section, its readings a quarter of an hour apart.
func (v *van) presses(section string, bars ...float64) {
	v.t.Helper()
	v.at = v.at.Add(time.Hour)
	v.runs(exitDone, "pressure", "begin", section, "--by", "Hedda Invented", "--stage", "before cover", "--method", "as the specification says", "--spec", "invented, 4.2",
		"--bar", "6", "--minutes", fmt.Sprint(15*(len(bars)-1)), "--fall", "0.2", "--weakest", "flow gauge", "--weakest-bar", "10", "--gauge", "G-77", "--range", "10", "--resolution", "0.05",
		"--calibrated", "2026-01-12", "--above", "1.2", "--water", "9", "--pipe", "8", "--sun", "no", "--caps", "yes", "--heat-pump", "none there", "--vessel", "none there",
		"--safety-valve", "shut off", "--vents", "shut off", "--witness", "Bo Invented")
	for i, bar := range bars {
		args := []string{"pressure", "read", fmt.Sprint(bar), "--by", "Hedda Invented"}
		if i == 0 {
			args = append(args, "--phase", "pressure reached")
		} else {
			v.at = v.at.Add(15 * time.Minute)
		}
		v.runs(exitDone, args...)
	}
	v.runs(exitDone, "pressure", "end", "--ending", "run to its end", "--leaks", "looked at every joint, no leak", "--left", "2", "--by", "Hedda Invented")
}

// corrieKept is the log of the larger script as it was kept, and a time of its last day.
func corrieKept(t *testing.T) *van {
	t.Helper()
	v := &van{t: t, log: filepath.Join(t.TempDir(), "corrie.coolhold"), at: time.Date(2026, 3, 19, 10, 30, 0, 0, time.UTC)}
	unpack(t, "corrie", v.log)
	return v
}

// A drawnRow is a row of a table as a page draws it: the boxes of its cells.
type drawnRow struct {
	cells string // where each begins and how wide it is
	head  bool
	high  float64 // mm
}

var boxOf = regexp.MustCompile(`(?m)^([\d.-]+) ([\d.-]+) ([\d.-]+) -([\d.]+) re (S|B)$`)

// tableRows are the rows of tables on a page, and whether the first of them is the first thing
// on it, below what stands on every page.
func tableRows(drawn string) (rows []drawnRow, first bool) {
	boxes := boxOf.FindAllStringSubmatchIndex(drawn, -1)
	last := ""
	for _, m := range boxes {
		part := func(i int) string { return drawn[m[2*i]:m[2*i+1]] }
		if y := part(2) + " " + part(4); y != last || len(rows) == 0 {
			var high float64
			fmt.Sscan(part(4), &high)
			rows, last = append(rows, drawnRow{head: part(5) == "B", high: high * 25.4 / 72}), y
		}
		rows[len(rows)-1].cells += part(1) + "+" + part(3) + " "
	}
	return rows, len(boxes) > 0 && strings.Count(drawn[:boxes[0][0]], "Tj") <= 2
}

// lone are the pages that begin with the last one to three rows of a table, under its heads once
// more or without any, and nothing else of it: what looks forgotten there.
func lone(pages []string) (out []string) {
	for i, drawn := range pages {
		rows, first := tableRows(drawn)
		if i == 0 || !first {
			continue
		}
		n, high := 0, 0.0
		for k, r := range rows {
			if r.cells != rows[0].cells || k > 0 && r.head {
				break
			}
			if !r.head {
				n, high = n+1, high+r.high
			}
		}
		if n > 0 && n < 4 && high < 60 { // higher ones are no leftovers
			out = append(out, fmt.Sprintf("page %d begins with %d rows, %.0f mm", i+1, n, high))
		}
	}
	return out
}

// No page of the PDF begins with one to three rows of a table that stands on the page before,
// on a site of four joints, of 24, of 61 and on the larger one.
func TestNoRowIsLeftOver(t *testing.T) {
	for name, site := range map[string]func(*testing.T) *van{"four": fourJoints, "twenty-four": twentyFour, "sixty-one": sixtyOneTyped, "corrie": corrieKept} {
		t.Run(name, func(t *testing.T) {
			v := site(t)
			doc := v.file("register.pdf", "")
			v.runs(exitDone, "register", "--format", "pdf", "--force", "--out", doc)
			pages := pagesDrawn(t, doc)
			again := 0
			for _, drawn := range pages {
				if _, first := tableRows(drawn); first {
					again++
				}
			}
			if left := lone(pages); len(left) > 0 || again == 0 && name != "four" {
				t.Errorf("of %d pages %d go on with a table: %s", len(pages), again, strings.Join(left, "; "))
			}
			t.Logf("%d pages", len(pages))
		})
	}
}

// sixtyOneTyped is the site of 61 joints with its sheet, one fault in it.
func sixtyOneTyped(t *testing.T) *van {
	t.Helper()
	v := sixtyOne(t)
	v.at = v.at.AddDate(0, 0, 1)
	v.runs(exitDone, "transcribe", v.rows(func(i int, row map[string]string) {
		if i == 30 {
			row["indicators"] = "up / part"
		}
	}), "--by", "Tam Velding")
	return v
}

// What the test above finds is found where it is.
func TestWhatIsLeftOver(t *testing.T) {
	furniture, head, row, word := "(Register) Tj\n(as of) Tj\n", "10 700 50 -12.00 re B\n60 700 50 -12.00 re B\n", "10 %d 50 -12.00 re S\n60 %d 50 -12.00 re S\n", "(word) Tj\n"
	rows := func(n int) (out string) {
		for i := range n {
			out += fmt.Sprintf(row, 688-12*i, 688-12*i)
		}
		return out
	}
	for want, page := range map[string]string{
		"page 2 begins with 1 rows, 4 mm":  furniture + head + rows(1) + word,
		"page 2 begins with 2 rows, 8 mm":  furniture + head + rows(2),
		"page 2 begins with 3 rows, 13 mm": furniture + head + rows(3),
		"":                                 furniture + head + rows(4),
	} {
		if got := strings.Join(lone([]string{page, page}), ""); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if got := lone([]string{"", furniture + word + head + rows(1), furniture + word}); !slices.Equal(got, nil) {
		t.Errorf("a table under its own heading: %q", got)
	}
}
