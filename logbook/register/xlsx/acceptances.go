package xlsx

import (
	"strings"

	"coolhold/logbook/register/account"
)

// acceptances are all that were given on the site, with whether they stand.
func (b *book) acceptances() error {
	r := rows{
		heads:  []string{"weld", "joint", "what was accepted", "accepted by", "accepted on", "why it was accepted", "stands", "why it stands no more", "since", "through"},
		widths: []float64{10, 10, 44, 18, 20, 30, 8, 44, 20, 24},
		first:  2,
	}
	for _, a := range b.rep.Acceptances() {
		stands, since := "yes", any(nil)
		if !a.Stands {
			stands = "no"
		}
		if !a.Since.IsZero() {
			since = b.at(a.Since)
		}
		r.add(b.say(a.Weld), b.say(a.Joint), b.say(account.Plainly(a.Was)), b.say(a.By), b.at(a.At), b.say(a.Why), b.say(stands), b.say(account.Plainly(a.Now)), since, b.say(a.Through))
	}
	return b.write(Acceptances, r)
}

// days are the welds of each welder on each day, by control unit.
func (b *book) days() error {
	r := rows{
		heads:  []string{"day", "welder", "control unit", "welded", "of these cut out since", "given up", "being made", "which"},
		widths: []float64{12, 24, 18, 9, 12, 9, 9, 60},
		first:  2,
	}
	for _, d := range b.rep.WorkDays() {
		who, unit := d.Welder, d.Unit
		if who == "" {
			who = notRecorded
		}
		if unit == "" {
			unit = notRecorded
		}
		r.add(b.date(d.Day), b.say(who), b.say(unit), b.counted(len(d.Welded)), b.counted(len(d.CutOut)), b.counted(len(d.GivenUp)), b.counted(len(d.InWalk)), b.say(strings.Join(d.Which(), ", ")))
	}
	return b.write(Days, r)
}

// notRecorded is what is said where nobody recorded who or what it was.
const notRecorded = "not recorded"
