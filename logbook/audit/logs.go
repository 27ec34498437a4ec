package audit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
)

// A planIn is the plan that a log has of the site.
type planIn struct {
	Log  string `json:"log"`
	Hash string `json:"hash"`
}

// An unlikeIn is one thing that two logs have otherwise of the site.
type unlikeIn struct {
	Log   string `json:"log"`
	Other string `json:"other_log"`
	logbook.Difference
}

// A plansFact is what several logs have otherwise of one site.
type plansFact struct {
	Plans []planIn   `json:"plans"`
	Found []unlikeIn `json:"found"`
}

// plansDiffer holds the plan of each log against that of the one which opened the site
// first, and so what was added under one label. Each weld keeps the place that its own
// log has for it, whatever is found.
func plansDiffer(c Case) (f plansFact, found bool) {
	for i, log := range c.Site.Logs {
		ref, _ := c.Site.PlanOf(log)
		f.Plans = append(f.Plans, planIn{log.Name(), ref.Hash})
		if i > 0 {
			f.Found = append(f.Found, betweenPlans(c.Site, c.Site.Logs[0], log)...)
		}
	}
	for _, j := range c.scene.inOrder {
		f.Found = append(f.Found, addedUnlike(j)...)
	}
	return f, len(f.Found) > 0
}

func betweenPlans(s logbook.Site, a, b *logbook.Origin) (out []unlikeIn) {
	one, _ := s.PlanOf(a)
	two, _ := s.PlanOf(b)
	for _, d := range one.Differ(two) {
		out = append(out, unlikeIn{a.Name(), b.Name(), d})
	}
	return out
}

// addedUnlike is a joint that somebody added in one log, and that another log has under
// the same label and otherwise.
func addedUnlike(j logbook.Joint) (out []unlikeIn) {
	for i, p := range j.Placings {
		if i == 0 || p.Added == "" && j.Placings[0].Added == "" {
			continue
		}
		for _, d := range j.Placings[0].Unlike(p.Joint) {
			out = append(out, unlikeIn{j.Placings[0].From.Name(), p.From.Name(), d})
		}
	}
	return out
}

func plansSay(site string, f plansFact) string {
	var plans []string
	for _, p := range f.Plans {
		plans = append(plans, p.Log+" "+p.Hash)
	}
	return fmt.Sprintf("%s: the logs do not have the same of it (plans %s): %s", site, strings.Join(plans, ", "), f.unlike())
}

func (f plansFact) unlike() string {
	var parts []string
	for _, u := range f.Found {
		parts = append(parts, fmt.Sprintf("%s (%s / %s)", u.Difference, u.Log, u.Other))
	}
	return strings.Join(parts, "; ")
}

// Unlike is the finding on what several logs have otherwise of the site, open or settled,
// and what that is.
func (r Result) Unlike() (f Finding, what string, found bool) {
	for _, f := range r.Findings {
		if facts, is := f.facts.(plansFact); is {
			return f, facts.unlike(), true
		}
	}
	return Finding{}, "", false
}

// An onPort is a port with welds of several joints.
type onPort struct {
	Chamber string      `json:"chamber"`
	Port    int         `json:"port"`
	Others  []otherWeld `json:"others"`
}

type otherWeld struct {
	Weld  string `json:"weld"`
	Joint string `json:"joint"`
}

// twoOnPort speaks where unlike plans, or what the crews said, put two joints on one port.
// Within one log the plan gives each joint a port of its own, and what the crew said
// against it is found by itself.
func twoOnPort(c Case) (f onPort, found bool) {
	if !takesPort(c.Weld, c.Joint) {
		return f, false
	}
	_, no := portOf(c.Weld, c.Joint)
	f.Chamber, f.Port = c.Joint.Chamber, no
	for _, w := range c.scene.welds {
		j := c.scene.joints[w.Joint].In(w)
		if w.Joint == c.Weld.Joint || logOf(w.From) == logOf(c.Weld.From) || !takesPort(w, j) || j.Chamber != f.Chamber {
			continue
		}
		if _, on := portOf(w, j); on == no {
			f.Others = append(f.Others, otherWeld{w.ID, w.Joint})
		}
	}
	return f, no > 0 && len(f.Others) > 0
}

// takesPort tells whether a weld of several logs stands on a port of a chamber.
func takesPort(w logbook.Weld, j logbook.Joint) bool {
	return w.From != nil && w.Stands() && j.Circuit > 0 && j.Port > 0
}

func onPortSays(weld string, f onPort) string {
	var others []string
	for _, o := range f.Others {
		others = append(others, fmt.Sprintf("%s of joint %s", o.Weld, o.Joint))
	}
	return fmt.Sprintf("%s stands on port %d of chamber %s, and so does %s", weld, f.Port, f.Chamber, strings.Join(others, ", "))
}

// A someLogs is a joint that some of several logs have.
type someLogs struct {
	Logs  []string `json:"logs"`            // that have it
	Added string   `json:"added,omitempty"` // why
	Ended string   `json:"ended,omitempty"` // the one in which it was struck off or split
}

// inSomeLogs speaks of what was added, struck off or split on one laptop, and of what
// only one plan has.
func inSomeLogs(c Case) (f someLogs, found bool) {
	j := c.Joint
	if len(c.Site.Logs) < 2 {
		return f, false
	}
	f.Added = j.Added
	for _, p := range j.Placings {
		f.Logs = append(f.Logs, p.From.Name())
	}
	if j.EndedIn != nil && len(f.Logs) > 1 {
		f.Ended = j.EndedIn.Name()
	}
	return f, f.Ended != "" || len(j.Lacking(c.Site)) > 0
}

func someLogsSay(joint string, f someLogs) string {
	if f.Ended != "" {
		return fmt.Sprintf("joint %s is not being built, or was split, by log %s only", joint, f.Ended)
	}
	line := fmt.Sprintf("joint %s is in log %s only", joint, strings.Join(f.Logs, ", "))
	if f.Added != "" {
		line += ": added, " + f.Added
	}
	return line
}

// endedWithWeld speaks of a weld in a joint that another log says is not built, or was
// replaced by a make-up piece. One log alone would refuse that.
func endedWithWeld(c Case) (f someLogs, found bool) {
	w, _ := c.scene.weld(c.Joint.Stands)
	if c.Joint.EndedIn == nil || c.Joint.Stands == "" || w.From == nil {
		return f, false
	}
	return someLogs{Logs: []string{w.ID}, Ended: c.Joint.EndedIn.Name()}, w.From.ID != c.Joint.EndedIn.ID
}

func endedSays(joint string, f someLogs) string {
	return fmt.Sprintf("%s stands in joint %s, which log %s says is not being built or was split", strings.Join(f.Logs, ", "), joint, f.Ended)
}

// In is an answer of the merged view as one of the logs stores it: its own welds stand
// without their mark.
func In(log *logbook.Origin, j logbook.Judged) logbook.Judged {
	key, facts := log.Own(j.Key), []byte(log.Own(string(j.Facts)))
	return logbook.Judged{Key: key, Digest: digest(key, facts), Facts: facts}
}

// answers tells whether a review is of a finding, and whether of its facts as they are:
// it may stand in any of the logs.
func answers(v logbook.Review, f Finding, logs []*logbook.Origin) (ofIt, same bool) {
	if v.Key == f.Key {
		ofIt, same = true, v.Same(f.Judged())
	}
	marked := slices.ContainsFunc(logs, func(o *logbook.Origin) bool { return o.Mark != "" })
	for i := 0; marked && !same && i < len(logs); i++ {
		j := In(logs[i], f.Judged())
		ofIt, same = ofIt || v.Key == j.Key, v.Same(j)
	}
	return ofIt, same
}
