package logbook

import (
	"cmp"
	"slices"
)

// A Reader gives the current records. It serves the decision inside a
// transaction, the board and the verbs alike.
type Reader interface {
	Tag() string   // two letters of the log, in every weld number
	NextWeld() int // the number the next weld will have
	Sites() []Site // in the order they were opened
	Site(id string) (Site, bool)
	Joints(site string) []Joint // in the plan's order
	Joint(site, label string) (Joint, bool)
	Welds(site string) []Weld // in the order they were begun
	Weld(site, id string) (Weld, bool)
	Shift(site, id string) (Shift, bool)
	Entry(seq uint64) (Entry, bool)
}

// A Records is a Reader that keeps what the fold makes. Store's transaction
// and Book are the two.
type Records interface {
	Reader
	PutSite(Site)
	PutJoint(Joint)
	PutWeld(Weld)
	PutShift(Shift)
	Began() // one more weld number is taken
}

// Apply folds one entry into the records it names. Each record's After decides
// what of it concerns the record.
func Apply(r Records, e Entry) {
	if e.Site == "" {
		return
	}
	site, _ := r.Site(e.Site)
	order := site.Joints
	r.PutSite(site.After(e))
	for _, label := range e.Joints() {
		joint, had := r.Joint(e.Site, label)
		if !had {
			joint.Order = order
		}
		r.PutJoint(joint.After(e))
	}
	if e.Weld != "" {
		weld, had := r.Weld(e.Site, e.Weld)
		if !had {
			r.Began()
		}
		weld = weld.After(e)
		r.PutWeld(weld)
		standing(r, e, weld)
	}
	if e.Shift != "" {
		shift, _ := r.Shift(e.Site, e.Shift)
		r.PutShift(shift.After(e))
	}
}

// standing puts a weld whose joint was corrected into the joint it was made at:
// only the weld knows whether it stands.
func standing(r Records, e Entry, w Weld) {
	if e.Kind != (Correction{}).Kind() || !w.Stands() {
		return
	}
	j, ok := r.Joint(w.Site, w.Joint)
	if n := len(j.Moves); ok && n > 0 && j.Moves[n-1].Seq == e.Seq {
		j.Stands = w.ID
		r.PutJoint(j)
	}
}

// A Book is the records in memory: the board's cache, and what a verb folds
// from a copy of the log.
type Book struct {
	tag     string
	next    int
	order   []string
	sites   map[string]Site
	joints  map[string]map[string]Joint
	welds   map[string]map[string]Weld
	shifts  map[string]map[string]Shift
	entries map[uint64]Entry
}

// NewBook is an empty book of the log with that tag; the next weld has number
// next.
func NewBook(tag string, next int) *Book {
	return &Book{
		tag: tag, next: next, sites: map[string]Site{}, joints: map[string]map[string]Joint{},
		welds: map[string]map[string]Weld{}, shifts: map[string]map[string]Shift{}, entries: map[uint64]Entry{},
	}
}

// Fold is the book of these entries.
func Fold(tag string, entries []Entry) *Book {
	b := NewBook(tag, 1)
	for _, e := range entries {
		b.Add(e)
	}
	return b
}

// Add keeps an entry and folds it in.
func (b *Book) Add(e Entry) {
	b.entries[e.Seq] = e
	Apply(b, e)
}

// Load is the book of one site as a Reader has it, with the entries that hold
// its tables, plan and kit. An empty site gives the list of sites only.
func Load(r Reader, site string) *Book {
	b := NewBook(r.Tag(), r.NextWeld())
	for _, s := range r.Sites() {
		b.PutSite(s)
	}
	s, ok := r.Site(site)
	if !ok {
		return b
	}
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
	for _, t := range s.Tables {
		b.keep(r, t.Seq)
	}
	b.keep(r, s.PlanSeq)
	b.keep(r, s.KitSeq)
	return b
}

func (b *Book) keep(r Reader, seq uint64) {
	if e, ok := r.Entry(seq); ok {
		b.entries[seq] = e
	}
}

// Clone is a copy that can be added to without touching the original: records
// are values that are replaced, never changed.
func (b *Book) Clone() *Book {
	c := NewBook(b.tag, b.next)
	for _, s := range b.Sites() {
		c.PutSite(s)
	}
	for site := range b.joints {
		for _, j := range b.joints[site] {
			c.PutJoint(j)
		}
	}
	for site := range b.welds {
		for _, w := range b.welds[site] {
			c.PutWeld(w)
		}
	}
	for site := range b.shifts {
		for _, s := range b.shifts[site] {
			c.PutShift(s)
		}
	}
	for seq, e := range b.entries {
		c.entries[seq] = e
	}
	return c
}

// Tag is the log's tag.
func (b *Book) Tag() string { return b.tag }

// NextWeld is the number of the next weld.
func (b *Book) NextWeld() int { return b.next }

// Began takes a weld number.
func (b *Book) Began() { b.next++ }

// Sites are the sites in the order they were opened.
func (b *Book) Sites() []Site {
	var out []Site
	for _, id := range b.order {
		out = append(out, b.sites[id])
	}
	return out
}

// Site finds a site.
func (b *Book) Site(id string) (Site, bool) { s, ok := b.sites[id]; return s, ok }

// PutSite keeps a site.
func (b *Book) PutSite(s Site) {
	if s.ID == "" {
		return
	}
	if _, had := b.sites[s.ID]; !had {
		b.order = append(b.order, s.ID)
	}
	b.sites[s.ID] = s
}

// Joints are a site's joints in the plan's order.
func (b *Book) Joints(site string) []Joint {
	return sorted(b.joints[site], func(x, y Joint) int {
		return cmp.Or(cmp.Compare(x.Order, y.Order), cmp.Compare(x.Label, y.Label))
	})
}

// Joint finds a joint.
func (b *Book) Joint(site, label string) (Joint, bool) { j, ok := b.joints[site][label]; return j, ok }

// PutJoint keeps a joint.
func (b *Book) PutJoint(j Joint) {
	if j.Label != "" {
		put(b.joints, j.Site, j.Label, j)
	}
}

// Welds are a site's welds in the order they were begun.
func (b *Book) Welds(site string) []Weld {
	return sorted(b.welds[site], byNumber)
}

// Weld finds a weld.
func (b *Book) Weld(site, id string) (Weld, bool) { w, ok := b.welds[site][id]; return w, ok }

// PutWeld keeps a weld.
func (b *Book) PutWeld(w Weld) {
	if w.ID != "" {
		put(b.welds, w.Site, w.ID, w)
	}
}

// Shift finds a shift.
func (b *Book) Shift(site, id string) (Shift, bool) { s, ok := b.shifts[site][id]; return s, ok }

// PutShift keeps a shift.
func (b *Book) PutShift(s Shift) {
	if s.ID != "" {
		put(b.shifts, s.Site, s.ID, s)
	}
}

// Entry finds an entry; a book keeps those that hold tables, plan and kit.
func (b *Book) Entry(seq uint64) (Entry, bool) { e, ok := b.entries[seq]; return e, ok }

func put[T any](m map[string]map[string]T, site, id string, v T) {
	if m[site] == nil {
		m[site] = map[string]T{}
	}
	m[site][id] = v
}

func sorted[T any](m map[string]T, less func(x, y T) int) []T {
	out := make([]T, 0, len(m))
	for _, v := range m {
		out = append(out, v)
	}
	slices.SortFunc(out, less)
	return out
}

// byNumber orders weld numbers of one log, past 9999 too.
func byNumber(x, y Weld) int {
	return cmp.Or(cmp.Compare(len(x.ID), len(y.ID)), cmp.Compare(x.ID, y.ID))
}
