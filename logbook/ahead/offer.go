package ahead

import (
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/plan"
)

// LastAnswer is the answer last given on a site for a circumstance, to be
// offered again: by the newest weld that alike accepts.
func LastAnswer(r logbook.Reader, site, item string, alike func(logbook.Weld) bool) string {
	welds := r.Welds(site)
	for i := len(welds) - 1; i >= 0; i-- {
		w := welds[i]
		v := w.Answers[item].V
		if v == logbook.NotKnown && w.LateWhy != "" {
			continue // who tells it afterwards had no bag in his hand
		}
		if v != "" && alike(w) {
			return v
		}
	}
	return ""
}

// BatchOffer is what to offer for one item of a weld's fitting step: a batch
// is the same for one fitting, one coil (the pipe of the joint, else the size)
// or the stubs of one chamber.
func BatchOffer(r logbook.Reader, w logbook.Weld, item string) string {
	j, _ := r.Joint(w.Site, w.Joint)
	where := joints(r)
	switch item {
	case logbook.ItemBatch:
		return LastAnswer(r, w.Site, item, func(o logbook.Weld) bool { return o.Fitting() == w.Fitting() })
	case logbook.ItemPipeBatch:
		if v := pipeBatch(r, w); v != "" {
			return v
		}
		return LastAnswer(r, w.Site, item, where(func(o logbook.Joint) bool { return o.OdMM == j.OdMM && o.SDR == j.SDR }))
	case logbook.ItemStubBatch:
		return LastAnswer(r, w.Site, item, where(func(o logbook.Joint) bool { return o.Chamber == j.Chamber && stub(o) == stub(j) }))
	}
	return ""
}

// joints are the welds in joints of a kind.
func joints(r logbook.Reader) func(func(logbook.Joint) bool) func(logbook.Weld) bool {
	return func(same func(logbook.Joint) bool) func(logbook.Weld) bool {
		return func(o logbook.Weld) bool { oj, _ := r.Joint(o.Site, o.Joint); return same(oj) }
	}
}

// pipeBatch is what was said last of the very pipe that a weld is on.
func pipeBatch(r logbook.Reader, w logbook.Weld) string {
	j, _ := r.Joint(w.Site, w.Joint)
	return LastAnswer(r, w.Site, logbook.ItemPipeBatch, joints(r)(func(o logbook.Joint) bool { return o.Shares(j.Joint) }))
}

// Carries is the batch that a weld carries over from the last of its kind; "" where
// that has none that can be read. That of a coil goes no further than its pipe: the next
// circuit is another coil, and somebody must read it there.
func Carries(r logbook.Reader, w logbook.Weld, item string) string {
	v := ""
	if item == logbook.ItemPipeBatch {
		v = pipeBatch(r, w)
	} else {
		v = BatchOffer(r, w, item)
	}
	if v == logbook.NotKnown {
		return ""
	}
	return v
}

// LastMethod is what an end was scraped with at the last weld of its kind: with the same
// fitting, and in a chamber as this one is or not.
func LastMethod(r logbook.Reader, w logbook.Weld, end logbook.End) string {
	inChamber := func(o logbook.Weld) bool { j, _ := r.Joint(o.Site, o.Joint); return j.Chamber != "" }
	for _, o := range slices.Backward(r.Welds(w.Site)) {
		alike := o.ID != w.ID && o.Fitting() == w.Fitting() && inChamber(o) == inChamber(w)
		if v := o.MethodOf(end); alike && v != "" && o.Answers[end.Scraped].V == logbook.Done {
			return v
		}
	}
	return ""
}

// stub is the size and class of the stub that a joint is on, as far as the plan says.
func stub(j logbook.Joint) plan.End {
	for _, e := range j.Ends {
		if e.Stub {
			return plan.End{OdMM: e.OdMM, SDR: e.SDR}
		}
	}
	return plan.End{}
}

// FreshFor is how long an ambient reading may be confirmed instead of read
// again: our choice, adjustable, no source.
const FreshFor = 30 * time.Minute

// FreshAmbient is the last ambient reading of a site if it is younger than
// FreshFor and the weather was not changed since.
func FreshAmbient(s logbook.Site, now, beat fusion.Stamp) (logbook.LastAmbient, time.Duration, bool) {
	if s.Ambient == nil {
		return logbook.LastAmbient{}, 0, false
	}
	span := fusion.Span{Began: s.Ambient.At, Want: FreshFor}
	age, doubt := span.Ran(now, beat)
	changed := s.Weather != nil && s.Weather.Wall.After(s.Ambient.At.Wall)
	return *s.Ambient, age, doubt == fusion.Sure && age < FreshFor && !changed
}

// DueOf says what the walk of a weld must ask that does not follow from the weld alone.
func DueOf(r logbook.Reader, shelf logbook.Shelf, w logbook.Weld, now, beat fusion.Stamp) logbook.Due {
	if !w.Walking() {
		return logbook.Due{}
	}
	s, _ := r.Site(w.Site)
	return logbook.Due{
		Scrape: ScrapedTooLong(s, w, now, beat),
		Beside: besideUnsaid(r, w, now, beat), Bag: bagDue(shelf, w),
		Ambient: w.Ambient != nil && before(w.AmbientAt, w.Back) && !fresh(w, now, beat), Settings: before(w.SettingsAt, w.Back) && usedSince(r, w),
	}
}

// besideUnsaid is a weld held on the pipe of a walk that nobody was asked about.
func besideUnsaid(r logbook.Reader, w logbook.Weld, now, beat fusion.Stamp) string {
	j, _ := r.Joint(w.Site, w.Joint)
	line, held := PipeHeld(r, j, now, beat)
	if _, said := w.Answers[logbook.BesideItem(line.Weld.ID)]; !held || said {
		return ""
	}
	return line.Weld.ID
}

// bagDue tells whether the bag of a weld's batch must be read against the table.
func bagDue(shelf logbook.Shelf, w logbook.Weld) bool {
	if w.Fitting() == "" || w.Batch() == "" {
		return false
	}
	row, err := shelf.Known(w.Fitting())
	if _, stopped := row.StoppedBy(); stopped {
		return true
	}
	if err != nil || w.Bag != nil && w.Bag.Matches && w.Bag.Fitting == w.Fitting() && w.Bag.Batch == w.Batch() {
		return false
	}
	return w.Batch() == logbook.NotKnown || !row.Ref.BagKnown(w.Fitting(), w.Batch()) // each unknown batch may be a new one
}

func before(a, b *fusion.Stamp) bool { return a != nil && b != nil && a.Wall.Before(b.Wall) }

// fresh tells whether the temperature of a weld may still be used after a break.
func fresh(w logbook.Weld, now, beat fusion.Stamp) bool {
	read := *w.AmbientAt
	if w.Ambient.Taken != nil {
		read = *w.Ambient.Taken
	}
	age, doubt := fusion.Span{Began: read, Want: FreshFor}.Ran(now, beat)
	return doubt == fusion.Sure && age < FreshFor
}

// usedSince tells whether the unit of a walk fed another fitting since it was set.
func usedSince(r logbook.Reader, w logbook.Weld) bool {
	return slices.ContainsFunc(r.Welds(w.Site), func(o logbook.Weld) bool {
		return o.ID != w.ID && o.Unit == w.Unit && before(w.SettingsAt, o.Started)
	})
}

// SettingsFor is what the table of the weld's fitting says at its ambient.
func SettingsFor(r logbook.Reader, w logbook.Weld) (fusion.Settings, logbook.TableRow, error) {
	site, _ := r.Site(w.Site)
	row, err := logbook.ShelfOf(site).Row(w.Fitting())
	if err != nil {
		return fusion.Settings{}, row, err
	}
	if w.Ambient == nil {
		return fusion.Settings{}, row, logbook.Refuse("read the ambient temperature first")
	}
	s, err := row.Table.Settings(w.Fitting(), w.Ambient.C)
	return s, row, err
}

// Untaught are the fitting-type codes that were scanned on a site and are not
// taught, each with the fitting that was last chosen beside it.
func Untaught(r logbook.Reader, site string) []logbook.CodeTaught {
	s, _ := r.Site(site)
	var out []logbook.CodeTaught
	for _, w := range r.Welds(site) {
		code := w.Answers[logbook.ItemCode].V
		if _, known := s.TaughtAs(code); known || fusion.ReadCode(code).Form != fusion.FusionData {
			continue
		}
		b := logbook.CodeTaught{Code: code, Fitting: w.Fitting()}
		if i := slices.IndexFunc(out, func(o logbook.CodeTaught) bool { return o.Code == code }); i >= 0 {
			out[i] = b
			continue
		}
		out = append(out, b)
	}
	return out
}
