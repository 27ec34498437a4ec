package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// newTopics are pages of help that belong to no verb.
func newTopics() []*cobra.Command {
	return []*cobra.Command{
		{Use: "units", Short: "In which units figures are given, and within which bounds", Long: unitsText()},
		{Use: "verdicts", Short: "What clear, query and fail mean, and what they do not", Long: verdictsText()},
		{Use: "times", Short: "How times are read from the table, and how holds are counted", Long: timesText},
	}
}

// unitsText has the bounds that the forms hold, so that the two are never unlike.
func unitsText() string {
	var rows []string
	for _, v := range logbook.WeldValues {
		if v.Unit == "" || v.Retired || slices.ContainsFunc(rows, func(r string) bool { return strings.HasPrefix(r, "  "+v.Name+" ") }) {
			continue
		}
		bounds := ""
		if v.High > v.Low {
			bounds = fmt.Sprintf("%g to %g", v.Low, v.High)
		}
		rows = append(rows, strings.TrimRight(fmt.Sprintf("  %-28s %-4s %s", v.Name, v.Unit, bounds), " "))
	}
	return `Figures are given as the display, the bag or the thermometer shows them; a point or
a comma stands before decimals. The bounds are bounds of sense, our choice: they
catch a slip of the finger and say nothing of a weld.

` + strings.Join(rows, "\n") + `

Temperature is that of the air in the shade beside the joint. The usual range of a
control unit is -10 to +40 °C (ISO 12176-2:2008, scope); other published windows are
-5 to +45 °C (CJJ 63-2008, 5.1.5) and -5 to +30 °C. What counts here is the fitting's
own table: outside its bands there is no time.

Supply to the fitting is 39.5, 40 or 48 V, seldom 80 V (UK gas assessment checklists
DN.14A and DN.27). Unit and fitting must match. Resistance is held against the fitting's
own printed range; without one against Rn × 0.90 to Rn × 1.10 + 0.1 Ω (ISO 8085-3, from
memory). A reading outside is a query, never a stop: the unit stops by itself.

Pipe is named by its outside diameter in mm and its SDR. Days are written 2026-03-09,
times 14:05, both by the clock of the site.`
}

func verdictsText() string {
	count := map[audit.Severity]int{}
	for _, r := range audit.Rules {
		count[r.Severity]++
	}
	return fmt.Sprintf(`A verdict says what the record of a weld shows. It is never stored: it follows from the
rules (coolhold rules), as of a given time.

  clear      No fault is recorded. It does not say that the weld is good: a raised
             indicator shows melt pressure, and nothing of dirt, water or a pipe that
             was not scraped. No verdict here ever says that.
  query      The foreman must decide: accept it by name with a reason, have it looked
             at again, or have it cut out. Anything unseen is a query.
  fail       Cut it out and weld again with a new fitting. A fail is never accepted. It
             is unscraped pipe, a fusion that stopped, a joint moved in its hold, a flat
             indicator, melt or wire outside, or a time keyed unlike the table.
  accepted   Each of its queries was accepted by name with a reason. What was found and
             who accepted it stay in the register.
  unfinished Something of it is still to be done or said: a look, a release, a check.

A note is for the file and no part of a verdict. There are %d rules that find fails, %d
that find queries and %d that make notes; each has its basis. The list of what to reject
is that of WIS 4-32-08, DVS 2202-1 and EN 13100-1 (from memory); what is a fail and what
a query is our choice.`, count[audit.Fail], count[audit.Query], count[audit.Note])
}

const timesText = `Fusion time, cooling time and the wait before a pressure test are those of the
fitting's own table: what is printed on its bag. There is no generic time, no percent
for each degree and no cooling time by diameter here: none was found in any public
source, so none is computed.

The ambient temperature chooses the band. It reads to a whole degree, a half to the
colder one, which has the longer time. Outside the bands there is no time: coolhold
refuses and never extrapolates. A unit that corrects for temperature by itself is keyed
no banded time, or it would be corrected twice.

A running time is a start without an end. The start is stored with the laptop's boot
clock, and what is left is computed each time it is shown: so a crash, a closed lid or
a wrong wall clock stops no hold. After a restart what ran is what a heartbeat of every
15 s proves, and no more than the wall clock says. On another machine the hold runs
anew in full. On any doubt the longer time counts, the screen says so, and the doubt is
recorded.

The hold begins when somebody says that the fusion has ended. Holding longer is
harmless; a hot day cools slower, so the time is the least. The wait before a pressure
test counts from where the table says, else from the end of the cooling time.

A time of one weld with its reason: coolhold time. What runs now: coolhold hold.`
