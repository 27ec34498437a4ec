package logbook

import (
	"slices"
	"strings"

	"coolhold/logbook/plan"
)

// SameSite says that the entry's site is one with those of its name in other logs,
// whose plans are not alike. It holds for these plans: a newer one is asked for again.
type SameSite struct {
	Of        []SiteIn `json:"of"`
	Why       string   `json:"why"`
	Withdrawn bool     `json:"withdrawn,omitempty"` // it is taken back
}

// A SiteIn is a site as one log has it.
type SiteIn struct {
	Log  string `json:"log"`            // its id
	Plan string `json:"plan,omitempty"` // hash of the newest
}

// Kind is "same site".
func (SameSite) Kind() Kind { return "same site" }

// Line names the logs by the first letters of their ids.
func (b SameSite) Line() string {
	var logs []string
	for _, s := range b.Of {
		logs = append(logs, s.Log[:min(idLetters, len(s.Log))])
	}
	if b.Withdrawn {
		return "not one site after all in the logs " + strings.Join(logs, ", ") + ": " + b.Why
	}
	return "one site in the logs " + strings.Join(logs, ", ") + ": " + b.Why
}

// A SaidSame is what was said of which sites are one, by whom, and in which log.
type SaidSame struct {
	SameSite
	Signature
	From *Origin // nil: of the one log
}

// LogNames are the logs that it speaks of: those that are not read along by the first
// letters of their ids.
func (b SaidSame) LogNames(s Site) (names []string) {
	for _, in := range b.Of {
		name := in.Log[:min(idLetters, len(in.Log))]
		for _, o := range s.Logs {
			if o.ID == in.Log {
				name = o.Name()
			}
		}
		names = append(names, name)
	}
	return names
}

// siteNames are the names of sites among several logs, by log and name in it.
type siteNames map[siteIn]string

type siteIn struct{ log, site string }

func (n siteNames) of(from *Origin, site string) string { return n[siteIn{from.ID, site}] }

// origin is the log with the site's own name in it.
func (n siteNames) origin(from *Origin, site string) *Origin {
	if site == from.Site {
		return from
	}
	o := *from
	o.Site = site
	return &o
}

// A sited is a site of one log before it is known with which others it is one.
type sited struct {
	siteIn
	from *Origin
	hash string
	plan *plan.Plan
}

// sitesOf names every site of several logs. Those that are told apart have the names
// of their logs behind theirs.
func sitesOf(logs []LogCopy, from []*Origin) siteNames {
	all, said := map[string][]sited{}, []SameSite{}
	for i, l := range logs {
		for _, s := range sitesIn(l, from[i], &said) {
			all[s.site] = append(all[s.site], s)
		}
	}
	names := siteNames{}
	for site, of := range all {
		groups := grouped(of, said)
		for _, g := range groups {
			name := site
			if len(groups) > 1 {
				name += " (" + logNames(g) + ")"
			}
			for _, s := range g {
				names[s.siteIn] = name
			}
		}
	}
	return names
}

func logNames(sites []sited) string {
	var names []string
	for _, s := range sites {
		names = append(names, s.from.Name())
	}
	return strings.Join(names, ", ")
}

// sitesIn are the sites of one log, each with its newest plan, and what it says of
// which are one.
func sitesIn(l LogCopy, from *Origin, said *[]SameSite) []sited {
	var out []sited
	for _, e := range l.Entries {
		if e.Site == "" {
			continue
		}
		i := slices.IndexFunc(out, func(s sited) bool { return s.site == e.Site })
		if i < 0 {
			i, out = len(out), append(out, sited{siteIn: siteIn{l.ID, e.Site}, from: from})
		}
		switch b := e.Open().(type) {
		case PlanTaken:
			out[i].hash, out[i].plan = b.Hash, b.plan()
		case SameSite:
			*said = append(*said, b)
		}
	}
	return out
}

// grouped puts the sites of one name together that are one.
func grouped(sites []sited, said []SameSite) [][]sited {
	var groups [][]sited
	for _, s := range sites {
		one := [][]sited{{}}
		for _, g := range groups {
			if slices.ContainsFunc(g, func(o sited) bool { return alike(o, s) || joined(o, s, said) }) {
				one[0] = append(one[0], g...)
			} else {
				one = append(one, g)
			}
		}
		one[0] = append(one[0], s)
		groups = append(one[1:], one[0])
	}
	return groups
}

// alike tells whether two logs have the same plan, by its text or by what it says.
func alike(a, b sited) bool {
	if a.hash == b.hash {
		return true
	}
	return a.plan != nil && b.plan != nil && len(plan.Differ(*a.plan, *b.plan)) == 0
}

// joined tells whether somebody said last that two sites are one.
func joined(a, b sited, said []SameSite) (one bool) {
	for _, s := range said {
		if slices.Contains(s.Of, SiteIn{a.log, a.hash}) && slices.Contains(s.Of, SiteIn{b.log, b.hash}) {
			one = !s.Withdrawn
		}
	}
	return one
}
