package recall_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coolhold/logbook"
	"coolhold/logbook/recall"
)

// An index by terms, and what was said of the welds that it gives, find just what a look
// through the lines does, however the batch, the unit or the name is spelt.
func TestTermsFindWhatALookFinds(t *testing.T) {
	c := told(t)
	lines := c.Lines(t)
	values := recall.Values(c.Entries, c.Book)
	for id, of := range values { // as an index keeps them
		back, err := recall.ReadValues([]byte(recall.Written(of)))
		if err != nil || !slices.Equal(back, of) {
			t.Fatalf("%v is read back as %v, %v", of, back, err)
		}
		values[id] = back
	}
	var said []string
	for _, of := range values {
		for _, v := range of {
			said = append(said, v.As)
		}
	}
	slices.Sort(said)
	found := 0
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(append(said, "5591", "W 7")).Draw(t, "text")
		switch rapid.IntRange(0, 4).Draw(t, "spelt") {
		case 1:
			text = strings.ToUpper(text)
		case 2:
			text = "coil " + text
		case 3:
			text = "batch no " + strings.ToLower(text)
		case 4:
			text = strings.Join(strings.Split(text, ""), "-")
		}
		for _, q := range []recall.Query{{Batch: text}, {Unit: text}, {Operator: text}, {Unit: text, From: "2026-03-10"}} {
			var has, should []string
			for _, h := range searched(lines, q) {
				should = append(should, fmt.Sprint(h.Weld, h.Matches))
			}
			for _, w := range c.Book.Welds(c.H.Site) {
				if !slices.ContainsFunc(q.Terms(), func(term string) bool { return slices.Contains(recall.Terms(values[w.ID]), term) }) {
					continue
				}
				if m, first := q.Among(values[w.ID], w.Day()); len(m) > 0 {
					if has = append(has, fmt.Sprint(w.ID, m)); first == 0 {
						t.Errorf("%s: the entry of the first match of %s is not told", q, w.ID)
					}
				}
			}
			if found += len(has); !slices.Equal(has, should) {
				t.Errorf("%s: %q, a look finds %q", q, has, should)
			}
		}
	})
	if found == 0 {
		t.Error("no query found anything")
	}
}

// Several batches in one answer are each found, and a batch is no operator.
func TestTermsOfSeveral(t *testing.T) {
	got := recall.Terms([]recall.Value{{Key: logbook.ItemPipeBatch, As: "coil 5591; W-7"}, {Key: logbook.FieldOperator, As: "Ada Invented"}})
	for _, term := range []string{"b coil5591", "b 5591", "b w7", "o adainvented"} {
		if !slices.Contains(got, term) {
			t.Errorf("%q is not among %q", term, got)
		}
	}
	if slices.Contains(got, "b adainvented") || slices.Contains(got, "o 5591") {
		t.Errorf("%q", got)
	}
}
