package logbook

import (
	"time"

	"coolhold/fusion"
)

// LastAnswer is the answer last given on a site for a circumstance, to be
// offered again: by the newest weld that alike accepts.
func LastAnswer(r Reader, site, item string, alike func(Weld) bool) string {
	welds := r.Welds(site)
	for i := len(welds) - 1; i >= 0; i-- {
		if v := welds[i].Answers[item].V; v != "" && alike(welds[i]) {
			return v
		}
	}
	return ""
}

// BatchOffer is what to offer for one item of a weld's fitting step: a batch
// is the same for one fitting, one coil (the pipe of the joint, else the size)
// or the stubs of one chamber.
func BatchOffer(r Reader, w Weld, item string) string {
	j, _ := r.Joint(w.Site, w.Joint)
	where := func(same func(Joint) bool) func(Weld) bool {
		return func(o Weld) bool { oj, _ := r.Joint(o.Site, o.Joint); return same(oj) }
	}
	switch item {
	case ItemBatch:
		return LastAnswer(r, w.Site, item, func(o Weld) bool { return o.Fitting() == w.Fitting() })
	case ItemPipeBatch:
		if v := LastAnswer(r, w.Site, item, where(func(o Joint) bool { return o.Pipe != "" && o.Pipe == j.Pipe })); v != "" {
			return v
		}
		return LastAnswer(r, w.Site, item, where(func(o Joint) bool { return o.OdMM == j.OdMM }))
	case ItemStubBatch:
		return LastAnswer(r, w.Site, item, where(func(o Joint) bool { return o.Chamber == j.Chamber }))
	}
	return ""
}

// FreshFor is how long an ambient reading may be confirmed instead of read
// again: our choice, adjustable, no source.
const FreshFor = 30 * time.Minute

// FreshAmbient is the last ambient reading of a site if it is younger than
// FreshFor and the weather was not changed since.
func FreshAmbient(s Site, now, beat fusion.Stamp) (Reading, time.Duration, bool) {
	if s.Ambient == nil {
		return Reading{}, 0, false
	}
	span := fusion.Span{Began: s.Ambient.At, Want: FreshFor}
	age, doubt := span.Ran(now, beat)
	changed := s.Weather != nil && s.Weather.Wall.After(s.Ambient.At.Wall)
	return *s.Ambient, age, doubt == fusion.Sure && age < FreshFor && !changed
}

// BagDue tells whether the bag of a weld's batch must be read against the
// table.
func BagDue(shelf Shelf, w Weld) bool {
	if w.Fitting() == "" || w.Batch() == "" {
		return false
	}
	row, err := shelf.Row(w.Fitting())
	if err != nil || w.Bag != nil && w.Bag.Matches && w.Bag.Fitting == w.Fitting() && w.Bag.Batch == w.Batch() {
		return false
	}
	return w.Batch() == NotKnown || !row.Ref.BagKnown(w.Fitting(), w.Batch()) // each unknown batch may be a new one
}
