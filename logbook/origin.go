package logbook

import (
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook/plan"
)

// An Origin is the log that an entry of several logs read together came from.
type Origin struct {
	ID, Tag string
	// Mark stands behind the log's tag and its weld numbers where another log has that
	// tag too: " (a1b2)", with the first letters of its id.
	Mark string
	// Site is the name of the site in the log itself, by which it keys its answers. It is
	// of the entry's site alone.
	Site string
}

// Name is the log as a person is told of it.
func (o *Origin) Name() string {
	if o == nil {
		return ""
	}
	return o.Tag + o.Mark
}

// same tells whether two entries came from one log.
func (o *Origin) same(p *Origin) bool { return o != nil && p != nil && o.ID == p.ID }

// Own is a text of the merged view as the log itself has it: its own welds without the
// mark, those of others with theirs.
func (o *Origin) Own(text string) string {
	if o == nil || o.Mark == "" {
		return text
	}
	return strings.ReplaceAll(text, o.Mark, "")
}

// idLetters is how many letters of a log's id are shown, where they tell logs apart.
const idLetters = 4

// Origins gives each of several logs its mark, each log once.
func Origins(logs []LogCopy) []*Origin {
	out := make([]*Origin, len(logs))
	for i, l := range logs {
		out[i] = &Origin{ID: l.ID, Tag: l.Tag, Mark: markOf(l, logs)}
	}
	return out
}

func markOf(l LogCopy, logs []LogCopy) string {
	n, twice := idLetters, false
	for _, o := range logs {
		if o.ID == l.ID || o.Tag != l.Tag {
			continue
		}
		twice = true
		for n < len(l.ID) && strings.HasPrefix(o.ID, l.ID[:n]) {
			n++
		}
	}
	if !twice {
		return ""
	}
	return " (" + l.ID[:min(n, len(l.ID))] + ")"
}

// A PlanRef is a plan that was taken for a site: which text, and the how manieth of
// the site in its log.
type PlanRef struct {
	From    *Origin // nil: of the one log
	Hash    string
	No      int // counts the plans taken of the site in that log, from 1
	File    string
	Version string     // what the plan says of itself
	Plan    *plan.Plan // nil: it cannot be read
	At      fusion.Stamp
}

// A Difference is one thing that two logs say unlike each other of a site.
type Difference = plan.Difference

// Differ says in what two plans are unlike; nothing where one of them cannot be read.
func (p PlanRef) Differ(o PlanRef) []Difference {
	if p.Hash == o.Hash || p.Plan == nil || o.Plan == nil {
		return nil
	}
	return plan.Differ(*p.Plan, *o.Plan)
}

// PlanOf is the plan that counts in a log: the newest it took of the site.
func (s Site) PlanOf(from *Origin) (PlanRef, bool) {
	for _, p := range slices.Backward(s.Plans) {
		if p.From == from || p.From.same(from) {
			return p, true
		}
	}
	return PlanRef{}, false
}

// takes is the site with one more plan. The plan of the site as a whole is that of the
// log that took one first: nothing of it is silently another log's.
func (s Site) takes(e *Entry, b PlanTaken) Site {
	ref := PlanRef{From: e.from, Hash: b.Hash, No: 1, File: b.File, Version: b.Version, Plan: b.plan(), At: e.At}
	if last, had := s.PlanOf(e.from); had {
		ref.No = last.No + 1
	}
	if s.Plans = append(slices.Clip(s.Plans), ref); s.Plans[0].From == e.from {
		s.Plan = ref.Plan
	}
	return s
}

// opened is the site as one more log opened it: the names are those of the first.
func (s Site) opened(e *Entry, b SiteOpened) Site {
	if e.from != nil {
		s.Logs = append(slices.Clip(s.Logs), e.from)
	}
	if s.ID == "" || e.from == nil {
		s.ID, s.SiteOpened, s.OpenedAt = e.Site, b, e.At
		return s
	}
	s.Chambers = slices.Clone(s.Chambers)
	for _, c := range b.Chambers {
		if !slices.ContainsFunc(s.Chambers, func(o Chamber) bool { return o.Name == c.Name }) {
			s.Chambers = append(s.Chambers, c)
		}
	}
	return s
}

// Key is the site's name in the keys of findings: that which it has in its own log.
func (s Site) Key() string {
	if len(s.Logs) > 0 {
		return s.Logs[0].Site
	}
	return s.ID
}

// A Placing is a joint as one of several logs has it.
type Placing struct {
	From *Origin
	plan.Joint
	Added string // why, where the log's plan did not have it
}

// placed is the joint as one more log has it. What it is by itself was said first.
func (j Joint) placed(e *Entry, p plan.Joint, why string) Joint {
	if j.Label == "" || e.from == nil {
		j.Joint, j.Site, j.Since, j.Added = p, e.Site, e.At, why
	}
	if e.from != nil {
		j.Placings = append(slices.Clip(j.Placings), Placing{e.from, p, why})
	}
	return j
}

// In is the joint as the log of a weld has it: the weld was made there.
func (j Joint) In(w Weld) Joint {
	for _, p := range j.Placings {
		if p.From.same(w.From) {
			j.Joint, j.Added = p.Joint, p.Added
			return j
		}
	}
	return j
}

// Lacking are the logs of a site that do not have the joint.
func (j Joint) Lacking(s Site) []*Origin {
	return slices.DeleteFunc(slices.Clone(s.Logs), func(o *Origin) bool {
		return len(j.Placings) == 0 || slices.ContainsFunc(j.Placings, func(p Placing) bool { return p.From.same(o) })
	})
}

// LogNames are the logs that have the joint, where not all of them do.
func (j Joint) LogNames(s Site) string {
	if len(j.Lacking(s)) == 0 {
		return ""
	}
	var names []string
	for _, p := range j.Placings {
		names = append(names, p.From.Name())
	}
	return strings.Join(names, ", ")
}
