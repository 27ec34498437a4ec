package toml

import (
	"slices"
	"strings"

	"coolhold/logbook/fault"
)

// A Pair is one [low, high] of a list of pairs; OK is false where it was faulty.
type Pair struct {
	Low, High, Line int
	OK              bool
}

// Ints reads a list of whole numbers that must be there and not be empty. Each
// faulty item is noted and comes back with OK false, so places are kept.
func (r *Reader) Ints(key string, in Bounds) []Int {
	var ns []Int
	for _, it := range r.needItems(key) {
		ns = append(ns, r.whole(key, it, in))
	}
	return ns
}

// needItems gives the items of a list that must be there and not be empty.
func (r *Reader) needItems(key string) []*value {
	v := r.need(key)
	if v == nil || !r.is(key, v, list) {
		return nil
	}
	if len(v.items) == 0 {
		r.Fault(key, "is empty")
	}
	return r.bounded(key, v)
}

// bounded gives the items of a list, or none of one that is far too long.
func (r *Reader) bounded(key string, v *value) []*value {
	if n := len(v.items); n > fault.MaxItems {
		r.Fault(key, "%d are too many, at most %d", n, fault.MaxItems)
		return nil
	}
	return v.items
}

// IntOrInts is Ints for a key that may also be one number, which then comes
// back alone with one true.
func (r *Reader) IntOrInts(key string, in Bounds) (ns []Int, one bool) {
	if v := r.group.entries[key]; v != nil && v.kind != list {
		return []Int{r.whole(key, r.take(key), in)}, true
	}
	return r.Ints(key, in), false
}

// Pairs reads a list of lists of two whole numbers that must be there and not
// be empty. Faulty pairs come back with OK false, so places are kept.
func (r *Reader) Pairs(key string, in Bounds) []Pair {
	var pairs []Pair
	for _, it := range r.needItems(key) {
		pairs = append(pairs, r.pair(key, it, in))
	}
	return pairs
}

func (r *Reader) pair(key string, v *value, in Bounds) Pair {
	bad := Pair{Line: v.line}
	if !r.is(key, v, list) {
		return bad
	}
	if len(v.items) != 2 {
		r.FaultAt(v.line, key, "a pair such as [5, 14] is needed here, not a list of %d", len(v.items))
		return bad
	}
	low, high := r.whole(key, v.items[0], in), r.whole(key, v.items[1], in)
	return Pair{low.N, high.N, v.line, low.OK && high.OK}
}

// OptWords reads a list of known words, each once, that may be missing; a faulty one is
// left out.
func (r *Reader) OptWords(key string, known ...string) []string {
	if r.take(key) == nil {
		return nil
	}
	var words []string
	for _, it := range r.needItems(key) {
		switch word := strings.TrimSpace(it.text); {
		case !r.is(key, it, text):
		case slices.Contains(words, word):
			r.FaultAt(it.line, key, "%s stands there twice", fault.Quote(it.text))
		case slices.Contains(known, word):
			words = append(words, word)
		case !r.blank(key, it):
			r.FaultAt(it.line, key, "%s is not known; one of: %s", fault.Quote(it.text), strings.Join(known, ", "))
		}
	}
	return words
}

// Tables reads a list of tables, [[key]] or written in line; it may be missing.
// Until it is given a better name, each is called by noun and place, after what
// this table is called.
func (r *Reader) Tables(key, noun string) []*Reader {
	v := r.take(key)
	if v == nil {
		return nil
	}
	return r.tables(key, noun, v)
}

// NeedTables is Tables for a list that must be there and not be empty.
func (r *Reader) NeedTables(key, noun string) []*Reader {
	v := r.need(key)
	if v == nil {
		return nil
	}
	if v.kind == list && len(v.items) == 0 {
		r.Fault(key, "is empty")
	}
	return r.tables(key, noun, v)
}

func (r *Reader) tables(key, noun string, v *value) []*Reader {
	if v.kind == table {
		r.Fault(key, "is written once with single brackets: write [[…]] with two, so that there can be more")
		return nil
	}
	if !r.is(key, v, list) {
		return nil
	}
	var below []*Reader
	for i, it := range r.bounded(key, v) {
		if r.is(key, it, table) {
			b := r.below(noun, it.group)
			b.Name(i + 1)
			below = append(below, b)
		}
	}
	return below
}

// Table reads one table that may be missing; then it is nil.
func (r *Reader) Table(key string) *Reader {
	v := r.take(key)
	if v == nil || !r.is(key, v, table) {
		return nil
	}
	return r.below(key, v.group)
}

func (r *Reader) below(noun string, g *group) *Reader {
	stem := strings.TrimSpace(r.where + " " + noun)
	return &Reader{faults: r.faults, stem: stem, where: stem, group: g, asked: map[string]bool{}}
}
