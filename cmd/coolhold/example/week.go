package example

import (
	"fmt"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// The example of an office: three crews for a week, each with a site of its own. One
// batch of couplers fails more than the other, on two of the sites.

// A Crew is one of the three. All of them are invented.
type Crew struct {
	Name string // as the office calls it
	Tag  string
	site string
	who  string
	unit string
	bad  bool // it got the batch that fails
}

// Crews are the three.
var Crews = []Crew{
	{Name: "crew north (invented)", Tag: "NA", site: "Hollin Bank (invented)", who: "Ona Brill", unit: "CU-208", bad: true},
	{Name: "crew dale (invented)", Tag: "NB", site: "Skell Meadow (invented)", who: "Tam Velding", unit: "CU-311"},
	{Name: "crew coast (invented)", Tag: "NC", site: "Tarn End (invented)", who: "Wim Askell", unit: "CU-417", bad: true},
}

// The batches of couplers: what the crews began with, and what came on Wednesday.
const (
	firstBatch = "W-4000-7"
	BadBatch   = "W-4000-9"
)

// Of a week.
const (
	WorkDays = 5
	legsADay = 4
	circuits = WorkDays * legsADay / 2
)

// SilentDays is for how many days the crew that is silent surely is, at any time of the
// day after the week, and no other: what they sent on the last evening is 6 to 30 hours
// old then, what that crew sent on the third evening at least 54.
const SilentDays = 2

// A Laptop is a crew's, with its log.
type Laptop struct {
	Crew
	p    *pen
	day  int
	anew bool
}

// NewLaptop opens the crew's site in an empty log, on a Monday morning.
func NewLaptop(log Log, c Crew, monday fusion.Stamp) (*Laptop, error) {
	p := &pen{log: log, base: monday.Local()}
	p.h.At, p.h.By = monday, c.who
	p.do(func(h acts.Head) acts.Act {
		return acts.OpenSite(h, acts.File{Name: "plan.toml", Text: weekPlan(c.site)}, []acts.File{{Name: "table.toml", Text: tableText}})
	})
	if p.err != nil {
		return nil, p.err
	}
	p.h.Site = p.last[0].Site
	p.do(func(h acts.Head) acts.Act { return acts.ReadBack(h, logbook.Hash(tableText)) })
	return &Laptop{Crew: c, p: p}, p.err
}

// Anew is the laptop set up again from a copy of its log as it is now: what it writes
// from here on is not what the first one does.
func (l *Laptop) Anew(log Log) *Laptop {
	p := *l.p
	p.log = log
	return &Laptop{Crew: l.Crew, p: &p, day: l.day, anew: true}
}

// Day makes the welds of the crew's next day. A laptop that was set up anew is with the
// part of the crew that begins at the other end.
func (l *Laptop) Day() error {
	p := l.p
	at := p.base.AddDate(0, 0, l.day)
	p.h.At = fusion.Stamp{Wall: at.UTC(), Offset: p.h.At.Offset, Boot: time.Hour, BootID: fmt.Sprintf("%s day %d %t", l.Tag, l.day, l.anew), Machine: "laptop " + l.Tag}
	p.h.By, p.h.Shift = l.who, ""
	p.do(func(h acts.Head) acts.Act {
		s := shift(h.At.Local(), p.base, logbook.Weather{Sky: "dry", Shelter: "none"})
		s.Operators = []logbook.Operator{{Name: l.who, Mark: initials(l.who), Number: "Q-3100 (invented)", Expiry: p.base.AddDate(1, 0, 0).Format(time.DateOnly)}}
		s.Units[0].Serial = l.unit
		return acts.StartShift(h, s)
	})
	if p.err != nil {
		return p.err
	}
	p.h.Shift = p.last[0].Shift
	legs := weekLegs[l.day*legsADay : (l.day+1)*legsADay]
	if l.anew {
		legs = weekLegs[len(weekLegs)-2:]
	}
	before, looks := "", ""
	for i, leg := range legs {
		m, second := manner{batch: firstBatch, unit: l.unit}, logbook.Up
		if l.bad && l.day >= 2 {
			m.batch = BadBatch
			if (i+l.day)%3 == 0 {
				second = logbook.Flat
			}
		}
		id := p.weld(leg, m)
		if before != "" {
			p.release(before, looks)
		}
		before, looks = id, second
	}
	p.wait(10 * time.Minute) // it cools
	p.release(before, looks)
	p.do(acts.CloseShift)
	l.day++
	return p.err
}

// weekLegs are the legs in the order in which they are welded: the low ports first.
var weekLegs = func() (legs []string) {
	for _, leg := range []string{"A", "B"} {
		for n := range circuits {
			legs = append(legs, fmt.Sprint(n+1, leg))
		}
	}
	return legs
}()

func initials(name string) (mark string) {
	for word := range strings.FieldsSeq(name) {
		mark += word[:1]
	}
	return mark
}

// weekPlan is a site of one chamber with ten circuits; lengths are invented.
func weekPlan(site string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "site = %q\nclient = \"Ilse Marden (invented)\"\nfirm = \"Fold & Ferry Ground Loops (invented)\"\naddress = \"%s, Nether Wold\"\n[require]\nscraping = \"rotary scraper\"\n", site, site)
	fmt.Fprint(&b, "[[chamber]]\nname = \"A\"\nlid = \"below ground\"\nstub_od_mm = 40\nstub_sdr = 11\nports = [\n")
	for n := range circuits {
		fmt.Fprintf(&b, "  {no = %d, row = \"low\", rail = \"from ground\"},\n  {no = %d, row = \"high\", rail = \"to ground\"},\n", n+1, n+1+circuits)
	}
	fmt.Fprint(&b, "]\n")
	for n := range circuits {
		fmt.Fprintf(&b, "[[chamber.circuit]]\nno = %d\nod_mm = 40\nsdr = 11\nlength_m = 240\nports = [%d, %d]\nfitting = \"coupler 40\"\n", n+1, n+1, n+1+circuits)
	}
	for _, way := range []string{"from ground", "to ground"} {
		fmt.Fprintf(&b, "[[chamber.header]]\nway = %q\nod_mm = 63\nsdr = 11\nlength_m = 14\nfitting = \"coupler 63\"\n", way)
	}
	return b.String()
}
