package recall

import (
	"encoding/json"

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

var termKeys = sortedNames(termOf)

// Terms are what an entry can be found by, to be kept in an index: each entry that a
// query finds has one of the query's terms. It may have one and not be found.
func Terms(e *logbook.Entry) (terms []string) {
	var body any
	if json.Unmarshal(e.Body, &body) != nil {
		return nil
	}
	named(body, termKeys, func(key, text string, _ bool) {
		for _, v := range several(text) {
			terms = append(terms, termsOf(termOf[key], v)...)
		}
	})
	return terms
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
