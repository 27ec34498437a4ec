package main

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// fallow is a log of the invented site with three chambers and 24 circuits, as
// it stands when the shift has begun.
func fallow(t *testing.T) string {
	return arrived(t, "fallow", "fallow-court-invented", "CU-311", "harrow", "fen")
}

// With the first kit the pins and the generator are short; put right, nothing is.
func TestFallowIsMadeReady(t *testing.T) {
	log := fallow(t)
	for kit, want := range map[string]struct{ code, short int }{"fallow-first": {exitFindings, 3}, "fallow": {exitDone, 0}} {
		var out strings.Builder
		code := tryReady(&out, "ready", "--log", log, "--kit", "../../testdata/kits/"+kit+".toml", "--expect", "5..9")
		if code != want.code || strings.Count("\n"+out.String(), "\nshort: ") != want.short {
			t.Errorf("%s: exit code %d\n%s", kit, code, out.String())
		}
		for _, state := range []string{"\nopen: ", "\nnot known: "} {
			if strings.Contains("\n"+out.String(), state) {
				t.Errorf("%s: a line is%s\n%s", kit, state, out.String())
			}
		}
	}
}

// All 60 joints get their times, each once; in a chamber the high row waits for
// the low one, and no joint is worked while another on its pipe fuses or cools.
func TestTheOrderOfFallow(t *testing.T) {
	log := fallow(t)
	var out bytes.Buffer
	if code := tryReady(&out, "order", "--log", log, "--ambient", "8", "--units", "2", "--prepare", "10", "--json"); code != exitDone {
		t.Fatalf("exit code %d", code)
	}
	var o orderJSON
	if err := json.Unmarshal(out.Bytes(), &o); err != nil {
		t.Fatal(err)
	}
	l, err := openLog(log)
	if err != nil {
		t.Fatal(err)
	}
	pipe, chamber := map[string]string{}, map[string]string{}
	if err := l.View(t.Context(), func(r logbook.Reader) error {
		for _, j := range r.Joints(o.Site) {
			pipe[j.Label], chamber[j.Label] = j.Pipe, j.Chamber
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	held, low := map[string]time.Time{}, map[string]time.Time{}
	met := map[string]bool{}
	for _, row := range o.Order {
		if row.Start == nil || row.HoldEnd == nil || met[row.Joint] || pipe[row.Joint] == "" {
			t.Fatalf("%+v", row)
		}
		met[row.Joint] = true
		if row.Start.Before(held[pipe[row.Joint]]) {
			t.Errorf("%s begins at %v while its pipe is held to %v", row.Joint, row.Start, held[pipe[row.Joint]])
		}
		held[pipe[row.Joint]] = *row.HoldEnd
		if c := chamber[row.Joint]; row.Row == "low" {
			low[c] = *row.Start
		} else if row.Row == "high" && row.Start.Before(low[c]) {
			t.Errorf("%s of the high row begins before the low row of %s", row.Joint, c)
		}
	}
	if len(o.Order) != 60 || len(pipe) != 60 || len(low) != 3 || o.LastHold == nil || len(o.WithoutTimes)+len(o.NoWait) != 0 {
		t.Errorf("%d joints in order; last hold %v, without times %v, no wait %v", len(o.Order), o.LastHold, o.WithoutTimes, o.NoWait)
	}
}

// pages is what poppler reads on the pages of a PDF that a verb writes.
func pages(t *testing.T, args ...string) []string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("no pdftotext")
	}
	file := filepath.Join(t.TempDir(), "out.pdf")
	var said strings.Builder
	if code := tryReady(&said, append(args, "--out", file)...); code != exitDone {
		t.Fatalf("%v: exit code %d: %s", args, code, said.String())
	}
	out, err := exec.CommandContext(t.Context(), tool, "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
}

var circuitNo = regexp.MustCompile(`circuit \d+`)

// Each chamber is drawn on a page of its own, with all its circuits and headers.
func TestTheRegisterOfFallowDrawsEveryChamber(t *testing.T) {
	drawn := map[string]int{}
	for _, page := range pages(t, "register", "--log", fallow(t)) {
		m := regexp.MustCompile(`(?m)^ *Chamber (\w+)$`).FindStringSubmatch(page)
		if m == nil {
			continue
		}
		each := map[string]bool{}
		for _, c := range circuitNo.FindAllString(page, -1) {
			each[c] = true
		}
		drawn[m[1]] = len(each)
		for _, want := range []string{m[1] + "-FG", m[1] + "-TG", "rail from ground", "rail to ground", "90 mm SDR 11"} {
			if m[1] != "North" {
				want = strings.Replace(want, "90 mm", "63 mm", 1)
			}
			if !strings.Contains(page, want) {
				t.Errorf("chamber %s: %q is not drawn:\n%s", m[1], want, page)
			}
		}
	}
	if len(drawn) != 3 || drawn["North"] != 10 || drawn["Pond"] != 8 || drawn["Yard"] != 6 {
		t.Errorf("circuits drawn: %v", drawn)
	}
}

// The sheets of 60 joints: a page for the day and two sides for nine joints for the van, twelve labels a page
// with every joint among them.
func TestTheSheetsOfFallow(t *testing.T) {
	log := fallow(t)
	if got := pages(t, "sheet", "--log", log); len(got) != 15 || !strings.Contains(got[14], "SP.1-cap") || !strings.Contains(got[14], "page 15 of 15") {
		t.Errorf("the sheet has %d pages", len(got))
	}
	labels := pages(t, "labels", "--log", log)
	all := strings.Join(labels, "")
	if len(labels) != 11 || strings.Contains(strings.ToLower(all), "flow") {
		t.Errorf("the labels have %d pages", len(labels))
	}
	for text, n := range map[string]int{
		"circuit 6, leg B": 3 * 2, "FROM GROUND (FG)": 2 * 3, "TO GROUND (TG)": 2 * 3, "header of chamber Pond": 2 * 2, "joint Yard-6B": 1, "SP.1-cap": 1, "M.1": 1,
	} {
		if got := strings.Count(all, text); got != n {
			t.Errorf("%q stands %d times on the labels, want %d", text, got, n)
		}
	}
}

// A code of the second table's row is taught once that was read back.
func TestACodeIsTaughtOnFallow(t *testing.T) {
	log := fallow(t)
	var out strings.Builder
	random := strings.NewReader(strings.Repeat("random", 10))
	e := edges{out: &out, err: &out, rand: random, getenv: func(string) string { return "" }, now: func() fusion.Stamp { return heldMorning }}
	if code := run([]string{"codes", "teach", "123456789012345678901234", "--fitting", "coupler 90", "--by", "Ona Brill", "--log", log}, e); code != exitDone {
		t.Fatalf("exit code %d: %s", code, out.String())
	}
	if code := run([]string{"codes", "--log", log}, e); code != exitDone || !regexp.MustCompile(`(?m)^123456789012345678901234 +coupler 90 `).MatchString(out.String()) {
		t.Errorf("exit code %d: %s", code, out.String())
	}
}
