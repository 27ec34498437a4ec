package audit

import (
	"fmt"
	"slices"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// SignDay closes a day by name. Each fail that is open then must have been seen
// as it is then; of a fail that is settled meanwhile nothing is said. A key
// without a digest is one that a person wrote down: it must be that of a fail,
// since else it may have been another that was read.
func SignDay(h logbook.Head, beat fusion.Stamp, day string, seen []logbook.Judged) logbook.Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		if _, ok := r.Site(h.Site); !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		res := Run(r, h.Site, h.At, beat)
		if err := res.mayBeSigned(h, day, seen); err != nil {
			return nil, err
		}
		if err := logbook.Named(h, "signing a day"); err != nil {
			return nil, err
		}
		return drafted(h, "", "", res.closing(day)), nil
	}
}

func (res Result) mayBeSigned(h logbook.Head, day string, seen []logbook.Judged) error {
	today := h.At.Local().Format(time.DateOnly)
	if _, err := time.Parse(time.DateOnly, day); err != nil || day > today {
		return refuse(logbook.ErrRule, "not signed: %q is no day up to today, %s", day, today)
	}
	fails := res.OpenFails(day)
	for _, s := range seen {
		if s.Digest == "" && !slices.ContainsFunc(fails, func(f OpenFail) bool { return f.has(s.Key) }) {
			return refuse(logbook.ErrUnknown, "not signed: no open fail of %s or before has the key %q", day, s.Key)
		}
	}
	left := slices.DeleteFunc(fails, func(f OpenFail) bool { return f.SeenIn(seen) })
	if len(left) > 0 {
		return refuse(logbook.ErrRule, "not signed: %s to be seen first", logbook.Count(len(left), "open fail"))
	}
	return nil
}

func (f OpenFail) has(key string) bool {
	return slices.ContainsFunc(f, func(found Finding) bool { return found.Key == key })
}

// SeenIn tells whether a person has seen all of it as it is.
func (f OpenFail) SeenIn(seen []logbook.Judged) bool {
	return !slices.ContainsFunc(f, func(found Finding) bool { return !slices.ContainsFunc(seen, found.Judged().Same) })
}

// Seen are the findings that a person acknowledges by writing keys down, the
// key of one of them for all that is seen at once. A key that is none's is kept
// as it is.
func Seen(fails []OpenFail, keys []string) (out []logbook.Judged) {
	for _, key := range keys {
		at := slices.IndexFunc(fails, func(f OpenFail) bool { return f.has(key) })
		if at < 0 {
			out = append(out, logbook.Judged{Key: key})
			continue
		}
		out = append(out, fails[at].Acks()...)
	}
	return out
}

// closing is a day's signature with every open fail acknowledged.
func (res Result) closing(day string) logbook.DaySigned {
	b := logbook.DaySigned{Day: day, Open: res.Others(day)}
	for _, f := range res.OpenFails(day) {
		b.Acks = append(b.Acks, f.Acks()...)
	}
	return b
}

// Others is how many findings are open once a day is over, fails left out.
func (res Result) Others(day string) int {
	return len(slices.DeleteFunc(res.OpenOn(day), func(f Finding) bool { return f.Severity == Fail }))
}
