package recall_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coolhold/logbook"
	"coolhold/logbook/recall"
)

// Each entry that a query finds has one of the query's terms, however the batch, the unit
// or the name is spelt: what an index by terms leaves out, no query would find.
func TestTermsMissNothing(t *testing.T) {
	c := told(t)
	found := 0
	var said []string // all that was said anywhere
	for i := range c.Entries {
		for _, term := range recall.Terms(&c.Entries[i]) {
			said = append(said, term[2:])
		}
	}
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
		for _, q := range []recall.Query{{Batch: text}, {Unit: text}, {Operator: text}} {
			for i := range c.Entries {
				e := &c.Entries[i]
				if !recall.New(q).In(e) {
					continue
				}
				found++
				if !slices.ContainsFunc(q.Terms(), func(term string) bool { return slices.Contains(recall.Terms(e), term) }) {
					t.Errorf("%s is in entry %d, which has the terms %q and not %q", q, e.Seq, recall.Terms(e), q.Terms())
				}
			}
		}
	})
	if found == 0 {
		t.Error("no query found anything")
	}
}

// Several batches in one answer are each found, and a batch is no operator.
func TestTermsOfSeveral(t *testing.T) {
	e := logbook.Entry{Body: []byte(`{"answers":[{"item":"coil_batch","v":"coil 5591; W-7"}],"operator":"Ada Invented"}`)}
	got := recall.Terms(&e)
	for _, term := range []string{"b coil5591", "b 5591", "b w7", "o adainvented"} {
		if !slices.Contains(got, term) {
			t.Errorf("%q is not among %q", term, got)
		}
	}
	if slices.Contains(got, "b adainvented") || slices.Contains(got, "o 5591") {
		t.Errorf("%q", got)
	}
}
