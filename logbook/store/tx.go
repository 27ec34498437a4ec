package store

import (
	"cmp"
	"slices"

	bolt "go.etcd.io/bbolt"

	"coolhold/logbook"
)

// A tx is one transaction as logbook.Records: the current records, and the fold
// of new entries into them.
type tx struct {
	s   *session
	raw *bolt.Tx

	meta, entry, hash, day, open bucket

	sites  *table[siteRow]
	joints *table[logbook.Joint]
	welds  *table[logbook.Weld]
	shifts *table[logbook.Shift]

	tag   string
	next  int
	began bool // next is to be written
}

// A siteRow is a site with its place in the order of opening.
type siteRow struct {
	N    int          `json:"n"`
	Site logbook.Site `json:"site"`
}

// newTx binds the parts that every format has. bind follows once the format is
// known to be ours.
func newTx(s *session, raw *bolt.Tx) *tx {
	t := &tx{s: s, raw: raw}
	t.meta = t.bucket("meta")
	return t
}

// bind makes the entries and records readable.
func (t *tx) bind() {
	t.entry, t.hash, t.day, t.open = t.bucket("entry"), t.bucket("hash"), t.bucket("day"), t.bucket("open")
	t.sites = newTable[siteRow](t.bucket("site"))
	t.joints = newTable[logbook.Joint](t.bucket("joint"))
	t.welds = newTable[logbook.Weld](t.bucket("weld"))
	t.shifts = newTable[logbook.Shift](t.bucket("shift"))
	t.tag, t.next = t.word("tag"), t.meta.number("next")
}

// word is a text of the bucket meta.
func (t *tx) word(key string) string {
	payload, _ := t.meta.get([]byte(key))
	if len(payload) == 0 {
		t.s.fail(damaged(t.s.path, "its "+key+" is missing"))
	}
	return string(payload)
}

// flush writes the records that were put.
func (t *tx) flush() {
	if t.sites == nil {
		return
	}
	t.sites.flush()
	t.joints.flush()
	t.welds.flush()
	t.shifts.flush()
	if t.began {
		t.meta.putNumber("next", t.next)
		t.began = false
	}
}

// Tag is the log's tag.
func (t *tx) Tag() string { return t.tag }

// NextWeld is the number of the next weld.
func (t *tx) NextWeld() int { return t.next }

// Began takes a weld number.
func (t *tx) Began() { t.next, t.began = t.next+1, true }

// Sites are the sites in the order they were opened.
func (t *tx) Sites() []logbook.Site {
	rows := t.sites.all("")
	slices.SortFunc(rows, func(a, b siteRow) int { return cmp.Compare(a.N, b.N) })
	var out []logbook.Site
	for _, row := range rows {
		out = append(out, row.Site)
	}
	return out
}

// Site finds a site.
func (t *tx) Site(id string) (logbook.Site, bool) {
	row, ok := t.sites.get(id)
	return row.Site, ok
}

// PutSite keeps a site; one that was never opened is none.
func (t *tx) PutSite(s logbook.Site) {
	if s.ID == "" {
		return
	}
	row, had := t.sites.get(s.ID)
	if !had {
		row.N = len(t.sites.all("")) + 1
	}
	row.Site = s
	t.sites.put(s.ID, row)
}

// of is the prefix of the keys of what belongs to a site.
func of(site string) string { return site + "\x00" }

// Joints are a site's joints in the plan's order.
func (t *tx) Joints(site string) []logbook.Joint {
	joints := t.joints.all(of(site))
	slices.SortStableFunc(joints, func(a, b logbook.Joint) int { return cmp.Compare(a.Order, b.Order) })
	return joints
}

// Joint finds a joint.
func (t *tx) Joint(site, label string) (logbook.Joint, bool) { return t.joints.get(of(site) + label) }

// PutJoint keeps a joint; one that was neither planned nor added is none.
func (t *tx) PutJoint(j logbook.Joint) {
	if j.Label != "" {
		t.joints.put(of(j.Site)+j.Label, j)
	}
}

// weldKey sorts welds in the order of their numbers, past 9999 too.
func weldKey(site, id string) string { return of(site) + string([]byte{byte(len(id))}) + id }

// Welds are a site's welds in the order they were begun.
func (t *tx) Welds(site string) []logbook.Weld { return t.welds.all(of(site)) }

// Weld finds a weld.
func (t *tx) Weld(site, id string) (logbook.Weld, bool) { return t.welds.get(weldKey(site, id)) }

// PutWeld keeps a weld and its places in day and open; one that was never begun
// is none.
func (t *tx) PutWeld(w logbook.Weld) {
	if w.ID == "" {
		return
	}
	key := weldKey(w.Site, w.ID)
	old, _ := t.welds.get(key)
	t.welds.put(key, w)
	if was, is := dayKey(old), dayKey(w); was != is {
		t.move(t.day, was, is, "")
	}
	if was, is := state(old), state(w); was != is {
		t.move(t.open, given(was, key), given(is, key), is)
	}
}

// given is the key, or none where there is no state.
func given(state, key string) string {
	if state == "" {
		return ""
	}
	return key
}

// move takes a value from one key to another; an empty key is none.
func (t *tx) move(b bucket, from, to, payload string) {
	if from != "" && from != to {
		b.delete([]byte(from))
	}
	if to != "" {
		b.put([]byte(to), []byte(payload))
	}
}

// dayKey is where a weld stands under day: nowhere before its fusion began.
func dayKey(w logbook.Weld) string {
	at, fused := w.FusedAt()
	if w.ID == "" || !fused {
		return ""
	}
	return of(w.Site) + of(at.Format("2006-01-02")) + w.ID
}

// state is the word under which a weld stands under open, if any.
func state(w logbook.Weld) string {
	switch {
	case w.ID == "":
		return ""
	case w.Walking():
		return "walking"
	case w.Fusing():
		return "fusing"
	case w.Holding():
		return "holding"
	}
	return ""
}

// Shift finds a shift.
func (t *tx) Shift(site, id string) (logbook.Shift, bool) { return t.shifts.get(of(site) + id) }

// PutShift keeps a shift; one that was never started is none.
func (t *tx) PutShift(s logbook.Shift) {
	if s.ID != "" {
		t.shifts.put(of(s.Site)+s.ID, s)
	}
}
