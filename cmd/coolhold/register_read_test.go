package main

import (
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A page is a register as HTML, as somebody reads it who was not there.
type page string

// readCorrie is the register of a kept log, three days old in part.
func readCorrie(t *testing.T) page {
	t.Helper()
	if raced {
		t.Skip("one thing is done after another here: there is nothing to race")
	}
	s := tells(newDoor(t, "2026-03-20 08:00"))
	unpack(t, "corrie", s.log)
	out := filepath.Join(t.TempDir(), "r.html")
	s.done("register", "--as-of", "2026-03-19T12:30:00+01:00", "--out", out)
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return page(text)
}

var (
	tags   = regexp.MustCompile(`<[^>]*>`)
	blanks = regexp.MustCompile(`\s+`)
	folded = regexp.MustCompile(`(?s)<details>.*?</details>`)
)

// plain is markup as it is read.
func plain(markup string) string {
	s := blanks.ReplaceAllString(html.UnescapeString(tags.ReplaceAllString(markup, " ")), " ")
	return strings.TrimSpace(strings.NewReplacer(" ,", ",", " .", ".", " :", ":", " ;", ";").Replace(s))
}

// raw is the section of an anchor up to the next one beside it.
func (p page) raw(t *testing.T, id string) string {
	t.Helper()
	_, s, found := strings.Cut(string(p), `<section id="`+id+`"`)
	if !found {
		t.Fatalf("no section %s", id)
	}
	depth, at := 1, 0
	for depth > 0 {
		end, begin := strings.Index(s[at:], "</section>"), strings.Index(s[at:], "<section")
		if begin >= 0 && begin < end {
			depth, at = depth+1, at+begin+8
			continue
		}
		depth, at = depth-1, at+end+10
	}
	_, s, _ = strings.Cut(s[:at], ">")
	return s
}

// says is what stands in a section without unfolding anything; all is the whole of it.
func (p page) says(t *testing.T, id string) string {
	return plain(folded.ReplaceAllString(p.raw(t, id), ""))
}
func (p page) all(t *testing.T, id string) string { return plain(p.raw(t, id)) }

func (p page) wants(t *testing.T, id string, wants ...string) {
	t.Helper()
	says := p.says(t, id)
	for _, want := range wants {
		if !strings.Contains(says, want) {
			t.Errorf("%s: %q is not in\n%s", id, want, says)
		}
	}
}

func (p page) never(t *testing.T, id string, nevers ...string) {
	t.Helper()
	says := p.says(t, id)
	for _, never := range nevers {
		if strings.Contains(says, never) {
			t.Errorf("%s: %q stands in\n%s", id, never, says)
		}
	}
}

// What somebody takes from the register who reads it on a phone and was not there.
func TestARegisterIsReadByWhoWasNotThere(t *testing.T) {
	p := readCorrie(t)
	t.Run("what was dug up and repaired stands where it was", func(t *testing.T) {
		p.wants(t, "moss-circuit-2", "covered on 2026-03-19, of it only Moss-2A dug up, on 2026-03-19; NO;", "repaired on 2026-03-19, circuit 2, chamber Moss, as Odile Fenn says")
		for _, id := range []string{"moss-circuit-1", "moss-circuit-3", "moss-circuit-4", "moss-circuit-5", "moss-header-fg", "moss-header-tg"} {
			p.wants(t, id, "Covered on 2026-03-19 BEFORE IT WAS SETTLED", " joints and 1 repair that nobody else looked at")
			p.never(t, id, "dug up", "repaired on")
		}
	})
	t.Run("what is over does not go on", func(t *testing.T) {
		p.wants(t, "dew-circuit-6", "Dew-6A: cooling over, not released", "Dew-6B: being made, no current yet",
			"Not yet: no weld in Dew-6B (being made, no current yet); neither clear nor accepted: Dew-6A (cooling over, not released); the rest of chamber Dew hangs together with it and is not ready either: 11 joints there.")
		p.wants(t, "weld-CL-0042", "unfinished, cooling over, not released", "until 2026-03-19 11:03 +01:00, which is over, and no release is recorded",
			"The wait before pressure that the table of its fitting prints is over since 2026-03-19 11:58 +01:00.", "What to do, by the crew: feel, look, and enter the release: its cooling time is over since 2026-03-19 11:03 +01:00.")
		p.wants(t, "weld-CL-0044", "unfinished, end of fusion not recorded")
		p.wants(t, "list", "CL-0021 unfinished, cooling over, not released", "CL-0044 unfinished, end of fusion not recorded")
		p.wants(t, "drawing", "CL-0042 cooling over", "CL-0044, end of fusion not recorded")
		for _, id := range []string{"circuits", "list", "drawing"} {
			p.never(t, id, " hold", "fusing.", "CL-0044, fusing", "in the walk")
		}
	})
	t.Run("one answer on pressure, and each joint in a block", func(t *testing.T) {
		p.wants(t, "dew-header-fg", "Earliest pressure test Not yet: nothing is left to do at its own joints, but the rest of chamber Dew hangs together with it, and neither clear nor accepted there: Dew-1B,")
		p.never(t, "circuits", "From 2026-")
		p.wants(t, "other-t.1", "T.1: end of fusion not recorded", "Run T.1: NO", "it is in a test of all of the site only")
		p.wants(t, "other-x.1", "X.1: query")
		blocks := p.all(t, "circuits")
		for _, row := range regexp.MustCompile(`<th scope="row" class="[^"]*"><a href="#([^"]+)">([^<]+)<`).FindAllStringSubmatch(p.raw(t, "list"), -1) {
			if says := p.all(t, row[1]); strings.Contains(says, "make-up piece:") || strings.Contains(says, "not being built") {
				continue
			}
			if !strings.Contains(blocks, row[2]+": ") {
				t.Errorf("joint %s stands in no block", row[2])
			}
		}
	})
	t.Run("no wait is over where no weld is", func(t *testing.T) {
		for id, bare := range map[string]string{"dew-circuit-3": "Dew-3A.2", "dew-circuit-4": "Dew-4B", "dew-circuit-6": "Dew-6B", "loam-header-fg": "Loam-FG", "loam-header-tg": "Loam-TG"} {
			p.wants(t, id, "Not yet: no weld in "+bare)
			if _, test, _ := strings.Cut(p.says(t, id), "Earliest pressure test"); strings.Contains(test, "over since") {
				t.Errorf("%s says %s", id, test)
			}
		}
		p.wants(t, "dew-circuit-1", "the waits of what is welded are over since")
	})
	t.Run("what was stated for a day is said alike", func(t *testing.T) {
		p.wants(t, "people", "Operator's number I-98 (invented), valid until 2026-03-01, as stated for 2026-03-16.", "valid until 2028-03-31, as stated for 2026-03-18 (its shift went on on 2026-03-19). On 2026-03-17 (no shift) nothing was stated.",
			"CU-412: Calibrated 2025-11-03; corrects for temperature by itself: no; as stated for 2026-03-16, 2026-03-18 (its shift went on on 2026-03-19). On 2026-03-17 (no shift) nothing was stated. Welds name it on: 2026-03-16, 2026-03-17, 2026-03-18, 2026-03-19.",
			"CU-500: Calibrated left blank;")
		p.wants(t, "missing", "Operator Ilka Morrow: end of the qualification not stated for 2026-03-17, when there was no shift, of 2 welds: CL-0016, CL-0019; on other days: 2026-03-01 for 2026-03-16; 2028-03-31 for 2026-03-18 (its shift went on on 2026-03-19).",
			"Control unit CU-500: date of the last calibration not stated for 2026-03-17, when there was no shift, of 2 welds: CL-0016, CL-0019; left blank on the shift of 2026-03-16, 2026-03-18, of 3 welds: CL-0002, CL-0010, CL-0030; on other days: not stated either.",
			"Control unit CU-412: date of the last calibration not stated for 2026-03-17, when there was no shift, of 11 welds: CL-0017, CL-0018, CL-0020 to CL-0028; on other days: 2025-11-03 for 2026-03-16, 2026-03-18 (its shift went on on 2026-03-19).")
	})
	t.Run("a rule with nothing to look at acquits nobody", func(t *testing.T) {
		says := p.all(t, "rules")
		for _, want := range []string{"A rule finds only what is recorded", "more rules had nothing to look at: no shift asked for the ends of qualifications and the dates of calibrations; no closing weld is named; no pressure test is recorded; the plan wants no pressure test; no flow check is recorded; no purge is recorded; no filling is recorded",
			"No flow check is recorded: nothing to look at for 5 rules, that would look for:", "No purge is recorded: nothing to look at for 1 rule, that would look for:", "more rules had something to look at and found nothing recorded"} {
			if !strings.Contains(says, want) {
				t.Errorf("%q is not in %s", want, says)
			}
		}
		_, looked, _ := strings.Cut(says, "had something to look at")
		looked, _, _ = strings.Cut(looked, "had nothing to look at")
		if len(looked) < 1000 || strings.Contains(looked, "pressure test") && strings.Contains(looked, "gauge") || strings.Contains(looked, "purge") || strings.Contains(looked, "left blank") {
			t.Errorf("%d, %s", len(looked), looked)
		}
	})
	t.Run("a correction is named for what it corrected", func(t *testing.T) {
		p.wants(t, "corrections", "Fusion ended, weld CL-0028: was 2026-03-17 10:34 +01:00, now 2026-03-17 10:33 +01:00.",
			"TOOK BACK A FINDING that a correction before it had made: stands in joint Dew-5B, and so does CL-0010.")
		p.never(t, "corrections", "To be held until", "REMOVED A FINDING: stands in joint Dew-5B")
		p.wants(t, "weld-CL-0028", "and ended 10:33 +01:00 (corrected: was 2026-03-17 10:34 +01:00)")
		says := p.all(t, "weld-CL-0028")
		_, held, _ := strings.Cut(says, "to be held until ")
		held, _, _ = strings.Cut(held, "released")
		if !strings.Contains(says, "fusion ended 2026-03-17 10:33 +01:00 corrected: ended was 2026-03-17 10:34 +01:00") || len(held) < 20 || strings.Contains(held, "corrected") {
			t.Errorf("%q in %s", held, says)
		}
	})
	t.Run("who digs knows of every fail", func(t *testing.T) {
		p.wants(t, "now", "Covered, a fail taken away by a correction, joint Moss-3A: It lies here: chamber Moss, circuit 3, leg A,", "joint Moss-3B: It lies here", "joint Moss-4B: It lies here", "joint Moss-5A: It lies here",
			"It was: disturbed 2 min after fusion", "By the correction of Bryn Calder, 2026-03-18 14:00 +01:00: it was recorded as moved 2 min after fusion, and is now recorded as not moved.")
		says := p.says(t, "now")
		if n := strings.Count(says, "Covered, a fail taken away"); n != 4 {
			t.Errorf("%d fails taken away in %s", n, says)
		}
		if at := strings.Index(says, "Before anybody digs"); at < strings.LastIndex(says, "It lies here") {
			t.Error("the caution stands before what is dug for")
		}
		p.wants(t, "covered", "Moss-FG, Moss-TG. Dug up since: Moss-2A (2026-03-19).")
	})
	t.Run("one count of what a person did", func(t *testing.T) {
		p.wants(t, "people", "Accepted 10, of which 7 stand, signed 2,")
		p.wants(t, "cut-outs", "Welded by Wren Ashdown")
		p.never(t, "cut-outs", "Made by")
	})
	t.Run("what is not recorded of single welds stands in sum", func(t *testing.T) {
		p.wants(t, "missing", "Resistance: not recorded of ", "How long the unit ran: not recorded of ", "Weather: not recorded of ", "Batch of the stub: not recorded of ", "An end-of-shift check of it: not recorded of ", "Its release: not recorded of 3 welds: CL-0021, CL-0024, CL-0042.")
	})
	t.Run("one answer on pressure that was lost", func(t *testing.T) {
		p.wants(t, "list", "Moss-2A CL-0018 query, pressure lost, said to be repaired", "Moss-2B CL-0019 fail, pressure lost, said to be repaired", "Loam-4A CL-0037 fail, pressure lost ", "Loam-4B CL-0041 clear 2026")
		p.wants(t, "drawing", "Joint Moss-2A: pressure lost, said to be repaired.", "Joint Moss-2B: pressure lost, said to be repaired.", "Joint Loam-4A: pressure lost, besides that it failed.")
		p.never(t, "drawing", "Joint Loam-4B: pressure lost")
		for _, id := range []string{"joint-Loam-FG", "joint-Loam-TG"} {
			p.never(t, id, "ressure lost")
		}
	})
	t.Run("no ground lies over a weld that is not there", func(t *testing.T) {
		if says := p.all(t, "weld-CL-0027"); strings.Contains(strings.ToLower(says), "ground lies") || strings.Contains(says, "covered") {
			t.Errorf("CL-0027, which was cut out, says %s", says)
		}
		p.wants(t, "weld-CL-0028", "Ground lies over it")
	})
	t.Run("an answer does for what stays", func(t *testing.T) {
		p.wants(t, "open", "CL-0017: the bag of coupler 40, batch SR-41-3, was not read against the table; and so 5 more: CL-0020, CL-0021, CL-0023 to CL-0025. What to do: compare bag and table; the foreman decides: accept by name with a reason, or cut it out; one answer does for all of them.",
			"CL-0016: the bag of coupler 40, batch SR-41-3, was not read against the table; and so 2 more: CL-0019, CL-0022. What to do, by the crew: cut them out for their faults first; no answer to this keeps them in their joints; under the ground, and to be dug up first: Moss-1A, Moss-2B, Moss-4A (said by Bryn Calder, 2026-03-19 08:00 +01:00).",
			"16 queries on welds that are to be cut out first: the crew", "CL-0022 ran 40 s, its unit was set to 41 s. What to do, by the crew: dig it up and cut it out for its fault first; no answer to this keeps it in its joint.",
			"CL-0037 ran 40 s, its unit was set to 38 s. What to do, by the crew: cut it out, as Bryn Calder ordered; no answer to this keeps it in its joint.",
			"CL-0031 to CL-0036, CL-0040, CL-0038: each cell of its row was filled in, and yet not answered: round, same temperature.", "CL-0021: its row has no answer for: released.")
		p.never(t, "open", "to be cut out for their faults first, by the crew, and no answer keeps", "nothing left blank")
		p.wants(t, "weld-CL-0031", "(each cell of its row was filled in), and yet not answered: round, same temperature.")
		p.wants(t, "weld-CL-0022", "What to do, by the crew: dig it up and cut it out for its fault first; no answer to this keeps it in its joint.")
		p.wants(t, "weld-CL-0037", "What to do, by the crew: cut it out, as Bryn Calder ordered; no answer to this keeps it in its joint.", "What to do, by the crew: cut it out and weld again with a new fitting.")
		for _, id := range []string{"weld-CL-0016", "weld-CL-0019", "weld-CL-0022", "weld-CL-0037"} {
			p.never(t, id, "the foreman decides: accept")
		}
		p.wants(t, "weld-CL-0018", "the foreman decides: accept")
	})
	t.Run("the counts are those of the lists", func(t *testing.T) { countsAreLists(t, p) })
	t.Run("near the top", func(t *testing.T) {
		p.wants(t, "now", "Whom to call, hand-over: NOT RECORDED, neither who nor a number: ask Tern & Daughters Ground Loops (invented).",
			"2 days not signed, days signed: 2026-03-17 with 13 welds; 2026-03-19 with 3 welds (the day of this document). No shift of its own in the log: 2026-03-17, 2026-03-19.")
		if says := p.says(t, "now"); strings.Index(says, "not signed") < strings.Index(says, "FAIL UNDER") {
			t.Error("that a day is not signed stands before the fails")
		}
	})
	t.Run("anchors and contents", func(t *testing.T) { anchorsAndContents(t, p) })
	t.Run("what is not recorded is not folded", func(t *testing.T) {
		p.wants(t, "weld-CL-0021", "Not recorded: number of the operator's qualification, end of the operator's qualification, last calibration of the control unit (no shift of 2026-03-17), weather, its release.")
		p.wants(t, "weld-CL-0024", "Not recorded: batch of the coil or pipe,", "resistance, its release.")
		p.never(t, "weld-CL-0001", "Not recorded")
		p.wants(t, "weld-CL-0029", "Not recorded: an end-of-shift check of it.")
		p.never(t, "weld-CL-0041", "an end-of-shift check") // of the day of the document
		p.wants(t, "joint-Dew-4B", "Weld CL-0014 was made here and is not in the joint: cut out 2026-03-18 07:45:00 +01:00: as ordered.", "To be done, by the crew: weld it again with a new fitting, with a make-up piece, or say why it is not being built.")
	})
	t.Run("words of who never saw the program", func(t *testing.T) {
		whole := plain(string(p))
		for _, never := range []string{"in the walk", "hold counts", "cooling time counts a gap", "severity is", "(look 3)", "stub stub", "then was", "isturbed corrected from", "disturbed was 2", "corrected disturbed"} {
			if at := strings.Index(whole, never); at >= 0 {
				t.Errorf("%q: %s", never, whole[max(0, at-80):min(len(whole), at+120)])
			}
		}
		p.wants(t, "weld-CL-0018", "coupler 40 (corrected 2 times: first coupler 40, then cap 40, then this)", "batch of the stub: stub M1")
		p.wants(t, "weld-CL-0021", "it was recorded as moved 2 min after fusion, and is now recorded as not moved.", "Recorded first as moved 2 min after fusion, then corrected to not moved, by Bryn Calder (read again on the sheet)")
		p.wants(t, "corrections", "recorded first as moved 2 min after fusion, now as not moved. Why: read again on the sheet.")
		p.wants(t, "weld-CL-0013", "Its cooling time counts a stretch that the laptop did not watch, on the word of Bryn Calder.")
		if says := p.all(t, "weld-CL-0003"); !strings.Contains(says, "felt at the end-of-shift check (look number 3 at it)") {
			t.Errorf("CL-0003 says %s", says)
		}
	})
}

// Who reads the same site on paper finds the same in its tables.
func TestTheTablesOnPaperSayTheSame(t *testing.T) {
	if raced {
		t.Skip("one thing is done after another here: there is nothing to race")
	}
	s := tells(newDoor(t, "2026-03-20 08:00"))
	unpack(t, "corrie", s.log)
	out := filepath.Join(t.TempDir(), "r.pdf")
	s.done("register", "--as-of", "2026-03-19T12:30:00+01:00", "--format", "pdf", "--out", out)
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("no pdftotext: what a PDF says is not looked at")
	}
	read := func(how string) string {
		text, err := exec.CommandContext(t.Context(), tool, how, out, "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	flat := blanks.ReplaceAllString(read("-raw"), " ")
	// after is what stands in a row from its beginning on to another one's.
	after := func(begins, ends string) string {
		t.Helper()
		_, row, found := strings.Cut(flat, begins)
		row, _, ends2 := strings.Cut(row, ends)
		if !found || !ends2 || len(row) > 1500 {
			t.Errorf("no row from %q to %q", begins, ends)
		}
		return row
	}
	for _, k := range []struct{ from, to, want, never string }{
		{"Circuit 3 of chamber Dew ", "Circuit 4 of chamber Dew ", "not yet: no weld in Dew-3A.2; not accepted: Dew-3A.1", "waits over"},
		{"Circuit 4 of chamber Dew ", "Circuit 5 of chamber Dew ", "not yet: no weld in Dew-4B; not accepted: Dew-4A", "waits over"},
		{"Circuit 6 of chamber Dew ", "Circuit 1 of chamber Moss ", "not yet: no weld in Dew-6B; not accepted: Dew-6A", "waits over"},
		{"Header from ground of chamber Loam ", "Header to ground of chamber Loam ", "not yet: no weld in Loam-FG; not accepted: M.1", "waits over"},
		{"Circuit 5 of chamber Dew ", "Circuit 6 of chamber Dew ", "waits over 2026-", "no weld in"},
		{"Circuit 2 of chamber Moss ", "Circuit 3 of chamber Moss ", "PRESSURE LOST, said to be repaired: Moss-2A, Moss-2B; fail 1", "PRESSURE LOST:"},
		{"Circuit 4 of chamber Loam ", "Header from ground of chamber Dew ", "PRESSURE LOST: Loam-4A; fail 2", "Loam-4B"},
		{"Loam-4B chamber Loam, circuit 4", "Dew-6A chamber Dew", "stands, clear", "pressure lost"},
		{"Loam-FG chamber Loam", "Loam-TG chamber Loam", "no weld", "pressure lost"},
	} {
		if says := after(k.from, k.to); !strings.Contains(says, k.want) || strings.Contains(says, k.never) {
			t.Errorf("%s says %q, want %q and never %q", k.from, says, k.want, k.never)
		}
	}
	if i := strings.Index(flat, "more rules had nothing to look at: no shift asked for the ends of qualifications and the dates of calibrations; no closing weld is named; no pressure test is recorded;"); i < 0 || !strings.Contains(flat[i:], "No flow check is recorded: nothing to look at for 5 rules, that would look for: flow in another circuit") {
		t.Error("it does not tell which rules had nothing to look at")
	}
	wordsStandOff(t, read("-bbox"))
}

// wordsStandOff wants the words below a header's box off its border: further from the last word
// in the box than two lines of the drawing.
func wordsStandOff(t *testing.T, boxes string) {
	t.Helper()
	word := regexp.MustCompile(`<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="[\d.]+" yMax="[\d.]+">(.*)</word>`)
	n := 0
	for _, sheet := range strings.Split(boxes, "<page ")[1:] {
		if !strings.Contains(sheet, ">rail<") {
			continue
		}
		var state, header float64
		for _, m := range word.FindAllStringSubmatch(sheet, -1) {
			y, _ := strconv.ParseFloat(m[2], 64)
			switch m[3] {
			case "CL-0015", "CL-0028", "weld": // in the box of the upper header, over its state
				if x, _ := strconv.ParseFloat(m[1], 64); x < 130 && state == 0 {
					state = y
				}
			case "header":
				if header == 0 {
					header = y
				}
			case "to", "from":
				if header == 0 || state == 0 || y < header || y > header+20 {
					continue
				}
				n++
				if line := y - header; header-state < 3*line+2 {
					t.Errorf("the word lies %.1f below the weld in its box, and a line is %.1f high", header-state, line)
				}
				state, header = -1, -1
			}
		}
	}
	if n != 3 {
		t.Errorf("%d drawings with words below a header", n)
	}
}

// countsAreLists holds each count of the front against what it leads to.
func countsAreLists(t *testing.T, p page) {
	now, open := p.raw(t, "now"), p.raw(t, "open")
	at := map[string]int{} // how many stand under each heading
	heads := map[string]string{}
	for _, part := range strings.Split(open, "<h3")[1:] {
		head, list, _ := strings.Cut(part, "</h3>")
		id := regexp.MustCompile(`id="([^"]+)">(\d+) `).FindStringSubmatch(head)
		if id == nil {
			t.Fatalf("a heading without a place or a number: %s", head)
		}
		for _, li := range strings.Split(list, "<li>")[1:] {
			n := 1
			if m := regexp.MustCompile(`\((\d+) in one line\)</strong>`).FindStringSubmatch(li); m != nil {
				n, _ = strconv.Atoi(m[1])
			}
			at[id[1]] += n
		}
		heads[id[1]] = id[2]
	}
	for id, says := range heads {
		if strconv.Itoa(at[id]) != says {
			t.Errorf("%s says %s, and %d stand under it", id, says, at[id])
		}
	}
	led := regexp.MustCompile(`<strong>(\d+) [^<]*</strong>, <a href="#(open-[^"]+)">`).FindAllStringSubmatch(now, -1)
	var places []string
	sum := map[string]int{}
	for _, m := range led {
		n, _ := strconv.Atoi(m[1])
		if n != at[m[2]] || slices.Contains(places, m[2]) {
			t.Errorf("the front leads with %s to %s, where %d stand", m[1], m[2], at[m[2]])
		}
		places = append(places, m[2])
		sum[m[2][:7]] += n // "open-qu", "open-to"
	}
	if len(places) != 5 {
		t.Errorf("it leads to %q", places)
	}
	p.wants(t, "now", strconv.Itoa(sum["open-qu"])+" queries, "+strconv.Itoa(sum["open-to"])+" other things to do.",
		"4 failed welds, joint Moss-1A, joint Moss-2B, joint Moss-4A, joint Loam-4A, all "+strconv.Itoa(at["open-faults"])+" faults that were found", "5 joints without a weld", "In 1 of them a weld was begun")
	if got := at["open-to-do-crew"] + at["open-to-do-another"] + at["open-pressure-lost"] + at["open-without-weld"]; got != 14 {
		t.Errorf("%d things to do in all", got)
	}
	p.wants(t, "short", "fail 6 (6 faults on 4 welds, by the crew)", "to do 14 (1 thing to do about pressure that was lost, by the crew; 7 other things to do, by the crew; 2 other things to do, by somebody else than who did it; 4 joints in which no weld stands or is being made, by the crew)")
}

// anchorsAndContents wants a name that stays for each circuit, and each chapter in the contents.
func anchorsAndContents(t *testing.T, p page) {
	ids := regexp.MustCompile(`<section id="([^"]+)" class="weld [a-z]*">\s*<h3>([^<]+)`).FindAllStringSubmatch(p.raw(t, "circuits"), -1)
	got := map[string]string{}
	for _, m := range ids {
		got[m[1]] = m[2]
	}
	for id, name := range map[string]string{"moss-circuit-1": "Circuit 1 of chamber Moss", "dew-circuit-1": "Circuit 1 of chamber Dew", "loam-header-tg": "Header to ground of chamber Loam", "other-x.1": "In no circuit and on no header: X.1 (run X.1)"} {
		if got[id] != name {
			t.Errorf("#%s is %q, want %q", id, got[id], name)
		}
	}
	if len(got) != 23 {
		t.Errorf("%d blocks: %v", len(got), got)
	}
	_, nav, _ := strings.Cut(string(p), "<nav")
	nav, _, _ = strings.Cut(nav, "</nav>")
	chapters := regexp.MustCompile(`<section id="([^"]+)"[^>]*>\s*<h2>`).FindAllStringSubmatch(string(p), -1)
	for _, m := range chapters {
		if !strings.Contains(nav, `href="#`+m[1]+`"`) {
			t.Errorf("chapter %s is not in the contents", m[1])
		}
	}
	if n := strings.Count(string(p), "<h2>"); n != len(chapters) || n < 27 {
		t.Errorf("%d chapters, %d of them with a place", n, len(chapters))
	}
	if strings.Contains(string(p), `id="circuit-`) {
		t.Error("a circuit is named by its number alone")
	}
}

// What stands among other things leads on: whom to call, what came in the stead of a weld,
// who ordered that it is cut out; and what somebody noted of a weld is not folded away.
func TestARegisterLeadsOn(t *testing.T) {
	p := readCorrie(t)
	if !strings.Contains(p.raw(t, "now"), `href="#handover-call"`) || strings.Count(string(p), `id="handover-call"`) != 1 {
		t.Error("whom to call is not led to")
	}
	p.wants(t, "cut-outs", "replaced by CL-0028", "Ordered by Bryn Calder")
	if raw := p.raw(t, "cut-outs"); !strings.Contains(raw, `href="#weld-CL-0028"`) {
		t.Errorf("what replaced a weld is not led to: %s", raw)
	}
	p.wants(t, "after-seal", "No. 678, shift 2026-03-18: 2026-03-19 10:20 +01:00, by Wren Ashdown: weather changed.")
	p.never(t, "after-seal", "the log has them")
	p.wants(t, "weld-CL-0027", "Fusion started 2026-03-17 10:16 +01:00; its end is not recorded (stopped)", "Cut out: the unit said earth fault")
	p.never(t, "weld-CL-0027", "To be held")
	p.wants(t, "weld-CL-0014", "Fusion started 2026-03-16 11:02:00 +01:00; its end is not recorded (nobody saw)")
	p.wants(t, "weld-CL-0021", "Noted of it: a barrow hit the stub (Odile Fenn).")
}
