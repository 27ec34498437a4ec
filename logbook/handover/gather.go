package handover

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/labels"
)

// A gathering is what a hand-over is made from.
type gathering struct {
	r        logbook.Reader
	s        logbook.Site
	res      audit.Result
	sections []ahead.TestSection
	labels   []labels.Label
}

// dayOf is how a day is written for somebody who was not there.
const dayOf = "2 Jan 2006"

func tenth(x float64) *float64 { return new(math.Round(x*10) / 10) }

func (g gathering) section(id logbook.SectionID) (ahead.TestSection, bool) {
	if t, known := ahead.SectionIn(g.sections, id); known {
		return t, true
	}
	return ahead.TestSection{ID: id, Name: id.String()}, false
}

func (g gathering) name(id logbook.SectionID) string { t, _ := g.section(id); return t.Name }

// pipes are the circuits and headers; of a site without any it is all of it.
func (g gathering) pipes() []ahead.TestSection {
	pipes := slices.DeleteFunc(slices.Clone(g.sections), func(t ahead.TestSection) bool { return t.ID.Circuit == 0 && t.ID.Way == "" })
	if all, _ := g.section(logbook.SectionID{}); len(pipes) == 0 {
		return []ahead.TestSection{all}
	}
	return pipes
}

func meet(a, b logbook.SectionID) bool { return a.Holds(b) || b.Holds(a) }

// pipeOf are the pipes of a section in words: those of one size and class together.
func pipeOf(t ahead.TestSection) string {
	type size struct {
		od  int
		sdr fusion.SDR
	}
	var order []size
	length, unknown := map[size]float64{}, map[size]bool{}
	for _, p := range t.Pipes {
		k := size{p.OdMM, p.SDR}
		if !slices.Contains(order, k) {
			order = append(order, k)
		}
		length[k], unknown[k] = length[k]+p.LengthM, unknown[k] || p.LengthM == 0
	}
	var says []string
	for _, k := range order {
		od, sdr, long := "size not stated", "SDR not stated", "length not stated"
		if k.od > 0 {
			od = fmt.Sprintf("%d mm", k.od)
		}
		if k.sdr > 0 {
			sdr = "SDR " + k.sdr.String()
		}
		if !unknown[k] {
			long = fusion.Figure(length[k]) + " m"
		}
		says = append(says, od+" "+sdr+", "+long)
	}
	return cmp.Or(strings.Join(says, " + "), "no pipe of it is in the plan")
}

func litresOf(t ahead.TestSection) *float64 {
	if litres, known := t.Litres(); known {
		return tenth(litres)
	}
	return nil
}

// goes is what a plumber does with a header.
var goes = map[string]string{
	logbook.FromGround: "goes into the heat pump's ground side",
	logbook.ToGround:   "comes from the heat pump's ground side",
}

// headers are those of the site, from ground before to ground in each chamber.
func (g gathering) headers() []Header {
	out := []Header{}
	for _, t := range g.sections {
		if t.ID.Way == "" {
			continue
		}
		h := Header{Mark: t.ID.Way, Chamber: t.ID.Chamber, Pipe: pipeOf(t), LitresL: litresOf(t), Test: g.testSaid(t)}
		for _, l := range g.labels {
			if l.Purpose == labels.Header && l.Chamber == t.ID.Chamber && logbook.WayMark(l.Way) == t.ID.Way {
				h.Way, h.Joint, h.Label = l.Way, l.Joint, l.Title()
			}
		}
		h.Goes = goes[h.Way]
		h.End = g.saidOf(t.ID, func(l logbook.LeftAs) string { return l.End })
		h.Marked = g.saidOf(t.ID, func(l logbook.LeftAs) string { return l.Mark })
		out = append(out, h)
	}
	slices.SortStableFunc(out, func(a, b Header) int { return cmp.Or(cmp.Compare(a.Chamber, b.Chamber), cmp.Compare(a.Mark, b.Mark)) })
	return out
}

func (g gathering) circuits() []Circuit {
	out := []Circuit{}
	for _, t := range g.sections {
		if t.ID.Circuit == 0 {
			continue
		}
		c := Circuit{Name: t.Name, Chamber: t.ID.Chamber, No: t.ID.Circuit, Ports: []Leg{}, Pipe: pipeOf(t), LitresL: litresOf(t), Test: g.testSaid(t)}
		for _, l := range g.labels {
			if l.Purpose == labels.Leg && l.Chamber == t.ID.Chamber && l.Circuit == t.ID.Circuit {
				c.Tape, c.Probe = cmp.Or(c.Tape, l.Tape), cmp.Or(c.Probe, l.Probe)
				c.Ports = append(c.Ports, Leg{l.Joint, l.Port, l.Bar})
			}
		}
		slices.SortStableFunc(c.Ports, func(a, b Leg) int { return cmp.Compare(a.Rail, b.Rail) }) // from ground first
		c.LPM, c.Flow, c.set = g.flow(t)
		c.alone, c.against = g.flowShort(t)
		out = append(out, c)
	}
	return out
}

// flow is that of a circuit: as it was set by hand, else what it showed while it alone was
// open, which is another thing.
func (g gathering) flow(t ahead.TestSection) (lpm *float64, says string, byHand bool) {
	var set *logbook.Left
	for _, l := range g.s.Loop.Lefts {
		if l.Section == t.ID && l.Withdrawn == nil && l.LPM != nil && (set == nil || !l.When().Before(set.When())) {
			set = &l
		}
	}
	alone := ahead.FlowSeenIn(g.s.Loop, t.ID)
	f, found := g.s.Loop.FlowOf(t.ID)
	if found {
		alone = g.alone(f)
	}
	switch {
	case set != nil:
		return set.LPM, logbook.Joined("; ", fmt.Sprintf("set to %s L/min, %s", fusion.Figure(*set.LPM), set.When().Local().Format(dayOf)), alone), true
	case found:
		return f.LPM, "not recorded as set; " + alone, false
	}
	return nil, logbook.Joined("; ", "as set: not recorded", alone), false
}

// alone is what a circuit showed while it alone was open, with what stands against it.
func (g gathering) alone(f logbook.FlowCheck) string {
	res := ahead.FlowStands(g.s.Loop, f.FlowChecked)
	says := "opened alone "
	switch {
	case f.LPM == nil:
		says += "its gauge was not read"
	case res.AtEnd:
		says += "it showed " + fusion.Figure(*f.LPM) + " L/min or more"
	default:
		says += "it showed " + fusion.Figure(*f.LPM) + " L/min"
	}
	if res.Outcome == ahead.Crossed || res.Outcome == ahead.NoFlow {
		says += "; " + res.Says
	}
	return says + ", " + f.When().Local().Format(dayOf)
}

// flowShort is the same for a lid: what it showed opened alone, and what stands against it,
// each in a few words.
func (g gathering) flowShort(t ahead.TestSection) (alone, against string) {
	if ahead.FlowSeenIn(g.s.Loop, t.ID) != "" {
		against = legsCrossed
	}
	f, found := g.s.Loop.FlowOf(t.ID)
	if !found {
		return "", against
	}
	res := ahead.FlowStands(g.s.Loop, f.FlowChecked)
	switch {
	case f.LPM == nil:
		alone = "gauge not read, opened alone"
	case res.AtEnd:
		alone = fusion.Figure(*f.LPM) + " L/min or more, opened alone"
	default:
		alone = fusion.Figure(*f.LPM) + " L/min, opened alone"
	}
	switch res.Outcome {
	case ahead.Crossed:
		against = legsCrossed
	case ahead.NoFlow:
		against = "no flow in any gauge"
	}
	return alone, against
}

const legsCrossed = "legs are crossed"

// newestTest is the newest test that ended of sections that a condition picks.
func (g gathering) newestTest(is func(audit.Tested) bool) (audit.Tested, bool) {
	for _, t := range slices.Backward(g.res.Tests()) {
		if t.Ended != nil && is(t) {
			return t, true
		}
	}
	return audit.Tested{}, false
}

// testSaid is what is recorded of pressure tests of a pipe: its own newest, else one of
// what holds it.
func (g gathering) testSaid(s ahead.TestSection) string {
	if t, found := g.newestTest(func(t audit.Tested) bool { return t.Section == s.ID }); found {
		return t.Line()
	}
	if t, found := g.newestTest(func(t audit.Tested) bool { return t.Section != s.ID && t.Section.Holds(s.ID) }); found {
		return "with " + g.name(t.Section) + ": " + t.Line()
	}
	return "none is recorded"
}

// tests are the newest test of each section that has one, and each that goes on.
func (g gathering) tests() []Tested {
	out := []Tested{}
	for _, s := range g.sections {
		if t, found := g.newestTest(func(t audit.Tested) bool { return t.Section == s.ID }); found {
			out = append(out, Tested{s.Name, t.Line(), shortTest(t)})
		}
		for _, t := range g.res.Tests() {
			if t.Section == s.ID && t.Ended == nil {
				out = append(out, Tested{s.Name, t.Line(), shortTest(t)})
			}
		}
	}
	return out
}

// shortTest is a test without its number.
func shortTest(t audit.Tested) string {
	return fmt.Sprintf("%s, %s: %s", t.When().Local().Format(dayOf), t.Stage, t.Came())
}

// untested are the joints that no pressure test holds, as they stand now.
func (g gathering) untested() []string {
	out := []string{}
	for _, j := range g.r.Joints(g.s.ID) {
		held := func(t audit.Tested) bool { return t.Holds() && t.Holding(j.Label) }
		if j.Counts() && !slices.ContainsFunc(g.res.Tests(), held) {
			out = append(out, j.Label)
		}
	}
	return out
}

// MadeUntested are the joints in which a weld stands that no pressure test holds. One without a
// weld is none of them: there is nothing in it to be tested.
func (h Handover) MadeUntested() []string {
	return slices.DeleteFunc(slices.Clone(h.Untested), func(label string) bool { return slices.Contains(h.NoWeld, label) })
}

// open are the findings that are open, as they are counted elsewhere.
func (g gathering) open() []Open {
	out := []Open{}
	for _, group := range audit.Groups(g.res.Open()) {
		word := group.First().Word()
		i := slices.IndexFunc(out, func(o Open) bool { return o.What == word })
		if i < 0 {
			i, out = len(out), append(out, Open{What: word, At: []string{}})
		}
		out[i].Count += group.Counts()
		for _, f := range group.Findings {
			at := g.place(f)
			if !slices.Contains(out[i].At, at) {
				out[i].At = append(out[i].At, at)
			}
			if word != toDo {
				out[i].Says = append(out[i].Says, at+": "+f.Says)
			}
		}
	}
	return out
}

// elsewhere says where joints lie whose label names neither circuit nor header.
func (g gathering) elsewhere() (says []string) {
	for _, j := range g.r.Joints(g.s.ID) {
		if j.Counts() && j.Circuit == 0 && j.Where != "" {
			says = append(says, j.Label+": "+j.Where)
		}
	}
	return says
}

// onSite is where a finding is that is on no joint.
const onSite = "the site"

func (g gathering) place(f audit.Finding) string {
	if f.Joint == "" && f.Weld != "" {
		w, _ := g.r.Weld(g.s.ID, f.Weld)
		return cmp.Or(w.Joint, onSite)
	}
	if id := g.res.TestIn(f); f.Joint == "" && id != "" {
		return "pressure test " + id
	}
	return cmp.Or(f.Joint, onSite)
}

func (g gathering) chambers() []Chamber {
	out := []Chamber{}
	for _, c := range g.s.Chambers {
		k := Chamber{Name: c.Name, Lid: c.Lid, Year: g.year(c.Name), Ports: []Port{}}
		for _, p := range ahead.PortsOf(g.r, g.s, c.Name) {
			port := Port{No: p.No, Row: p.Row, Rail: p.Bar}
			for _, l := range g.labels {
				if l.Purpose == labels.Leg && l.Chamber == c.Name && l.Port == p.No {
					port.Joint = logbook.Joined(" and ", port.Joint, l.Joint)
				}
			}
			k.Ports = append(k.Ports, port)
		}
		out = append(out, k)
	}
	return out
}

// year is that of the newest weld that stands in a chamber.
func (g gathering) year(chamber string) string {
	var last time.Time
	for _, j := range g.r.Joints(g.s.ID) {
		if w, ok := g.r.Weld(g.s.ID, j.Stands); ok && j.Chamber == chamber {
			if at, fused := w.FusedAt(); fused && at.After(last) {
				last = at
			}
		}
	}
	if last.IsZero() {
		return ""
	}
	return last.Format("2006")
}
