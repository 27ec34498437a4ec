// Package toml reads a TOML file that a person wrote and reports everything
// that is wrong in it, each fault with its line.
//
// A TOML decoder stops at the first value it cannot store and knows no line for
// a value that is only unreasonable. Someone who copies a page of figures wants
// the whole list at once. So a file is read in two passes: one keeps the line of
// every key and value, the other is the decoder's own and settles that it is
// TOML at all (such a fault stands alone, since nothing after it can be
// trusted). A Reader then asks for keys by name and kind and collects what it
// does not get.
package toml

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	decoder "github.com/pelletier/go-toml/v2"

	"coolhold/logbook/fault"
)

// MaxText is the longest text of a value, in characters, unless a shorter one
// is asked for.
const MaxText = 200

// A Reader answers for one table of the file. The readers of one file share
// one list of faults.
type Reader struct {
	faults *found
	stem   string // what a table of this sort is called there, without its name
	where  string
	group  *group
	asked  map[string]bool
	lacks  []string // keys that must be there and are not
}

// found are the faults of one file, as many as are kept, and how many came after.
type found struct {
	list fault.List
	more int
}

func (f *found) full() bool { return len(f.list) >= fault.MaxFaults }

// Open reads a whole file. The error is a fault.List of one fault where the data is
// no TOML; then nothing in it can be read. A byte order mark at the start and
// line ends of either kind are accepted.
func Open(data []byte) (*Reader, error) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if f := rawFault(data); f != nil {
		return nil, fault.List{*f}
	}
	// The capacity is cut because the decoder finds positions by it.
	data = data[:len(data):len(data)]
	root, err := build(data)
	if root == nil {
		return nil, err
	}
	// The decoder's own complaint has a place, so it goes before the parser's.
	var all map[string]any
	if err := cmp.Or(decoder.Unmarshal(data, &all), err); err != nil {
		return nil, fault.List{syntaxFault(err)}
	}
	return &Reader{faults: new(found), group: root, asked: map[string]bool{}}, nil
}

// rawFault finds what makes a file no text: its size, its encoding, NUL bytes.
func rawFault(data []byte) *fault.Fault {
	if len(data) > fault.MaxBytes {
		return &fault.Fault{Line: 1, What: "the file is larger than 1 MiB: is it the right file?"}
	}
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return &fault.Fault{Line: fault.LineAt(data, i), What: "a NUL byte: save the file as UTF-8 text"}
	}
	if i := firstBadByte(data); i >= 0 {
		return &fault.Fault{Line: fault.LineAt(data, i), What: "not UTF-8: save the file as UTF-8 text"}
	}
	return nil
}

func firstBadByte(data []byte) int {
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}

func syntaxFault(err error) fault.Fault {
	f := fault.Fault{Line: 1, What: "not TOML: " + plain(err.Error())}
	var de *decoder.DecodeError
	if errors.As(err, &de) {
		row, column := de.Position()
		f.Line = row
		what := strings.ReplaceAll(plain(de.Error()), "character U+000A", "end of the line")
		f.What = fmt.Sprintf("not TOML at column %d: %s", column, what)
	}
	return f
}

// Err gives all faults found so far as a fault.List in the order of their lines,
// or nil when there is none.
func (r *Reader) Err() error {
	if len(r.faults.list) == 0 {
		return nil
	}
	return r.faults.list.InOrder(r.faults.more)
}

// Call sets what this table is called in faults from now on.
func (r *Reader) Call(where string) { r.where = where }

// Name sets the name of this table after its noun: "fitting 2", called after its
// place, becomes "fitting X". The noun follows what the table around it is called.
func (r *Reader) Name(name any) { r.where = fmt.Sprint(r.stem, " ", name) }

// Has tells whether the key is in the file, whatever its value.
func (r *Reader) Has(key string) bool { return r.group.entries[key] != nil }

// Line is the line of the key, or of the table's head where the key is missing.
func (r *Reader) Line(key string) int {
	if v := r.group.entries[key]; v != nil {
		return v.line
	}
	return r.group.line
}

// Fault notes that the value of a key is wrong. An empty key means the table.
func (r *Reader) Fault(key, format string, args ...any) {
	r.FaultAt(r.Line(key), key, format, args...)
}

// FaultAt is Fault for a place inside the value, such as one item of a list.
func (r *Reader) FaultAt(line int, key, format string, args ...any) {
	if r.faults.full() {
		r.faults.more++
		return
	}
	r.faults.list = append(r.faults.list, fault.Fault{Line: line, Where: r.where, Field: key, What: fmt.Sprintf(format, args...)})
}

// Done notes every key that nobody asked for and every key that is missing. A
// key that looks like a missing one misspelt is one fault, not two. So nothing
// is known to be missing before Done.
func (r *Reader) Done() {
	known := slices.Sorted(maps.Keys(r.asked))
	for _, k := range r.group.order {
		if r.asked[k] {
			continue
		}
		r.FaultAt(r.group.entries[k].line, "", "unknown key %s: %s", fault.Quote(k), r.hint(k, known))
	}
	for _, k := range r.lacks {
		r.Fault("", "%s is missing", k)
	}
	r.lacks = nil
}

// hint says what an unknown key was likely meant to be. A missing key that was
// meant is missing no longer.
func (r *Reader) hint(key string, known []string) string {
	var near []string
	if !r.faults.full() { // the search is dear, and nobody will read it
		near = fault.Nearest(key, slices.Concat(r.lacks, known), 1)
	}
	if len(near) == 0 {
		return "check the spelling or take it out"
	}
	r.lacks = slices.DeleteFunc(r.lacks, func(l string) bool { return l == near[0] })
	return fmt.Sprintf("is %q meant?", near[0])
}
