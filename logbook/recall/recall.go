// Package recall finds every weld that ever had a batch, a control unit or an
// operator: as it stands now, as it stood before a correction or a changed answer, or
// as a bag was read. Lines are looked through as text first; only what is hit is read
// and folded, so that a big log costs no more memory than its hits.
package recall

import (
	"bytes"
	"cmp"
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"coolhold/logbook"
)

// A Query says what is looked for: one of the three.
type Query struct {
	Batch, Unit, Operator string
	From, To              string // days of the welds, YYYY-MM-DD, both in it; "": no bound
}

// subject is what is looked for, and the values of a weld that can have it.
func (q Query) subject() (want string, keys []string) {
	switch {
	case q.Batch != "":
		return q.Batch, []string{logbook.ItemBatch, logbook.ItemPipeBatch, logbook.ItemStubBatch}
	case q.Unit != "":
		return q.Unit, []string{logbook.FieldUnit}
	}
	return q.Operator, []string{logbook.FieldOperator}
}

// String is what is looked for in words.
func (q Query) String() string {
	what := map[bool]string{q.Batch != "": "batch ", q.Unit != "": "control unit ", q.Operator != "": "operator "}[true]
	want, _ := q.subject()
	return what + want
}

// Blank tells whether nothing is left of what is looked for once it is folded.
func (q Query) Blank() bool {
	want, _ := q.subject()
	return Fold(want) == ""
}

// A Match is one value by which a weld is found.
type Match struct {
	Value string       `json:"value"`         // what it is called
	As    string       `json:"as"`            // as it was written
	Now   bool         `json:"now"`           // it is so now; else it was before
	Kind  logbook.Kind `json:"entry"`         // the entry that has it
	How   logbook.How  `json:"how,omitempty"` // set where it was carried over, and nobody gave it by itself
}

// A Hit is a weld that has or had what is looked for.
type Hit struct {
	Log      string  `json:"log"` // its tag, with its mark where several have that
	LogID    string  `json:"log_id"`
	Site     string  `json:"site"`
	Address  string  `json:"address"`
	Weld     string  `json:"weld"`
	Joint    string  `json:"joint"`
	Chamber  string  `json:"chamber"`
	Day      string  `json:"day"`
	State    string  `json:"state"`
	Fitting  string  `json:"fitting"`
	Operator string  `json:"operator"`
	Unit     string  `json:"control_unit"`
	Matches  []Match `json:"matches"`
}

// Fold is a text as it is compared: without case, blanks and hyphens of any kind.
func Fold(s string) string { return string(fold(nil, []byte(s))) }

func fold(to, s []byte) []byte {
	for len(s) > 0 {
		if c := s[0]; c < utf8.RuneSelf { // nearly all, and each line goes through here
			if c = plain[c]; c != dropped {
				to = append(to, c)
			}
			s = s[1:]
			continue
		}
		c, size := utf8.DecodeRune(s)
		if !unicode.IsSpace(c) && !unicode.Is(unicode.Pd, c) && c != softHyphen && c != minusSign {
			if c == utf8.RuneError && size == 1 {
				to = append(to, s[0])
			} else {
				to = utf8.AppendRune(to, unicode.ToLower(c))
			}
		}
		s = s[size:]
	}
	return to
}

// plain is what becomes of a byte that is a rune by itself.
var plain = func() (to [utf8.RuneSelf]byte) {
	for c := range to {
		if r := rune(c); unicode.IsSpace(r) || unicode.Is(unicode.Pd, r) {
			to[c] = dropped
		} else {
			to[c] = byte(unicode.ToLower(r))
		}
	}
	return to
}()

const dropped = 0xff // it does not count

const (
	softHyphen = '\u00ad'
	minusSign  = '\u2212'
)

// A Search is one look through one log, its lines in order, twice: Look finds the welds,
// Keep what must be folded of them.
type Search struct {
	q      Query
	want   string // folded
	bare   string // a batch without the words before it, folded
	needle []byte // as it stands in a line, folded
	keys   []string
	marks  [][]byte // one of them stands in each line that names such a value
	buf    []byte
	hits   map[weldIn][]Value
	order  []weldIn
	welds  map[string]bool // their numbers
	sites  map[string]bool // that they are in
	kept   []logbook.Entry
}

type weldIn struct{ site, weld string }

// New begins a search.
func New(q Query) *Search {
	want, keys := q.subject()
	s := &Search{q: q, want: Fold(want), keys: keys, hits: map[weldIn][]Value{}, welds: map[string]bool{}, sites: map[string]bool{}}
	for _, key := range keys {
		s.marks = append(s.marks, []byte(key+`"`))
	}
	s.bare = s.want
	if q.Batch != "" {
		s.marks = [][]byte{[]byte(`batch"`)} // each of its keys ends so, and so does that of a bag
		s.bare = cmp.Or(Fold(bare(want)), s.want)
	}
	inLine, _ := json.Marshal(s.bare) // as a line has it: a string always can be
	s.needle = bytes.Trim(inLine, `"`)
	return s
}

// Look takes one line. Most do not hold what is looked for, and cost no more than that.
func (s *Search) Look(line []byte) {
	if !s.may(line) {
		return
	}
	e, err := logbook.ReadEntry(line)
	if err != nil || e.Weld == "" {
		return
	}
	var body any
	if json.Unmarshal(e.Body, &body) != nil {
		return
	}
	in := weldIn{e.Site, e.Weld}
	for _, v := range s.within(body) {
		if s.hits[in] == nil {
			s.order, s.sites[in.site], s.welds[in.weld] = append(s.order, in), true, true
		}
		v.Kind, v.Seq = e.Kind, e.Seq
		s.hits[in] = saidAgain(s.hits[in], v)
	}
}

// may tells whether a text can hold what is looked for.
func (s *Search) may(text []byte) bool {
	if !slices.ContainsFunc(s.marks, func(mark []byte) bool { return bytes.Contains(text, mark) }) {
		return false // nearly all go no further
	}
	s.buf = fold(s.buf[:0], text)
	return bytes.Contains(s.buf, s.needle) || bytes.Contains(s.buf, []byte(`\u`))
}

// In tells whether an entry has what is looked for.
func (s *Search) In(e *logbook.Entry) bool {
	var body any
	return s.want != "" && s.may(e.Body) && json.Unmarshal(e.Body, &body) == nil && len(s.within(body)) > 0
}

// within is what a body has of what is looked for.
func (s *Search) within(body any) (out []Value) {
	named(body, s.keys, func(v Value) {
		if s.is(v.As) {
			out = append(out, v)
		}
	})
	return out
}

// named goes through a body as it was stored, whatever its kind, for the values of some
// keys: one that is not known here names its values as the others do.
func named(v any, keys []string, f func(Value)) {
	switch v := v.(type) {
	case []any:
		for _, x := range v {
			named(x, keys, f)
		}
	case map[string]any:
		item, _ := cmp.Or(v["item"], v["field"]).(string)
		how, _ := v["how"].(string)
		for _, name := range slices.Sorted(maps.Keys(v)) {
			text, is := v[name].(string)
			if key := keyOf(item, name, keys); is && key != "" {
				said := Value{Key: key, As: text}
				if logbook.How(how) == logbook.Carried && name == "v" {
					said.How = logbook.Carried
				}
				f(said)
			}
			named(v[name], keys, f)
		}
	}
}

// keyOf is the value of a weld that a field of a body is of, "" where that is not looked
// for: an answer or a correction names it, of a bag it is the fitting's batch.
func keyOf(item, name string, keys []string) string {
	key := name
	switch {
	case item != "" && slices.Contains([]string{"v", "was", "old", "new"}, name):
		key = item
	case item != "":
		return ""
	case name == "batch":
		key = logbook.ItemBatch
	}
	if slices.Contains(keys, key) {
		return key
	}
	return ""
}

// is tells whether a text is what is looked for, or one of several that it names.
func (s *Search) is(text string) bool {
	return slices.ContainsFunc(several(text), s.same)
}

// several are the values that a text may name, and all of it.
func several(text string) []string {
	return append(strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(",;/+&", c) }), text)
}

// same is without case, blanks and hyphens; and "5591" finds "coil 5591": people write the
// word before a batch or leave it out.
func (s *Search) same(text string) bool {
	v := Fold(text)
	switch {
	case v == "":
		return false
	case v == s.want:
		return true
	}
	return s.q.Batch != "" && (v == s.bare || Fold(bare(text)) == s.want)
}

// bare is a batch without the words before it. One letter is no word: "W 7" is W-7.
func bare(batch string) string {
	batch = strings.TrimSpace(batch)
	for {
		word, rest, more := strings.Cut(batch, " ")
		if !more || utf8.RuneCountInString(word) < 2 || strings.ContainsFunc(word, func(r rune) bool { return !unicode.IsLetter(r) }) {
			return batch
		}
		batch = strings.TrimSpace(rest)
	}
}

// IsBatch tells whether what was written is a batch, or one of several.
func IsBatch(written, batch string) bool {
	s := New(Query{Batch: batch})
	return s.want != "" && s.is(written)
}

// Sites are those in which Look found a weld; none: it found no weld.
func (s *Search) Sites() []string { return slices.Sorted(maps.Keys(s.sites)) }

// The marks before what is needed of a line, as it is written.
var (
	siteMark = []byte(`"site":"`)
	weldMark = []byte(`"weld":"`)
	needed   = [][]byte{[]byte(`"kind":"site opened"`), []byte(`"kind":"joint planned"`), []byte(`"kind":"joint added"`)}
)

// Keep takes a line again: what is needed to fold the welds that were found.
func (s *Search) Keep(line []byte) {
	if _, rest, of := bytes.Cut(line, weldMark); of {
		id, _, _ := bytes.Cut(rest, []byte(`"`))
		if !s.welds[string(id)] {
			return
		}
	} else if !s.ofSite(line) || !slices.ContainsFunc(needed, func(mark []byte) bool { return bytes.Contains(line, mark) }) {
		return
	}
	if e, err := logbook.ReadEntry(line); err == nil {
		s.kept = append(s.kept, e)
	}
}

// Forget is what Keep took so far: it begins anew.
func (s *Search) Forget() { s.kept = nil }

// ofSite tells whether a line may be of a site in which something was found.
func (s *Search) ofSite(line []byte) bool {
	_, rest, of := bytes.Cut(line, siteMark)
	name, _, _ := bytes.Cut(rest, []byte(`"`))
	return !of || bytes.IndexByte(name, '\\') >= 0 || s.sites[string(name)]
}

// Hits are the welds that were found, in the order in which they were. tag is the log's.
func (s *Search) Hits(tag string) (out []Hit) {
	book := logbook.Fold(tag, s.kept)
	for _, in := range s.order {
		w, ok := book.Weld(in.site, in.weld)
		day := w.Day()
		if !ok || s.q.From != "" && day < s.q.From || s.q.To != "" && day > s.q.To {
			continue
		}
		site, _ := book.Site(in.site)
		j, _ := book.Joint(in.site, w.Joint)
		h := Hit{
			Site: site.Name, Address: site.Address, Weld: w.ID, Joint: w.Joint, Chamber: j.Chamber, Day: day, State: StateOf(w),
			Fitting: w.Fitting(), Operator: w.Operator, Unit: w.Unit,
		}
		for _, v := range s.hits[in] {
			h.Matches = append(h.Matches, v.of(w).match())
		}
		out = append(out, h)
	}
	return out
}

// StateOf is how a weld stands, in a word or two.
func StateOf(w logbook.Weld) string {
	switch {
	case w.CutOut != nil:
		return "cut out"
	case w.Abandoned != "":
		return "given up"
	case w.Walking():
		return "in the walk"
	}
	return "stands"
}
