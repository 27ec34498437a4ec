package audit

import (
	"fmt"
	"slices"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A Lapse is an acceptance that was given once and settles nothing now: who reads of an
// open query must learn that somebody answered it, by what he saw then.
type Lapse struct {
	logbook.Review
	Weld, Joint string // what it was given on; both "": the site
	Was         string // what was accepted, in the words of today
	Now         string // why it settles nothing

	Back *fusion.Stamp // when it was taken back, where somebody did that
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
				l := Lapse{Review: v, Weld: weld, Joint: joint, Was: Tell(v.Judged), Now: why}
				if o, is := answeredBy(reviews[i+1:], v); is { // only one that took it back leaves a lapse
					l.Back = &o.At
				}
				out = append(out, l)
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

// OpenLosses are the losses of pressure that nobody repaired.
func (res Result) OpenLosses() []logbook.Event {
	if res.scene == nil {
		return nil
	}
	return res.scene.losses
}

// lapsed is why an acceptance settles nothing, "" where it does or a later answer took its
// place.
func (res Result) lapsed(byKey map[string]Finding, later []logbook.Review, v logbook.Review) string {
	if o, is := answeredBy(later, v); is {
		if !o.Accepted {
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

// answeredBy is the next answer to what a review answered.
func answeredBy(later []logbook.Review, v logbook.Review) (o logbook.Review, is bool) {
	i := slices.IndexFunc(later, func(o logbook.Review) bool { return o.Key == v.Key })
	if i < 0 {
		return o, false
	}
	return later[i], true
}
