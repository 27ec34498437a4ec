package register

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// A Plan is one plan of the site that a register was made by: by its text, and as the how
// manieth of the site in its log.
type Plan struct {
	Log     string `json:"log,omitempty"` // its tag, where there are several
	Hash    string `json:"hash"`          // of its text
	No      int    `json:"no"`
	File    string `json:"file"`
	Version string `json:"version,omitempty"` // what it says of itself
}

// Plans are the plans taken of the site, those of each log in their order.
func Plans(s logbook.Site) []Plan {
	out := []Plan{}
	for _, p := range s.Plans {
		out = append(out, Plan{p.From.Name(), p.Hash, p.No, p.File, p.Version})
	}
	return out
}

// String is the plan in one line.
func (p Plan) String() string {
	line := fmt.Sprintf("%s, %s (no. %d", p.Hash, p.File, p.No)
	if p.Log != "" {
		line += " of log " + p.Log
	}
	if p.Version != "" {
		line += ", version " + p.Version
	}
	return line + ")"
}

// A OneSite is what somebody said of which logs have one site though their plans are
// unlike.
type OneSite struct {
	Logs      []string `json:"logs"`
	Withdrawn bool     `json:"withdrawn,omitempty"` // it is taken back
	Why       string   `json:"why"`
	By        string   `json:"by"`
	At        string   `json:"at"`            // local, RFC 3339
	Log       string   `json:"log,omitempty"` // in which it was said, where there are several
}

// OneSites is all that was said of that, in order.
func OneSites(s logbook.Site) (out []OneSite) {
	for _, b := range s.Same {
		out = append(out, OneSite{b.LogNames(s), b.Withdrawn, b.Why, b.By, b.At.Local().Format(time.RFC3339), b.From.Name()})
	}
	return out
}

// Says is what was said, in two words or few more.
func (o OneSite) Says() string {
	if o.Withdrawn {
		return "not one site after all"
	}
	return "one site"
}

// When is the minute in which it was said.
func (o OneSite) When() string { return strings.Replace(o.At, "T", " ", 1)[:len("2006-01-02 15:04")] }

// String is that in one line.
func (o OneSite) String() string {
	line := fmt.Sprintf("%s: %s, said by %s on %s", strings.Join(o.Logs, ", "), o.Says(), o.By, o.When())
	if o.Log != "" {
		line += " in log " + o.Log
	}
	return line + ": " + o.Why
}

// unlikeLine says in what the logs of a site are unlike, and whether that was accepted: a
// finding that is settled would else be read by nobody who asks which plan counts.
func unlikeLine(res audit.Result) string {
	f, what, found := res.Unlike()
	if !found {
		return ""
	}
	line := "The logs of this site do not have the same of it: " + what + ". "
	if a := f.Accepted; a != nil && a.Accepted {
		return line + fmt.Sprintf("Accepted by %s on %s: %s.", a.By, a.At.Local().Format("2006-01-02"), strings.TrimSuffix(a.Why, "."))
	}
	return line + "Nobody has accepted that."
}

// planOf is the plan by which a row is: that of the weld's own log, or those of the logs
// that have the joint.
func planOf(r Row) Value {
	var parts []string
	for _, from := range logsOf(r) {
		ref, had := r.Site.PlanOf(from)
		if line := fmt.Sprintf("%s no. %d", ref.Hash, ref.No); had && !slices.Contains(parts, line) {
			parts = append(parts, line)
		}
	}
	return text(strings.Join(parts, "; "))
}

// logOf are the logs that a row comes from, where there are several.
func logOf(r Row) Value {
	var names []string
	for _, from := range logsOf(r) {
		if from != nil {
			names = append(names, from.Name())
		}
	}
	return text(strings.Join(names, ", "))
}

func logsOf(r Row) (out []*logbook.Origin) {
	switch {
	case len(r.Site.Logs) == 0:
		return []*logbook.Origin{nil}
	case r.Weld.ID != "":
		return []*logbook.Origin{r.Weld.From}
	case r.Factory != nil:
		return r.Site.Logs[:1] // whose plan is the site's
	}
	for _, p := range r.Joint.Placings {
		out = append(out, p.From)
	}
	return out
}

// addedWhy is why a joint is there that no plan had, with the log where not all have it.
func addedWhy(r Row) Value {
	if in := r.Joint.LogNames(r.Site); in != "" && r.Joint.Added != "" {
		return fmt.Sprintf("%s (log %s)", r.Joint.Added, in)
	}
	return text(r.Joint.Added)
}

// endedIn is the log in which a joint was struck off or split, where there are several.
func endedIn(r Row) string {
	if r.Joint.EndedIn == nil {
		return ""
	}
	return " (log " + r.Joint.EndedIn.Name() + ")"
}
