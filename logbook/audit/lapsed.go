package audit

import (
	"fmt"
	"slices"

	"coolhold/logbook"
)

// A Lapse is an acceptance that was given once and settles nothing now: who reads of an
// open query must learn that somebody answered it, by what he saw then.
type Lapse struct {
	logbook.Review
	Weld, Joint string // what it was given on; both "": the site
	Was         string // what was accepted, in the words of today
	Now         string // why it settles nothing
}

// Lapsed are the acceptances that settle nothing now: the facts changed after them, they
// were taken back, or nobody may pass his own work. One that was given again is not among
// them.
func (res Result) Lapsed() (out []Lapse) {
	if res.scene == nil {
		return nil
	}
	byKey := map[string]Finding{}
	for _, f := range res.Findings {
		byKey[f.Key] = f
		for _, log := range res.scene.site.Logs {
			byKey[log.Own(f.Key)] = f
		}
	}
	add := func(weld, joint string, reviews []logbook.Review) {
		for i, v := range reviews {
			if why := res.lapsed(byKey, reviews[i+1:], v); v.Accepted && why != "" {
				out = append(out, Lapse{v, weld, joint, Tell(v.Judged), why})
			}
		}
	}
	for _, w := range res.welds {
		add(w.ID, w.Joint, w.Reviews)
	}
	for _, j := range res.scene.inOrder {
		add("", j.Label, j.Reviews)
	}
	add("", "", res.scene.site.Reviews)
	return out
}

// lapsed is why an acceptance settles nothing, "" where it does or a later answer took its
// place.
func (res Result) lapsed(byKey map[string]Finding, later []logbook.Review, v logbook.Review) string {
	if i := slices.IndexFunc(later, func(o logbook.Review) bool { return o.Key == v.Key }); i >= 0 {
		if o := later[i]; !o.Accepted {
			return fmt.Sprintf("taken back by %s: %s", o.By, o.Why)
		}
		return ""
	}
	f, found := byKey[v.Key]
	if !found {
		return "the record shows it no more: what it was found by was changed since"
	}
	if f.Accepted != nil {
		return ""
	}
	_, same := answers(v, f, res.scene.site.Logs)
	switch {
	case same && f.Settled:
		return "" // its weld is out of its joint
	case same:
		return "it does not count: it is the matter of who accepted it"
	case f.Settled:
		return "the facts changed after it; its weld stands no more"
	}
	return "the facts changed after it, so it is open again: " + f.Says
}

// A Removal is what a correction of a weld took away: findings that spoke before it and
// speak no more.
type Removal struct {
	Seq   uint64 // of the correction
	Fail  bool   // one of them is a fail
	Found []string
}

// Removals are the corrections by which anything went that the rules had found, by weld.
func (res Result) Removals() map[string][]Removal {
	out := map[string][]Removal{}
	for _, w := range res.welds {
		if len(w.Corrections) > 0 {
			out[w.ID] = res.removals(w)
		}
	}
	return out
}

func (res Result) removals(w logbook.Weld) (out []Removal) {
	states := w.AsRecorded() // the newest first
	base := Case{Matter: &Matter{Read: res.read, Site: res.scene.site, AsOf: res.asOf, Beat: res.beat}, scene: res.scene, found: &res, fails: failsOf, queries: queriesOf}
	fails := onceEach(func(state int) []ruled { return failsOf(base.of(w), states[state]) })
	queries := onceEach(func(state int) []ruled { return queriesOf(base.of(w), states[state]) })
	for i, k := range w.Corrections {
		at := len(w.Corrections) - 1 - i
		r := Removal{Seq: k.Seq}
		gone := func(of func(int) []ruled) []string {
			after, now := slugs(of(at)), slugs(of(0))
			return withoutWeld(w.ID, slices.DeleteFunc(slices.Clone(of(at+1)), func(f ruled) bool { return slices.Contains(after, f.Rule) || slices.Contains(now, f.Rule) }))
		}
		r.Found = gone(fails)
		r.Fail = len(r.Found) > 0
		if r.Found = append(r.Found, gone(queries)...); len(r.Found) > 0 {
			out = append(out, r)
		}
	}
	return out
}
