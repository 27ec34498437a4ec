package logbook

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"sync/atomic"
)

// A Reader gives the current records. It serves the decision inside a
// transaction, the board and the verbs alike.
type Reader interface {
	Tag() string   // two letters of the log, in every weld number
	NextWeld() int // the number the next weld will have
	// Sites are the sites in the order they were opened. Of one that is not the
	// one at hand it may hold no more than what was said at its opening and when
	// its newest entry was made.
	Sites() []Site
	Site(id string) (Site, bool)
	Joints(site string) []Joint // in the plan's order
	Joint(site, label string) (Joint, bool)
	Welds(site string) []Weld // in the order they were begun
	Weld(site, id string) (Weld, bool)
	Shift(site, id string) (Shift, bool)
	// MayRun are the welds of a site whose walk may be open, whose fusion or
	// hold may run: more than are, never fewer.
	MayRun(site string) []string
}

// A Book is the records in memory: what the entries that were added make, and
// the one place where a record comes about. Each record's After decides what of
// an entry concerns the record.
type Book struct {
	tag   string
	next  int
	order []string
	sites map[string]*part
	hand  atomic.Pointer[hand]
}

// A hand marks the parts that a book has made itself and may change. Others it
// shares with its clones; after a clone both books have a new hand.
type hand struct{ _ byte }

// A part is the records of one site.
type part struct {
	by     *hand
	site   Site
	joints shelfOf[Joint]
	welds  shelfOf[Weld]
	run    shelfOf[Weld] // those of the welds that walk, fuse or are held
	shifts map[string]Shift
}

// A shelfOf is the records of one kind by name, and in their order. A record that
// two books share is replaced, never changed.
type shelfOf[T any] struct {
	byName map[string]*kept[T]
	sorted []*kept[T]
}

// A kept record was put there by one hand, which alone may write over it.
type kept[T any] struct {
	by *hand
	v  T
}

func (s *shelfOf[T]) get(name string) (v T, ok bool) {
	if k, ok := s.byName[name]; ok {
		return k.v, true
	}
	return v, false
}

// put replaces a record, or puts a new one where it belongs; moved says that this
// is elsewhere than before.
func (s *shelfOf[T]) put(by *hand, name string, v T, moved bool, less func(a, b *T) int) {
	if moved {
		s.drop(name, less)
	}
	old, had := s.byName[name]
	if had && old.by == by {
		old.v = v
		return
	}
	now := &kept[T]{by, v}
	at := s.at(&now.v, less)
	if had {
		s.sorted[at] = now
	} else {
		s.sorted = slices.Insert(s.sorted, at, now)
	}
	if s.byName == nil {
		s.byName = map[string]*kept[T]{}
	}
	s.byName[name] = now
}

// at is where a record stands, or belongs.
func (s *shelfOf[T]) at(v *T, less func(a, b *T) int) int {
	at, _ := slices.BinarySearchFunc(s.sorted, v, func(k *kept[T], v *T) int { return less(&k.v, v) })
	return at
}

// drop takes a record away, where there is one.
func (s *shelfOf[T]) drop(name string, less func(a, b *T) int) {
	if old, had := s.byName[name]; had {
		at := s.at(&old.v, less)
		s.sorted = slices.Delete(s.sorted, at, at+1)
		delete(s.byName, name)
	}
}

func (s *shelfOf[T]) all() []T {
	out := make([]T, len(s.sorted))
	for i, k := range s.sorted {
		out[i] = k.v
	}
	return out
}

func (s *shelfOf[T]) clone() shelfOf[T] {
	return shelfOf[T]{maps.Clone(s.byName), slices.Clone(s.sorted)}
}

// NewBook is an empty book of the log with that tag; the next weld has number
// next.
func NewBook(tag string, next int) *Book {
	b := &Book{tag: tag, next: next, sites: map[string]*part{}}
	b.hand.Store(new(hand))
	return b
}

// Fold is the book of these entries.
func Fold(tag string, entries []Entry) *Book {
	b := NewBook(tag, 1)
	for _, e := range entries {
		b.Add(e)
	}
	return b
}

// Add folds an entry into the records it names.
func (b *Book) Add(entry Entry) {
	if entry.Site == "" {
		return
	}
	entry = entry.Opened()
	e := &entry
	site, _ := b.Site(e.Site)
	order := site.Joints
	b.PutSite(site.After(e))
	for _, label := range e.Joints() {
		joint, had := b.Joint(e.Site, label)
		if !had {
			joint.Order = order
		}
		b.PutJoint(joint.After(e))
	}
	if e.Weld != "" {
		b.next = max(b.next, numberAfter(b.tag, e.Weld))
		weld, _ := b.Weld(e.Site, e.Weld)
		weld = weld.After(e)
		b.PutWeld(weld)
		b.standing(e, weld)
	}
	if e.Shift != "" {
		shift, _ := b.Shift(e.Site, e.Shift)
		b.PutShift(shift.After(e))
	}
}

// standing puts a weld whose joint was corrected into the joint it was made at:
// only the weld knows whether it stands.
func (b *Book) standing(e *Entry, w Weld) {
	if e.Kind != (Correction{}).Kind() || !w.Stands() {
		return
	}
	j, ok := b.Joint(w.Site, w.Joint)
	if n := len(j.Moves); ok && n > 0 && j.Moves[n-1].Seq == e.Seq {
		j.Stands = w.ID
		b.PutJoint(j)
	}
}

// Load is the book of one site as a Reader has it, and of the others what it
// lists. An empty site gives the list only.
func Load(r Reader, site string) *Book {
	b := NewBook(r.Tag(), r.NextWeld())
	for _, s := range r.Sites() {
		b.PutSite(s)
	}
	s, ok := r.Site(site)
	if !ok {
		return b
	}
	b.PutSite(s)
	for _, j := range r.Joints(site) {
		b.PutJoint(j)
	}
	for _, w := range r.Welds(site) {
		b.PutWeld(w)
	}
	for _, id := range s.Shifts {
		if sh, ok := r.Shift(site, id); ok {
			b.PutShift(sh)
		}
	}
	return b
}

// Clone is a copy that can be added to without touching the original. It costs
// what the sites that are then added to hold, in pointers.
func (b *Book) Clone() *Book {
	c := NewBook(b.tag, b.next)
	c.order, c.sites = slices.Clone(b.order), maps.Clone(b.sites)
	b.hand.Store(new(hand)) // several may clone it at once
	return c
}

// of is the part of a site, the book's own to change.
func (b *Book) of(site string) *part {
	p, by := b.sites[site], b.hand.Load()
	switch {
	case p == nil:
		p = &part{by: by, shifts: map[string]Shift{}}
	case p.by != by:
		p = &part{by: by, site: p.site, joints: p.joints.clone(), welds: p.welds.clone(), run: p.run.clone(), shifts: maps.Clone(p.shifts)}
	}
	b.sites[site] = p
	return p
}

// nothing is the part of a site that is not there.
var nothing = new(part)

func (b *Book) at(site string) *part { return cmp.Or(b.sites[site], nothing) }

// Tag is the log's tag.
func (b *Book) Tag() string { return b.tag }

// NextWeld is the number of the next weld.
func (b *Book) NextWeld() int { return b.next }

// Adopt takes a site over as another book has it.
func (b *Book) Adopt(from *Book, site string) {
	s, ok := from.Site(site)
	if !ok {
		return
	}
	b.PutSite(s)
	p := *from.sites[site]
	p.by = nil // both have it now
	b.sites[site] = &p
	from.hand.Store(new(hand))
}

// StartAt says that weld numbers below next are taken: by sites that are not in
// the book.
func (b *Book) StartAt(next int) { b.next = max(b.next, next) }

// Sites are the sites in the order they were opened.
func (b *Book) Sites() []Site {
	var out []Site
	for _, id := range b.order {
		out = append(out, b.sites[id].site)
	}
	return out
}

// Site finds a site.
func (b *Book) Site(id string) (Site, bool) {
	p := b.at(id)
	return p.site, p.site.ID != ""
}

// PutSite keeps a site; one that was never opened is none.
func (b *Book) PutSite(s Site) {
	if s.ID == "" {
		return
	}
	if _, had := b.Site(s.ID); !had {
		b.order = append(b.order, s.ID)
	}
	b.of(s.ID).site = s
}

// Joints are a site's joints in the plan's order.
func (b *Book) Joints(site string) []Joint { return b.at(site).joints.all() }

// Joint finds a joint.
func (b *Book) Joint(site, label string) (Joint, bool) { return b.at(site).joints.get(label) }

// PutJoint keeps a joint; one that was neither planned nor added is none.
func (b *Book) PutJoint(j Joint) {
	if j.Label != "" {
		p := b.of(j.Site)
		old, had := p.joints.byName[j.Label]
		p.joints.put(p.by, j.Label, j, had && old.v.Order != j.Order, func(x, y *Joint) int {
			return cmp.Or(cmp.Compare(x.Order, y.Order), cmp.Compare(x.Label, y.Label))
		})
	}
}

// Welds are a site's welds in the order they were begun.
func (b *Book) Welds(site string) []Weld { return b.at(site).welds.all() }

// Weld finds a weld.
func (b *Book) Weld(site, id string) (Weld, bool) { return b.at(site).welds.get(id) }

// PutWeld keeps a weld; one that was never begun is none.
func (b *Book) PutWeld(w Weld) {
	if w.ID == "" {
		return
	}
	p := b.of(w.Site)
	p.welds.put(p.by, w.ID, w, false, ByNumber)
	if w.Walking() || w.Fusing() || w.Between() || w.Holding() {
		p.run.put(p.by, w.ID, w, false, ByNumber)
	} else {
		p.run.drop(w.ID, ByNumber)
	}
}

// MayRun are the welds of a site whose walk is open, that are fusing or held.
func (b *Book) MayRun(site string) []string {
	var out []string
	for _, w := range b.at(site).run.sorted {
		out = append(out, w.v.ID)
	}
	return out
}

// Shift finds a shift.
func (b *Book) Shift(site, id string) (Shift, bool) { s, ok := b.at(site).shifts[id]; return s, ok }

// PutShift keeps a shift; one that was never started is none.
func (b *Book) PutShift(s Shift) {
	if s.ID != "" {
		b.of(s.Site).shifts[s.ID] = s
	}
}

// ByNumber orders weld numbers of one log, past 9999 too. The mark of a log stands
// behind the number.
func ByNumber(x, y *Weld) int {
	a, _, _ := strings.Cut(x.ID, " ")
	b, _, _ := strings.Cut(y.ID, " ")
	return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(x.ID, y.ID))
}
