package recall_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/recall"
)

// searched looks through the lines of a log as the program does.
func searched(lines [][]byte, q recall.Query) []recall.Hit {
	s := recall.New(q)
	for _, line := range lines {
		s.Look(line)
	}
	for _, line := range lines {
		s.Keep(line)
	}
	return s.Hits("KM")
}

// shown is a hit in one line: weld, joint, state, and what matched.
func shown(hits []recall.Hit) (out []string) {
	for _, h := range hits {
		line := h.Weld + " " + h.Joint + " " + h.State
		for _, m := range h.Matches {
			line += fmt.Sprintf("; %s %q now %v by %s", m.Value, m.As, m.Now, m.Kind)
		}
		out = append(out, line)
	}
	return out
}

// told is a site on which a batch was asked for in every way that there is.
func told(t *testing.T) *crew.Crew {
	c := crew.OnSite(t)
	c.Done("1A")                        // batch as the crew has it
	cut := c.Done("1B")                 // the same, cut out since
	c.Do(acts.Cut(c.H, cut, "crooked")) //
	mended := c.Done("2A")              // corrected to another
	c.Do(acts.Correct(c.H, mended, logbook.ItemBatch, "V-77", "misread"))
	c.Do(acts.Correct(c.H, mended, logbook.FieldUnit, "CU-9", "misread"))
	c.Do(acts.Correct(c.H, mended, logbook.FieldOperator, "Uma Invented", "it was she"))
	return c
}

func TestRecall(t *testing.T) {
	c := told(t)
	lines := c.Lines(t)
	batch := c.Weld("KM-0001").Batch()
	spelt := strings.ToLower(strings.NewReplacer("-", " ", "W", "w ").Replace(batch))
	tests := []struct {
		name string
		q    recall.Query
		want []string
	}{
		{"corrected to it", recall.Query{Batch: "v 77"}, []string{`KM-0003 2A stands; fitting batch "V-77" now true by correction`}},
		{"unit, corrected", recall.Query{Unit: "cu9"}, []string{`KM-0003 2A stands; control unit "CU-9" now true by correction`}},
		{"operator, corrected", recall.Query{Operator: "UMA  invented"}, []string{`KM-0003 2A stands; operator "Uma Invented" now true by correction`}},
		{"part of a batch is none", recall.Query{Batch: "V-7"}, nil},
		{"another day", recall.Query{Batch: batch, From: "2026-03-10"}, nil},
		{"before", recall.Query{Batch: batch, To: "2026-03-08"}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := shown(searched(lines, tt.q)); !slices.Equal(got, tt.want) {
				t.Errorf("got\n%q, want\n%q", got, tt.want)
			}
		})
	}
	for _, as := range []string{batch, spelt} {
		hits := searched(lines, recall.Query{Batch: as, From: "2026-03-09", To: "2026-03-09"})
		if len(hits) != 3 || hits[1].State != "cut out" || hits[2].Matches[0].Now || !hits[0].Matches[0].Now {
			t.Errorf("%q: %q", as, shown(hits))
		}
	}
	if hits := searched(lines, recall.Query{Operator: crew.Ada}); len(hits) != 3 || hits[2].Matches[0].Now || hits[2].Operator != "Uma Invented" {
		t.Errorf("by the former operator: %q", shown(hits))
	}
}

// What recall finds is what going through every record of the book finds, corrections and
// bags included.
func TestABagThatWasReadIsFound(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fitted("1A")
	c.Do(acts.AbandonWalk(c.H, id, "the bag was torn"))
	lines := c.Lines(t)
	lines = append(lines, mustLine(t, c, id))
	got := shown(searched(lines, recall.Query{Batch: "q 9/1"}))
	if want := []string{`KM-0001 1A given up; fitting batch "Q-9/1" now false by bag read`}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// mustLine is the line of a bag that was read on a weld and then put away.
func mustLine(t *testing.T, c *crew.Crew, weld string) []byte {
	t.Helper()
	n := len(c.Entries)
	c.Do(crew.Raw(c.H, "1A", weld, logbook.BagRead{Fitting: "coupler 40", Batch: "Q-9/1"}))
	return c.Lines(t)[n]
}

// A kind that only a newer program knows names its values as the others do.
func TestAnUnknownKindIsLookedThrough(t *testing.T) {
	c := crew.OnSite(t)
	c.Done("1A")
	lines := c.Lines(t)
	last := string(lines[len(lines)-1])
	at := strings.Index(last, `"kind":`)
	lines = append(lines, []byte(last[:at]+`"kind":"re-batched","v":1,"body":{"fitting_batch":"N-1"}}`))
	got := shown(searched(lines, recall.Query{Batch: "n1"}))
	if want := []string{`KM-0001 1A stands; fitting batch "N-1" now false by re-batched`}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A line that does not hold what is looked for costs no memory: a log of any size is
// looked through in the same.
func TestALineThatIsNoHitCostsNothing(t *testing.T) {
	lines := crew.OnSite(t).Lines(t)
	s := recall.New(recall.Query{Batch: "no such batch"})
	for _, line := range lines {
		s.Look(line)
	}
	if n := testing.AllocsPerRun(10, func() {
		for _, line := range lines {
			s.Look(line)
		}
	}); n != 0 {
		t.Errorf("%v allocations for %d lines", n, len(lines))
	}
}

// Nor do the sites in which nothing is found: nothing of them is kept.
func TestASiteWithoutAHitIsNotKept(t *testing.T) {
	c := told(t)
	other := strings.ReplaceAll(crew.PlanText, "Invented Meadow", "Other Meadow")
	c.Opens(other, crew.TableText)
	var here, there [][]byte
	for _, line := range c.Lines(t) {
		if bytes.Contains(line, []byte(`"site":"other-meadow"`)) {
			there = append(there, line)
		} else {
			here = append(here, line)
		}
	}
	s := recall.New(recall.Query{Batch: "W-1"})
	for _, line := range here {
		s.Look(line)
	}
	n := testing.AllocsPerRun(10, func() {
		for _, line := range there {
			s.Keep(line)
		}
	})
	if len(s.Sites()) == 0 || len(there) < 5 || n != 0 {
		t.Errorf("found %v, %v allocations for %d lines", s.Sites(), n, len(there))
	}
}

// The word before a batch may be left out on either side; one letter is no word.
func TestIsBatch(t *testing.T) {
	for _, c := range []struct {
		written, asked string
		is             bool
	}{
		{"coil 5591", "5591", true}, {"5591", "pipe coil 5591", true}, {"coil 5591", "lot 5591", false}, {"W 7", "W-7", true}, {"7", "W 7", false}, {"W 7", "7", false},
		{"W-7 / W-8", "w8", true}, {"coil -", "coil", true}, {" - ", "coil -", false}, {"", "", false},
	} {
		if got := recall.IsBatch(c.written, c.asked); got != c.is {
			t.Errorf("%q asked for as %q: %v", c.written, c.asked, got)
		}
	}
}

func TestFold(t *testing.T) {
	for _, as := range []string{"W-4032-7", "w 4032 7", "W\u20114032\u20137", "w4032\u00a07", "W\u00ad4032\u22127"} {
		if got := recall.Fold(as); got != "w40327" {
			t.Errorf("%q folds to %q", as, got)
		}
	}
	if got := recall.Fold("W_40/32"); got != "w_40/32" {
		t.Errorf("what is no blank and no hyphen is dropped: %q", got)
	}
	for c := range rune(0x200) { // rune by rune, as it is meant
		want := string(unicode.ToLower(c))
		if unicode.IsSpace(c) || unicode.Is(unicode.Pd, c) || c == '\u00ad' {
			want = ""
		}
		if got := recall.Fold("a" + string(c) + "b"); got != "a"+want+"b" {
			t.Errorf("%q folds to %q", c, got)
		}
	}
}

// A batch that was carried over is said to be; one that somebody gave by itself is not,
// whichever came first.
func TestRecallSaysWhatWasCarriedOver(t *testing.T) {
	c := crew.OnSite(t)
	say := func(id string, how logbook.How) {
		c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, []logbook.Answer{{Item: logbook.ItemBatch, V: "W-9", How: how}}))
	}
	say(c.Begin("1A"), logbook.Carried)
	confirmed := c.Begin("1B")
	say(confirmed, logbook.Carried)
	say(confirmed, logbook.Scanned)
	var got []logbook.How
	for _, h := range searched(c.Lines(t), recall.Query{Batch: "W-9"}) {
		for _, m := range h.Matches {
			got = append(got, m.How)
		}
	}
	if !slices.Equal(got, []logbook.How{logbook.Carried, ""}) {
		t.Errorf("came by %q", got)
	}
}
