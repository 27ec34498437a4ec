package plan

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// A Difference is one thing that two plans say unlike each other. It is stored with
// what a person accepts of it: names, codes and figures as they are compared, which
// stay as they are. String puts it into words, and those may change.
type Difference struct {
	Of   string `json:"of,omitempty"` // a joint, a chamber or a port of it; "" for the site
	What string `json:"what"`
	A    string `json:"a,omitempty"` // "": this one does not have it
	B    string `json:"b,omitempty"`
}

// isThere is the code for a thing that stands in a plan of which the other has nothing.
const isThere = "there"

func (d Difference) worded(v string) string {
	if d.What == "" && v == isThere {
		return "is in the plan"
	}
	return cmp.Or(v, "none")
}

// String is the difference in a few words.
func (d Difference) String() string {
	return fmt.Sprintf("%s %s / %s", strings.TrimSpace(d.Of+" "+d.What), d.worded(d.A), d.worded(d.B))
}

// Differ says in what two plans of one site are unlike: in nothing, and they are
// alike whatever their words and the order of their lines. What a plan says of its
// own version is not of the site.
func Differ(a, b Plan) []Difference {
	d := differences{}
	d.add("", "client", a.Client, b.Client)
	d.add("", "firm", a.Firm, b.Firm)
	d.add("", "address", a.Address, b.Address)
	d.add("", "contract", a.Contract, b.Contract)
	d.add("", "scraping", a.Scraping, b.Scraping)
	d.add("", "longest since scraping", scraped(a), scraped(b))
	d.add("", "pressure test", a.PressureTest, b.PressureTest)
	d.add("", "before welding", inOrder(a.BeforeWelding), inOrder(b.BeforeWelding))
	d.add("", "before cover", inOrder(a.BeforeCover), inOrder(b.BeforeCover))
	d.add("", "least cover", metres(a.LeastCoverM), metres(b.LeastCoverM))
	d.add("", "set-out within", metres(a.SetOutWithinM), metres(b.SetOutWithinM))
	d.byName(a.ports(), b.ports())
	d.byName(factoryBy(a.NotOurs()), factoryBy(b.NotOurs()))
	d.byName(jointsBy(a.Joints()), jointsBy(b.Joints()))
	return d.found
}

// Unlike says in what two joints of one label are unlike.
func (j Joint) Unlike(o Joint) []Difference {
	d := differences{}
	d.byName(jointsBy([]Joint{j}), jointsBy([]Joint{o}))
	return d.found
}

type differences struct{ found []Difference }

// add holds two texts against each other; case and blanks do not count.
func (d *differences) add(of, what, a, b string) {
	a, b = strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " ")
	if fold(a) != fold(b) {
		d.found = append(d.found, Difference{of, what, a, b})
	}
}

// said are what a plan says of one thing, each with its name.
type said [][2]string

// byName holds what two plans say of the things of one kind against each other. One
// that stands in one of them only is one difference.
func (d *differences) byName(a, b map[string]said) {
	names := maps.Clone(a)
	maps.Copy(names, b)
	for _, name := range slices.Sorted(maps.Keys(names)) {
		in, other := a[name], b[name]
		if in == nil || other == nil {
			d.add(name, "", there(in), there(other))
			continue
		}
		for i := range in {
			d.add(name, in[i][0], in[i][1], other[i][1])
		}
	}
}

func there(s said) string {
	if s == nil {
		return ""
	}
	return isThere
}

func (p Plan) ports() map[string]said {
	out := map[string]said{}
	for _, c := range p.Chambers {
		out["chamber "+c.Name] = said{{"lid", c.Lid}, {"level", height(c.LevelM)}, {"lid height", height(c.LidM)}}
		for _, at := range c.Ports {
			out[fmt.Sprintf("chamber %s port %d", c.Name, at.No)] = said{{"row", at.Row}, {"rail", at.Bar}, {"stub", size(at.OdMM, float64(at.SDR))}}
		}
	}
	return out
}

// inOrder are words whose order says nothing.
func inOrder(words []string) string { return strings.Join(slices.Sorted(slices.Values(words)), ", ") }

func metres(m float64) string {
	if m == 0 {
		return ""
	}
	return height(&m)
}

func height(m *float64) string {
	if m == nil {
		return ""
	}
	return fmt.Sprintf("%g m", *m)
}

func scraped(p Plan) string {
	if p.ScrapedMin == 0 {
		return ""
	}
	return fmt.Sprintf("%d min", p.ScrapedMin)
}

func size(od int, sdr float64) string {
	if od == 0 && sdr == 0 {
		return ""
	}
	return fmt.Sprintf("%d mm SDR %g", od, sdr)
}

func factoryBy(list []NotOurs) map[string]said {
	out := map[string]said{}
	for _, n := range list {
		out["factory joint "+n.Label] = said{{"chamber", n.Chamber}, {"place", n.Where}, {"certificate", n.Certificate}, {"ends", endsOf(n.Joint)}}
	}
	return out
}

func jointsBy(list []Joint) map[string]said {
	out := map[string]said{}
	for _, j := range list {
		port, circuit := "", ""
		if j.Port > 0 {
			port = fmt.Sprint(j.Port)
		}
		if j.Circuit > 0 {
			circuit = fmt.Sprintf("%d%s", j.Circuit, j.Leg)
		}
		out["joint "+j.Label] = said{
			{"chamber", j.Chamber}, {"circuit", circuit}, {"header", j.Way}, {"port", port}, {"fitting", j.Fitting}, {"pipe", size(j.OdMM, float64(j.SDR))},
			{"length", fmt.Sprintf("%g m", j.LengthM)}, {"tape", j.Tape}, {"place", j.Where}, {"moves with", j.Pipe}, {"ends", endsOf(j)}, {"probe", j.Probe},
		}
	}
	return out
}

// endsOf are the ends of a joint as they are compared.
func endsOf(j Joint) string {
	var parts []string
	for _, e := range j.Ends {
		parts = append(parts, strings.TrimSpace(size(e.OdMM, float64(e.SDR))+" "+e.Pipe))
	}
	return strings.Join(parts, ", ")
}
