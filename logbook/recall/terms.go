package recall

import (
	"bytes"
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"

	"coolhold/logbook"
)

// What stands before a term, so that an operator is not found by a batch.
const (
	ofBatch    = "b "
	ofUnit     = "u "
	ofOperator = "o "
)

// termOf is the mark of each value that is looked for.
var termOf = map[string]string{
	logbook.ItemBatch: ofBatch, logbook.ItemPipeBatch: ofBatch, logbook.ItemStubBatch: ofBatch,
	logbook.FieldUnit: ofUnit, logbook.FieldOperator: ofOperator,
}

var termKeys = slices.Sorted(maps.Keys(termOf))

// A Value is a batch, a unit or an operator that was said of a weld.
type Value struct {
	Key  string
	As   string       // as it was written
	Kind logbook.Kind // of the first entry that has it
	Seq  uint64       // that entry
	How  logbook.How  // set where it was carried over, and nobody gave it by itself
	Now  bool         // it is so now
}

// shortOf is a key in the text that an index keeps.
var shortOf = map[string]string{
	logbook.ItemBatch: "f", logbook.ItemPipeBatch: "c", logbook.ItemStubBatch: "s",
	logbook.FieldUnit: "u", logbook.FieldOperator: "o",
}

// The flags of a value there.
const (
	isCarried = "c"
	isNow     = "n"
)

// Written are the values of a weld as a text for an index, which has millions: a list for
// each entry, with its number, its kind, and of each value key, text and flags.
func Written(values []Value) string {
	var lists [][]any
	for i, v := range values {
		if i == 0 || values[i-1].Seq != v.Seq {
			lists = append(lists, []any{v.Seq, v.Kind})
		}
		flags := ""
		if v.How == logbook.Carried {
			flags += isCarried
		}
		if v.Now {
			flags += isNow
		}
		last := &lists[len(lists)-1]
		*last = append(*last, shortOf[v.Key], v.As, flags)
	}
	out, _ := json.Marshal(lists) // texts and numbers always can be
	return string(out)
}

// ReadValues reads what Written gives.
func ReadValues(text []byte) (values []Value, err error) {
	var lists [][]json.RawMessage
	if err := json.Unmarshal(text, &lists); err != nil {
		return nil, err
	}
	for _, list := range lists {
		var v Value
		if len(list) < 2 || len(list)%3 != 2 {
			return nil, errors.New("a list is cut off")
		}
		err := errors.Join(json.Unmarshal(list[0], &v.Seq), json.Unmarshal(list[1], &v.Kind))
		for ; len(list) > 2 && err == nil; list = list[3:] {
			var short, flags string
			err = errors.Join(json.Unmarshal(list[2], &short), json.Unmarshal(list[3], &v.As), json.Unmarshal(list[4], &flags))
			v.Key, v.How, v.Now = keyOfShort[short], "", strings.Contains(flags, isNow)
			if strings.Contains(flags, isCarried) {
				v.How = logbook.Carried
			}
			values = append(values, v)
		}
		if err != nil {
			return nil, err
		}
	}
	return values, nil
}

var keyOfShort = func() map[string]string {
	keys := map[string]string{}
	for key, short := range shortOf {
		keys[short] = key
	}
	return keys
}()

// Values are all that was ever said of each weld of one site, in the order in which it
// was first said. book is folded from the entries.
func Values(entries []logbook.Entry, book *logbook.Book) map[string][]Value {
	said := map[string][]Value{}
	for i := range entries {
		e := &entries[i]
		var body any
		if e.Weld == "" || !mayName(e.Body) || json.Unmarshal(e.Body, &body) != nil {
			continue
		}
		named(body, termKeys, func(v Value) {
			v.Kind, v.Seq = e.Kind, e.Seq
			said[e.Weld] = saidAgain(said[e.Weld], v)
		})
	}
	for id, values := range said {
		w, _ := book.Weld(entries[0].Site, id)
		for i, v := range values {
			values[i] = v.of(w)
		}
	}
	return said
}

// mayName tells whether one of the keys stands in a text: in most it does not.
func mayName(text []byte) bool {
	return bytes.Contains(text, []byte(`batch"`)) || bytes.Contains(text, []byte(logbook.FieldUnit+`"`)) || bytes.Contains(text, []byte(logbook.FieldOperator+`"`))
}

// saidAgain is a weld's values with one that was said: the first counts, but for how.
func saidAgain(values []Value, v Value) []Value {
	i := slices.IndexFunc(values, func(o Value) bool { return o.Key == v.Key && o.As == v.As })
	switch {
	case i < 0:
		return append(values, v)
	case v.How == "":
		values[i].How = "" // somebody gave it by itself
	}
	return values
}

// of is the value beside the weld as it stands.
func (v Value) of(w logbook.Weld) Value {
	value, known := logbook.ValueOf(v.Key)
	v.Now = known && value.Get(w) == v.As
	return v
}

func (v Value) match() Match {
	return Match{Value: logbook.NameOf(v.Key), As: v.As, Now: v.Now, Kind: v.Kind, How: v.How}
}

// Among is what a query finds in the values of a weld of that day, and the first entry
// that has it; nothing where it finds none.
func (q Query) Among(values []Value, day string) (found []Match, first uint64) {
	if q.From != "" && day < q.From || q.To != "" && day > q.To {
		return nil, 0
	}
	s := New(q)
	for _, v := range values {
		if slices.Contains(s.keys, v.Key) && s.is(v.As) {
			if found == nil {
				first = v.Seq
			}
			found = append(found, v.match())
		}
	}
	return found, first
}

// Terms are what a weld of these values can be found by, to be kept in an index: each
// that a query finds has one of the query's terms. One may have it and not be found.
func Terms(values []Value) (terms []string) {
	for _, v := range values {
		for _, text := range several(v.As) {
			terms = append(terms, termsOf(termOf[v.Key], text)...)
		}
	}
	slices.Sort(terms)
	return slices.Compact(terms)
}

// Terms are those by which an index finds what the query does, and perhaps more.
func (q Query) Terms() []string {
	want, keys := q.subject()
	return termsOf(termOf[keys[0]], want)
}

// termsOf are a value, and a batch also without the words before it.
func termsOf(mark, value string) (terms []string) {
	if v := Fold(value); v != "" {
		terms = append(terms, mark+v)
	}
	if mark != ofBatch {
		return terms
	}
	if v := Fold(bare(value)); v != "" && v != Fold(value) {
		terms = append(terms, mark+v)
	}
	return terms
}
