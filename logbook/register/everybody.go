package register

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"coolhold/logbook"
)

// An Involved is a person whose name stands anywhere in a report, with all that the log
// says of who that is.
type Involved struct {
	Name       string
	Role, Firm string   // "": not in the log
	Notes      string   // other writings, who works alone
	Cards      []Person // as an operator of the shifts: number, expiry, days
	Did        []string // "welded 3", "given up 1", "accepted 2"
	Unlisted   bool     // decided something, and is on no shift and no list of people
}

// Who is a person with role and firm, as far as the log has them.
func (p Involved) Who() string {
	if more := logbook.Joined(", ", p.Role, p.Firm); more != "" {
		return p.Name + " (" + more + ")"
	}
	return p.Name
}

// Everybody are all persons of a report: those on its list of people, those of the shifts,
// then whoever else is named under anything that it shows.
func (rep Report) Everybody() []Involved {
	e := everybody{site: rep.Site, at: map[string]int{}}
	for i, n := range rep.Named {
		e.all = append(e.all, Involved{Name: n.Name, Role: n.Role, Firm: n.Firm, Notes: n.Notes()})
		for _, name := range append([]string{n.Name}, n.Also...) {
			e.at[name] = i
		}
	}
	for _, c := range rep.People {
		if p := e.of(c.Name); p != nil {
			p.Cards = append(p.Cards, c)
		}
	}
	welded := map[string]*[len(begun)]int{}
	for _, row := range rep.Rows {
		if p := e.of(row.Weld.Operator); p != nil {
			if welded[p.Name] == nil {
				welded[p.Name] = new([len(begun)]int)
			}
			welded[p.Name][became(row.Weld)]++
		}
	}
	for _, d := range rep.doers {
		p := e.of(d.Name)
		p.Did, p.Unlisted = append(p.Did, d.Did...), p.Unlisted || d.Unlisted && d.decided
	}
	for _, row := range rep.Rows {
		if p := e.of(row.Weld.Operator); p != nil {
			p.onDay(row)
		}
	}
	for _, name := range rep.names() {
		e.of(name)
	}
	for i, p := range e.all {
		if n := welded[p.Name]; n != nil {
			var did []string
			for k, word := range begun {
				if n[k] > 0 {
					did = append(did, fmt.Sprintf("%s %d", word, n[k]))
				}
			}
			e.all[i].Did = append(did, p.Did...)
		}
	}
	return e.all
}

// begun are the words for what became of the welds that a person began: one is of no more than
// one of them.
var begun = [...]string{"welded", "given up", "being made"}

// became says which of them a weld is. What was cut out was welded.
func became(w logbook.Weld) int {
	switch {
	case w.Abandoned != "":
		return 1
	case w.Walking():
		return 2
	}
	return 0
}

// onDay adds the day of a weld to the card under which it was welded: a shift may go on for
// more than its day, and of a weld from paper there is none.
func (p *Involved) onDay(row Row) {
	on := row.When().Format(time.DateOnly)
	card, _ := row.Shift.Operator(row.Weld.Operator)
	i := slices.IndexFunc(p.Cards, func(c Person) bool { return row.Shift.ID != "" && c.Operator == card })
	loose := i < 0
	if i = max(i, 0); i >= len(p.Cards) || loose && slices.ContainsFunc(p.Cards, func(c Person) bool { return slices.Contains(c.Days, on) }) {
		return
	}
	c := p.Cards[i]
	if slices.Contains(c.Days, on) {
		return
	}
	c.Days = append(slices.Clone(c.Days), on)
	slices.Sort(c.Days)
	if !loose {
		c.still = c.still.with(on, row.Shift.Day)
	}
	if loose {
		c.loose = append(slices.Clone(c.loose), on)
	}
	p.Cards[i] = c
}

// A WorkDay is what one welder began on one day with one control unit.
type WorkDay struct {
	Day, Welder, Unit               string
	Welded, CutOut, GivenUp, InWalk []string // CutOut: of Welded
}

// Which names its welds.
func (d WorkDay) Which() []string {
	out := slices.Concat(d.Welded, d.GivenUp, d.InWalk)
	slices.Sort(out)
	return out
}

type workKey struct{ day, welder, unit string }

// WorkDays are those of the welds that are listed, by day, each weld in one: their sums are what
// Everybody did.
func (rep Report) WorkDays() (out []WorkDay) {
	e := everybody{site: rep.Site, at: map[string]int{}}
	for _, p := range rep.Everybody() {
		e.at[p.Name], e.all = len(e.all), append(e.all, p)
	}
	at := map[workKey]int{}
	for _, row := range rep.Rows {
		w := row.Weld
		if w.ID == "" {
			continue
		}
		k := workKey{row.When().Format(time.DateOnly), "", w.Unit}
		if p := e.of(w.Operator); p != nil {
			k.welder = p.Name
		}
		i, had := at[k]
		if !had {
			i, at[k] = len(out), len(out)
			out = append(out, WorkDay{Day: k.day, Welder: k.welder, Unit: k.unit})
		}
		switch d := &out[i]; became(w) {
		case 0:
			if d.Welded = append(d.Welded, w.ID); w.CutOut != nil {
				d.CutOut = append(d.CutOut, w.ID)
			}
		case 1:
			d.GivenUp = append(d.GivenUp, w.ID)
		default:
			d.InWalk = append(d.InWalk, w.ID)
		}
	}
	slices.SortStableFunc(out, func(x, y WorkDay) int {
		return cmp.Or(cmp.Compare(x.Day, y.Day), cmp.Compare(x.Welder, y.Welder), cmp.Compare(x.Unit, y.Unit))
	})
	return out
}

// everybody are persons while they are gathered. A name that was met once is not compared
// with all others again.
type everybody struct {
	site logbook.Site
	all  []Involved
	at   map[string]int
}

// of is the person of a name, nil for none.
func (e *everybody) of(name string) *Involved {
	if name == "" {
		return nil
	}
	i, met := e.at[name]
	if !met {
		if i = slices.IndexFunc(e.all, func(p Involved) bool { return e.site.SameName(p.Name, name) }); i < 0 {
			i, e.all = len(e.all), append(e.all, Involved{Name: name})
		}
		e.at[name] = i
	}
	return &e.all[i]
}

// names are those that stand under what a report shows.
func (rep Report) names() (out []string) {
	add := func(names ...string) { out = append(out, names...) }
	back := func(w *logbook.Withdrawal) {
		if w != nil {
			add(w.By)
		}
	}
	s := rep.Site
	for _, f := range rep.Findings {
		if f.Accepted != nil {
			add(f.Accepted.By)
		}
	}
	for _, row := range rep.Rows {
		for _, t := range row.Told {
			add(t.By)
		}
	}
	for _, t := range rep.Tests {
		add(t.By)
		back(t.Withdrawn)
	}
	for _, l := range rep.Loop {
		add(l.By)
		back(l.Back)
	}
	for _, g := range rep.Ground {
		add(g.By)
		back(g.Back)
	}
	for _, c := range s.Covers {
		add(c.By)
		back(c.Withdrawn)
	}
	for _, g := range s.Signed {
		add(g.By)
	}
	for _, e := range s.Events {
		add(e.By)
	}
	for _, e := range s.Enclosed {
		add(e.By)
	}
	for _, t := range rep.Tables {
		add(t.ReadBack)
	}
	for _, o := range s.Same {
		add(o.By)
	}
	for _, n := range rep.Named {
		add(n.AloneBy)
	}
	return out
}
