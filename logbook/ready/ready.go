// Package ready puts plan, tables, kit and shift of a site side by side before
// anything is scraped, and says of each thing what is short and by how much. It
// stores nothing and computes no welding figure; what was not declared is "not
// known" and never guessed.
package ready

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/kit"
)

// A State says in a word or two how a line stands.
type State string

// The states, the worst first. NoShortage is the best that a line about power
// can be: what is compared there understates what is drawn.
const (
	Short      State = "short"
	Open       State = "open" // something is still to be done or said
	NotKnown   State = "not known"
	NoShortage State = "no shortage found"
	InOrder    State = "in order"
)

// States are all states, the worst first.
var States = []State{Short, Open, NotKnown, NoShortage, InOrder}

// Settled tells whether nothing need be done about a line.
func (s State) Settled() bool { return s == NoShortage || s == InOrder }

// A Comparison is one thing that was compared.
type Comparison struct {
	Slug    string `json:"slug"`            // what was compared; never changes
	About   string `json:"about,omitempty"` // the fitting, control unit or person meant
	State   State  `json:"state"`
	Says    string `json:"says"`
	Basis   string `json:"basis"`
	Assumed bool   `json:"assumed"` // the basis is an assumption, not something declared or read
}

// String gives "STATE: what it says".
func (l Comparison) String() string { return string(l.State) + ": " + l.Says }

// Ground gives what the line stands on, an assumption marked as one.
func (l Comparison) Ground() string {
	if l.Assumed {
		return "assumed: " + l.Basis
	}
	return "by: " + l.Basis
}

// Given are what is known besides the log.
type Given struct {
	Now    fusion.Stamp
	Expect *Range   // ambient temperatures expected; nil: the last reading of today
	Kit    *kit.Kit // in place of the newest kit of the log; nil: that one
}

// Check compares what is needed for the open joints of a site with what is
// there, a line each, in the order of the work; none for a site that is not in
// the log.
func Check(r logbook.Reader, site string, o Given) []Comparison {
	s, ok := r.Site(site)
	if !ok {
		return nil
	}
	c := gather(r, s, o)
	if len(c.needs) == 0 {
		return []Comparison{{Slug: "joints", State: InOrder, Says: "no joint is open, so nothing is needed", Basis: "the plan and what was welded"}}
	}
	for _, check := range []func(*compared){rows, ends, ambient, units, pins, volts, longest, power, plates, mains, extension, unreel, qualifications, calibrations, tools, pick, factory} {
		check(c)
	}
	return c.lines
}

// WorstFirst is the lines with what is short first; the order is kept within a
// state.
func WorstFirst(lines []Comparison) []Comparison {
	lines = slices.Clone(lines)
	slices.SortStableFunc(lines, func(a, b Comparison) int {
		return cmp.Compare(slices.Index(States, a.State), slices.Index(States, b.State))
	})
	return lines
}

// Settled tells whether no line is short, open or not known.
func Settled(lines []Comparison) bool {
	return !slices.ContainsFunc(lines, func(l Comparison) bool { return !l.State.Settled() })
}

// A need is one fitting that open joints ask for, with the row that would be
// used for it.
type need struct {
	name   string
	joints []logbook.Joint
	row    logbook.TableRow
	err    error // why the row may not be used
}

// known tells whether some table has the fitting, be it read back or not.
func (n need) known() bool { return n.row.Fitting.Name != "" }

func (n need) labels() string { return labels(n.joints) }

func labels(joints []logbook.Joint) string {
	var names []string
	for _, j := range joints {
		names = append(names, j.Label)
	}
	return strings.Join(names, ", ")
}

// compared is everything side by side, and the lines so far.
type compared struct {
	o        Given
	r        logbook.Reader
	site     logbook.Site
	needs    []need
	kit      kit.Kit
	kitBasis string        // "" where no kit is known
	taken    *fusion.Stamp // when it was declared; nil: now
	shift    logbook.Shift
	temp     temperature
	lines    []Comparison
}

func (c *compared) add(slug, about string, state State, basis, format string, args ...any) *Comparison {
	says := logbook.Clean(fmt.Sprintf(format, args...))
	c.lines = append(c.lines, Comparison{Slug: slug, About: logbook.Clean(about), State: state, Says: says, Basis: logbook.Clean(basis)})
	return &c.lines[len(c.lines)-1]
}

func gather(r logbook.Reader, s logbook.Site, o Given) *compared {
	c := &compared{o: o, r: r, site: s, needs: needs(r, s)}
	if o.Kit != nil {
		c.kit, c.kitBasis = *o.Kit, "the kit as given, not taken into the log"
	} else if k, ok := logbook.KitOf(s); ok {
		c.taken = &s.Kit.At
		c.kit, c.kitBasis = k, fmt.Sprintf("the kit as declared by %s on %s", s.Kit.By, s.Kit.At.Local().Format(dateLayout))
	}
	id := s.Shift
	if n := len(s.Shifts); id == "" && n > 0 {
		id = s.Shifts[n-1]
	}
	c.shift, _ = r.Shift(s.ID, id)
	c.temp = temperatureOf(s, o)
	return c
}

// needs are the fittings of the open joints, in the order in which they are
// welded.
func needs(r logbook.Reader, s logbook.Site) []need {
	shelf := logbook.ShelfOf(s)
	var out []need
	for _, j := range ahead.OpenJoints(r, s.ID) {
		i := slices.IndexFunc(out, func(n need) bool { return n.name == j.Fitting })
		if i < 0 {
			row, err := shelf.Row(j.Fitting)
			out, i = append(out, need{name: j.Fitting, row: row, err: err}), len(out)
		}
		out[i].joints = append(out[i].joints, j)
	}
	return out
}

// rows compares each fitting with its row and its pipe.
func rows(c *compared) {
	const basis = "the plan and the fitting's own table"
	for _, n := range c.needs {
		title := n.row.Ref.Title
		switch {
		case n.name == "":
			c.add("row", "", NotKnown, basis, "which fitting %s needs: the plan names none", n.labels())
			continue
		case errors.Is(n.err, logbook.ErrUnknown):
			c.add("row", n.name, Short, basis, "%s is in no table of this site: %s missing for %s", n.name, logbook.Count(1, "row"), n.labels())
			continue
		case n.row.Ref.ReadBack == "":
			c.add("row", n.name, Open, basis, "%s: its table %q is not read back against its print yet", n.name, title)
		case n.err != nil:
			c.add("row", n.name, Short, basis, "%s: its row in table %q is stopped by a bag: a corrected table is missing", n.name, title)
		}
		fits(c, n, basis)
	}
}

func fits(c *compared, n need, basis string) {
	before := len(c.lines)
	var unstated []logbook.Joint
	for _, j := range n.joints {
		if err := j.Fits(n.row.Fitting); err != nil {
			c.add("fits", n.name, Short, basis, "%s: %v", j.Label, err)
		} else if !j.Stated() {
			unstated = append(unstated, j)
		}
	}
	if len(unstated) > 0 {
		c.add("fits", n.name, NotKnown, basis, "whether %s fits at %s: the plan does not state size and SDR of all that meets there", n.name, labels(unstated))
	}
	if n.err == nil && len(c.lines) == before {
		c.add("row", n.name, InOrder, basis, "%s: in table %q, read back by %s; fits %s", n.name, n.row.Ref.Title, n.row.Ref.ReadBack, n.labels())
	}
}

// pick lists the fittings to take along against what is in the van.
func pick(c *compared) {
	const reserve = "; a reserve is yours to add"
	if c.kitBasis == "" || len(c.kit.Stock) == 0 {
		var list []string
		for _, n := range c.needs {
			list = append(list, fmt.Sprintf("%d × %s", len(n.joints), n.name))
		}
		c.add("pick", "", NotKnown, "the open joints of the plan"+reserve, "what is in the van; needed are %s", strings.Join(list, ", "))
		return
	}
	basis := c.kitBasis + reserve
	for _, s := range ahead.StockOf(c.r, c.site.ID, c.kit, c.taken) {
		switch {
		case s.Short() > 0:
			c.add("pick", s.Fitting, Short, basis, "%s", s)
		case s.GivenUp > 0 && s.GivenUp > s.Left()-s.Needed: // if each was spoiled it would not do
			c.add("pick", s.Fitting, NotKnown, basis, "%s", s)
		default:
			c.add("pick", s.Fitting, InOrder, basis, "%s", s)
		}
	}
}
