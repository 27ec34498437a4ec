package toml

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"coolhold/logbook/fault"
)

// Bounds are the sensible bounds of a number; as text they say so with its unit,
// "8…80 V". They must not hold what is no number, so that a "nan" never gets in.
type Bounds interface {
	Holds(x float64) bool
	String() string
}

// An Int is one whole number of a list. OK is false where it was faulty; the
// fault is noted and N means nothing.
type Int struct {
	N, Line int
	OK      bool
}

// Numbers gives the plain numbers of a list.
func Numbers(list []Int) []int {
	ns := make([]int, len(list))
	for i, it := range list {
		ns[i] = it.N
	}
	return ns
}

func (r *Reader) take(key string) *value {
	r.asked[key] = true
	return r.group.entries[key]
}

// need is take for a key that must be there.
func (r *Reader) need(key string) *value {
	v := r.take(key)
	if v == nil {
		r.lacks = append(r.lacks, key)
	}
	return v
}

// Str reads a text that must be there and not be empty, of at most limit
// characters, without the blanks around it. A faulty one reads as "".
func (r *Reader) Str(key string, limit int) string {
	v := r.need(key)
	if v == nil {
		return ""
	}
	s, ok := r.text(key, v, limit)
	if ok && s == "" {
		r.Fault(key, "is empty")
	}
	return s
}

// OptStr is Str for a text that may be missing or empty.
func (r *Reader) OptStr(key string, limit int) string {
	v := r.take(key)
	if v == nil {
		return ""
	}
	s, _ := r.text(key, v, limit)
	return s
}

func (r *Reader) text(key string, v *value, limit int) (string, bool) {
	if !r.is(key, v, text) {
		return "", false
	}
	s := strings.TrimSpace(v.text)
	if r.blank(key, v) {
		return "", false
	}
	if n := utf8.RuneCountInString(s); n > limit {
		r.FaultAt(v.line, key, "%d characters are too many, at most %d", n, limit)
		return "", false
	}
	for _, c := range s {
		if !unicode.IsGraphic(c) {
			r.FaultAt(v.line, key, "holds the character %U, which cannot be printed: take it out", c)
			return "", false
		}
	}
	return s, true
}

// Word reads a text that must be there and be one of the known words.
func (r *Reader) Word(key string, known ...string) string {
	if r.need(key) == nil {
		return ""
	}
	return r.OptWord(key, known...)
}

// OptWord is Word for a key that may be missing.
func (r *Reader) OptWord(key string, known ...string) string {
	v := r.take(key)
	if v == nil || !r.is(key, v, text) {
		return ""
	}
	if s := strings.TrimSpace(v.text); slices.Contains(known, s) {
		return s
	}
	if r.blank(key, v) {
		return ""
	}
	r.FaultAt(v.line, key, "%s is not known; one of: %s", fault.Quote(v.text), strings.Join(known, ", "))
	return ""
}

// WordOr is OptWordOr for a key that must be there.
func (r *Reader) WordOr(key string, formerly map[string]string, known ...string) string {
	if r.need(key) == nil {
		return ""
	}
	return r.OptWordOr(key, formerly, known...)
}

// OptWordOr is OptWord for words that had others before: those are read as what
// they are called now, and no fault names them.
func (r *Reader) OptWordOr(key string, formerly map[string]string, known ...string) string {
	if v := r.take(key); v != nil && v.kind == text && formerly[strings.TrimSpace(v.text)] != "" {
		return formerly[strings.TrimSpace(v.text)]
	}
	return r.OptWord(key, known...)
}

// Int reads a whole number that must be there and lie in the bounds. A faulty
// one reads as 0, false.
func (r *Reader) Int(key string, in Bounds) (int, bool) {
	v := r.need(key)
	if v == nil {
		return 0, false
	}
	it := r.whole(key, v, in)
	return it.N, it.OK
}

// OptInt is Int for a number that may be missing; a faulty one reads as missing.
func (r *Reader) OptInt(key string, in Bounds) *int {
	v := r.take(key)
	if v == nil {
		return nil
	}
	if it := r.whole(key, v, in); it.OK {
		return &it.N
	}
	return nil
}

func (r *Reader) whole(key string, v *value, in Bounds) Int {
	bad := Int{Line: v.line}
	if !r.is(key, v, whole) {
		return bad
	}
	n, err := strconv.ParseInt(v.text, 0, 64)
	if err != nil || !in.Holds(float64(n)) {
		r.FaultAt(v.line, key, "%s is outside %s", fault.Brief(v.text), in)
		return bad
	}
	return Int{int(n), v.line, true}
}

// Num reads a number, whole or decimal, that must be there and lie in the
// bounds. A faulty one reads as 0, false.
func (r *Reader) Num(key string, in Bounds) (float64, bool) {
	if r.need(key) == nil {
		return 0, false
	}
	if x := r.OptNum(key, in); x != nil {
		return *x, true
	}
	return 0, false
}

// OptNum is Num for a number that may be missing; a faulty one reads as missing.
func (r *Reader) OptNum(key string, in Bounds) *float64 {
	v := r.take(key)
	if v == nil {
		return nil
	}
	return r.num(key, v, in)
}

func (r *Reader) num(key string, v *value, in Bounds) *float64 {
	if v.kind == whole {
		it := r.whole(key, v, in)
		if x := float64(it.N); it.OK {
			return &x
		}
		return nil
	}
	if v.kind != decimal {
		r.unlike(key, v, "a number")
		return nil
	}
	x, err := strconv.ParseFloat(strings.ReplaceAll(v.text, "_", ""), 64)
	if err != nil || !in.Holds(x) {
		r.FaultAt(v.line, key, "%s is outside %s", fault.Brief(v.text), in)
		return nil
	}
	return &x
}

// is notes a fault unless the value is of the kind that is wanted.
func (r *Reader) is(key string, v *value, want kind) bool {
	if v.kind != want {
		r.unlike(key, v, want)
	}
	return v.kind == want
}

func (r *Reader) unlike(key string, v *value, want kind) {
	if r.blank(key, v) {
		return
	}
	found := string(v.kind)
	switch v.kind {
	case text:
		found += " (" + fault.Quote(v.text) + ")"
	case whole, decimal:
		found = fault.Brief(v.text)
	}
	r.FaultAt(v.line, key, "%s is needed here, not %s", want, found)
}

// FillIn stands in a new file where a person has to write. It is no value of
// anything, and looks like none.
const FillIn = "<fill in>"

// blank notes what is still to be filled in.
func (r *Reader) blank(key string, v *value) bool {
	if v.kind != text || strings.TrimSpace(v.text) != FillIn {
		return false
	}
	r.FaultAt(v.line, key, "still to be filled in: write it in place of %q", FillIn)
	return true
}

// plain makes one printable line of a message that may quote the file.
func plain(s string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsGraphic(c) {
			return c
		}
		return ' '
	}, strings.TrimPrefix(s, "toml: "))
}
