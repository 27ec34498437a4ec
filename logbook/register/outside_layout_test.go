package register_test

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// What is open is read first: it stands on the first page, before what the document was made
// from, where there is room for both of a small site.
func TestWhatIsOpenComesFirst(t *testing.T) {
	first := drawn(t, register.Open(t)).pages()[0]
	open, source := strings.Index(first, "What is open, and who must act\n"), strings.Index(first, "Where this comes from\n")
	if open < 0 || source >= 0 && source < open {
		t.Errorf("open at %d, where it comes from at %d:\n%s", open, source, first)
	}
	if !strings.Contains(first, "failed weld") {
		t.Errorf("what is open is not told there:\n%s", first)
	}
}

// A weld that is told whole is not told whole once more: among the values of all welds its page
// stands, and what was set and run. Of all others the values stand there, place and times too.
func TestAWeldIsToldWholeOnce(t *testing.T) {
	rep := register.Open(t)
	pages := drawn(t, rep).pages()
	whole := map[string]int{}
	for i, page := range pages {
		for _, m := range regexp.MustCompile(`(?m)^ *Joint \S+, weld (KM-\d+): `).FindAllStringSubmatch(page, -1) {
			whole[m[1]] = i + 1
		}
	}
	at := slices.IndexFunc(pages, func(p string) bool {
		return strings.Contains(p, "Values of each weld\n") && strings.Contains(p, "set and run")
	})
	if len(whole) == 0 || at < 0 {
		t.Fatalf("told whole are %v, the values stand on page %d", whole, at+1)
	}
	rows := map[string]string{}
	last := ""
	for line := range strings.Lines(strings.Join(pages[at:], "")) {
		if m := regexp.MustCompile(`^ *(KM-\d+) `).FindStringSubmatch(line); m != nil {
			last = m[1]
			rows[last] = line
		}
	}
	for _, row := range rep.Rows {
		id := row.Weld.ID
		if id == "" {
			continue
		}
		line, page := rows[id], fmt.Sprintf("told whole, page %d ", whole[id])
		if told := whole[id] > 0; told != strings.Contains(line, page) || told == strings.Contains(line, cmp.Or(row.Joint.Where, "chamber A, ")) {
			t.Errorf("%s, told whole on page %d, stands there as %q", id, whole[id], line)
		}
		if row.Verdict == audit.Failed && !strings.Contains(line, "40 s") {
			t.Errorf("%s: what was set does not stand there: %q", id, line)
		}
	}
}

// Of what is not there a line is told, without a heading of its own, and the contents lead to
// it; what is there has its heading.
func TestOfNothingALineIsTold(t *testing.T) {
	d := drawn(t, register.Open(t))
	for _, want := range []string{"Corrections: No value was corrected. None in this log.", "Pressure tests: No pressure test is recorded.", "What happened later: Nothing is recorded."} {
		at := slices.IndexFunc(d.pages(), func(p string) bool { return strings.Contains(flat(p), want) })
		title, _, _ := strings.Cut(want, ":")
		if at < 0 || !strings.Contains(pageOneOf(d), fmt.Sprintf("%s %d", title, at+1)) {
			t.Errorf("%q stands on page %d; the contents: %s", want, at+1, pageOneOf(d))
		}
	}
	if text := drawn(t, register.Sample(t)).text(); !regexp.MustCompile(`(?m)^ *Corrections$`).MatchString(text) {
		t.Error("corrections have no heading")
	}
}

// No part of a caution is overlooked on the next page, wherever on a page it begins.
func TestACautionIsNotParted(t *testing.T) {
	parted := 0
	for n := range 8 {
		rep := register.Open(t)
		for range 3 * n {
			rep.Unlike += "A line that stands on the first page and moves all that comes behind it, more and more of them. "
		}
		for _, page := range drawn(t, rep).pages() {
			page = flat(page)
			if begins, ends := strings.Contains(page, "Caution For licensed trades."), strings.Contains(page, "Before a pipe is connected, see for yourself which is from ground"); begins != ends {
				t.Fatalf("%d lines more: the caution is parted:\n%s", 3*n, page)
			} else if begins {
				parted++
			}
		}
	}
	if parted != 8 {
		t.Errorf("the caution was seen %d times", parted)
	}
}

// On a phone the rows of the circuits stand under each other: each cell says then what it is, to
// the eye alone, and who hears the page is told of a table as ever.
func TestTheCircuitsFitAPhone(t *testing.T) {
	circuits := readPage(t, pageOf(t, register.Sample(t))).byID("handover").all("table")
	if len(circuits) != 1 || circuits[0].attrs["role"] != "table" {
		t.Fatalf("the tables are %v", circuits)
	}
	var heads []string
	for _, th := range circuits[0].has("thead").all("th") {
		heads = append(heads, th.says())
	}
	rows := circuits[0].has("tbody").all("tr")
	for _, row := range rows {
		for i, cell := range row.all("td") {
			head := cell.has("span")
			if head == nil || head.says() != heads[i+1]+":" || head.attrs["aria-hidden"] != "true" || cell.attrs["role"] != "cell" {
				t.Errorf("a cell says %q, its column is %q", cell.says(), heads[i+1])
			}
		}
	}
	if len(rows) == 0 || len(heads) < 4 {
		t.Errorf("%d rows, heads %q", len(rows), heads)
	}
}
