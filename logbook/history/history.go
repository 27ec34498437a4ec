// Package history gathers everything that ever happened to a circuit, a joint,
// a batch or a weld, in order. It adds nothing to what stands in the log.
package history

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/recall"
)

// A Query says whose history is asked for. One of Circuit, Joint, Batch and
// Weld is given; Chamber tells circuits of one number apart.
type Query struct {
	Circuit            int
	Chamber            string
	Joint, Batch, Weld string
}

// String is what is asked for in words.
func (q Query) String() string {
	switch {
	case q.Weld != "":
		return "weld " + q.Weld
	case q.Joint != "":
		return "joint " + q.Joint
	case q.Batch != "":
		return "batch " + q.Batch
	case q.Chamber != "":
		return fmt.Sprintf("circuit %d of chamber %s", q.Circuit, q.Chamber)
	}
	return fmt.Sprintf("circuit %d", q.Circuit)
}

// A Happening is one thing that happened.
type Happening struct {
	Seq   uint64       `json:"seq"` // its place in the log, or among all logs that were merged
	At    string       `json:"at"`  // local time of the entry, RFC 3339
	By    string       `json:"by,omitempty"`
	Joint string       `json:"joint,omitempty"`
	Weld  string       `json:"weld,omitempty"`
	Kind  logbook.Kind `json:"kind"`
	What  string       `json:"what"`
}

// Of is the history that a query asks for, the oldest entry first. It is empty
// where nothing in the site's records is meant.
func Of(r logbook.Reader, site string, q Query) []Happening {
	s, ok := r.Site(site)
	if !ok {
		return nil
	}
	g := gathering{seen: map[uint64]bool{}, days: map[string]bool{}}
	g.joints, g.welds = about(r, site, q)
	if len(g.joints) == 0 && len(g.welds) == 0 {
		return nil
	}
	g.on = onCircuits(r, site, g.joints)
	g.tell(q)
	g.tellSite(r, s, q)
	g.tellTests(r, s)
	g.tellLoop(r, s)
	slices.SortStableFunc(g.lines, func(a, b Happening) int { return cmp.Compare(a.Seq, b.Seq) })
	return g.lines
}

// Joints are the joints that a query means, in the order of the plan.
func Joints(r logbook.Reader, site string, q Query) []logbook.Joint {
	joints, _ := about(r, site, q)
	return joints
}

// about are the joints and welds that a query means.
func about(r logbook.Reader, site string, q Query) (joints []logbook.Joint, welds []logbook.Weld) {
	switch {
	case q.Weld != "" || q.Batch != "":
		for _, w := range r.Welds(site) {
			if strings.EqualFold(w.ID, q.Weld) || q.Batch != "" && HasBatch(w, q.Batch) {
				welds = append(welds, w)
				joints = with(joints, r, site, w.Joint)
			}
		}
	case q.Joint != "":
		joints = jointsOf(r, site, func(j logbook.Joint) bool { return strings.EqualFold(j.Label, q.Joint) })
	case q.Circuit > 0:
		joints = circuit(r, site, q)
	}
	if q.Weld == "" && q.Batch == "" {
		welds = everIn(r, site, joints)
	}
	return joints, welds
}

func with(joints []logbook.Joint, r logbook.Reader, site, label string) []logbook.Joint {
	if j, ok := r.Joint(site, label); ok && !slices.ContainsFunc(joints, func(o logbook.Joint) bool { return o.Label == label }) {
		joints = append(joints, j)
	}
	return joints
}

func jointsOf(r logbook.Reader, site string, is func(logbook.Joint) bool) (out []logbook.Joint) {
	for _, j := range r.Joints(site) {
		if is(j) {
			out = append(out, j)
		}
	}
	return out
}

// circuit are the joints of a circuit, and those that lie on its pipe.
func circuit(r logbook.Reader, site string, q Query) []logbook.Joint {
	is := func(j logbook.Joint) bool {
		return j.Circuit == q.Circuit && (q.Chamber == "" || strings.EqualFold(j.Chamber, q.Chamber))
	}
	loop := jointsOf(r, site, is)
	on := func(j logbook.Joint) bool {
		return slices.ContainsFunc(loop, func(o logbook.Joint) bool { return o.Shares(j.Joint) })
	}
	return jointsOf(r, site, func(j logbook.Joint) bool { return is(j) || j.Circuit == 0 && on(j) })
}

// onCircuits gives a joint outside the chambers the circuit whose pipe it is
// on: what happens to the one happens to the other.
func onCircuits(r logbook.Reader, site string, joints []logbook.Joint) []logbook.Joint {
	out := slices.Clone(joints)
	for i, j := range out {
		if j.Circuit > 0 {
			continue
		}
		for _, o := range jointsOf(r, site, func(o logbook.Joint) bool { return o.Circuit > 0 && o.Shares(j.Joint) }) {
			out[i].Circuit, out[i].Chamber = o.Circuit, o.Chamber
		}
	}
	return out
}

// everIn are all welds that were ever logged at these joints, also those that
// were made elsewhere in truth.
func everIn(r logbook.Reader, site string, joints []logbook.Joint) (out []logbook.Weld) {
	ids := map[string]bool{}
	for _, j := range joints {
		for _, id := range j.Welds {
			ids[id] = true
		}
		for _, m := range j.Moves {
			ids[m.Weld] = true
		}
	}
	for _, w := range r.Welds(site) {
		if ids[w.ID] {
			out = append(out, w)
		}
	}
	return out
}

// Said is an entry of a record as one line for a person. A decision on a finding,
// which is among the record's reviews, names the facts and not the
// finding's key; who decided stands beside the line, as with every other.
func Said(t logbook.Trace, reviews []logbook.Review) string {
	i := slices.IndexFunc(reviews, func(r logbook.Review) bool { return r.Seq == t.Seq })
	if i < 0 || t.Kind != reviews[i].Kind() || reviews[i].Digest == "" {
		return t.Line
	}
	verb := "not accepted"
	if reviews[i].Accepted {
		verb = "accepted"
	}
	return fmt.Sprintf("%s: %s: %s", verb, audit.Tell(reviews[i].Judged), reviews[i].Why)
}

// HasBatch tells whether a weld was ever recorded with a batch: of its fitting,
// coil or stub, as it stands or before a correction or a changed answer, or on a bag that
// was read. It is compared as recall compares it.
func HasBatch(w logbook.Weld, batch string) bool {
	if w.Bag != nil && recall.IsBatch(w.Bag.Batch, batch) {
		return true
	}
	return slices.ContainsFunc(w.Trail, recall.New(recall.Query{Batch: batch}).In)
}

// A gathering collects the lines of joints and welds, each entry once.
type gathering struct {
	joints []logbook.Joint
	on     []logbook.Joint // the same, each with the circuit of its pipe
	welds  []logbook.Weld
	days   map[string]bool // on which one of the welds was made
	seen   map[uint64]bool
	lines  []Happening
}

func (g *gathering) add(l Happening) {
	if !g.seen[l.Seq] {
		g.seen[l.Seq] = true
		g.lines = append(g.lines, l)
	}
}

func (g *gathering) trace(t logbook.Trace, reviews []logbook.Review, joint, weld string) {
	g.add(Happening{t.Seq, t.At, t.By, joint, weld, t.Kind, Said(t, reviews)})
}

func (g *gathering) sign(s logbook.Signature, joint, weld string, b logbook.Body) {
	at := s.At.Local().Format("2006-01-02T15:04:05Z07:00")
	g.add(Happening{s.Seq, at, s.By, joint, weld, b.Kind(), b.Line()})
}

// tell tells what was said of the welds, and of the joints where it is they
// that are asked for.
func (g *gathering) tell(q Query) {
	for _, w := range g.welds {
		for _, t := range w.Trail {
			g.trace(logbook.TraceOf(t), w.Reviews, w.Joint, w.ID)
		}
		if at, ok := w.FusedAt(); ok {
			g.days[at.Format("2006-01-02")] = true
		}
	}
	if q.Weld != "" || q.Batch != "" {
		return
	}
	for _, j := range g.joints {
		for _, t := range j.Trail {
			g.trace(logbook.TraceOf(t), j.Reviews, j.Label, "")
		}
	}
}

// tellSite tells what was said of the site and concerns the joints and welds:
// covers over them, signatures under their days, files about them, and what
// happened to them later.
func (g *gathering) tellSite(r logbook.Reader, s logbook.Site, q Query) {
	for _, c := range s.Covers {
		if slices.ContainsFunc(g.joints, func(j logbook.Joint) bool { return ahead.SectionOf(j) == c.Section }) {
			g.sign(c.Signature, "", "", c.Covered)
			if w := c.Withdrawn; w != nil {
				g.sign(w.Signature, "", "", logbook.CoverWithdrawn{Section: c.Section, Why: w.Why})
			}
		}
	}
	for _, c := range s.Ground {
		if slices.ContainsFunc(g.joints, func(j logbook.Joint) bool { return ahead.SectionOf(j) == c.Section }) {
			g.sign(c.Signature, "", "", c.GroundChecked)
			if w := c.Withdrawn; w != nil {
				g.sign(w.Signature, "", "", logbook.GroundWithdrawn{Section: c.Section, Why: w.Why})
			}
		}
	}
	for _, d := range s.Signed {
		if g.days[d.Day] {
			g.sign(d.Signature, "", "", d.DaySigned)
		}
	}
	for _, e := range s.Enclosed {
		if g.encloses(r, s, e, q) {
			g.sign(e.Signature, e.Joint, e.Weld, e.Enclosed)
		}
	}
	for _, e := range s.Events {
		if g.concerns(e) {
			g.sign(e.Signature, e.Joint, "", e.Happened)
		}
	}
}

func (g *gathering) encloses(r logbook.Reader, s logbook.Site, e logbook.Enclosure, q Query) bool {
	switch {
	case e.Weld != "":
		return slices.ContainsFunc(g.welds, func(w logbook.Weld) bool { return w.ID == e.Weld })
	case e.Joint != "":
		return g.has(e.Joint)
	case e.Shows() != "":
		return slices.ContainsFunc(g.joints, func(j logbook.Joint) bool { return ahead.ShowsJoint(r, s, e, j) })
	}
	// A file about no joint may still name the batch, as a certificate does.
	return q.Batch != "" && strings.Contains(fusion.Folded(e.What+" "+e.File), fusion.Folded(q.Batch))
}

func (g *gathering) has(label string) bool {
	return slices.ContainsFunc(g.joints, func(j logbook.Joint) bool { return j.Label == label })
}

// concerns tells whether an event happened to the joints: to one of them, to
// their circuit or chamber, or to the whole site.
func (g *gathering) concerns(e logbook.Event) bool {
	if e.Joint != "" {
		return g.has(e.Joint)
	}
	return slices.ContainsFunc(g.on, e.Touches)
}
