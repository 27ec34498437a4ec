package account

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
	"coolhold/logbook/register"
)

// CircuitsTitle stands over the circuits.
const CircuitsTitle = "Each circuit and header"

// A Circuit is how a circuit or a header stands, for whoever stands before it.
type Circuit struct {
	ID, Name, Tone      string
	Joints              []Link // each with its state
	Made, Open          string
	Cover, Test         string
	Conflicts, TestsHad []string
	Brief               Brief

	no int // of a circuit
}

// A Brief is the same in a few words, for a row of a table.
type Brief struct{ Made, Open, Cover, Test string }

// Circuits are the circuits of the site, then its headers, then what is in none of them.
func (a Account) Circuits() (out []Circuit) {
	m := a.maker
	under, said := m.lostAt(pressureLost), m.lostAt(saidRepaired)
	used := map[string]int{}
	for _, s := range m.rep.Standings() {
		c := Circuit{ID: once(used, circuitAnchor(s)), Name: titled(s.Section.Name), Tone: "clear", Made: madeSays(s), Open: openSays(s), Cover: m.coverSays(s)}
		var lost, repaired []string
		for _, p := range s.Joints {
			if under[p.Label] {
				lost = append(lost, p.Label)
			}
			if said[p.Label] {
				repaired = append(repaired, p.Label)
			}
			c.Joints = append(c.Joints, Link{m.anchors.joint[p.Label], p.Label + ": " + m.stateSays(p)})
			switch {
			case p.State.Is(audit.Failed) || p.State == audit.PressureLost || p.State == audit.Crossed:
				c.Tone = "fail"
			case c.Tone == "clear" && !p.State.Is(audit.Clear) && !p.State.Is(audit.Accepted):
				c.Tone = "query"
			}
			for _, said := range m.conflicts[p.Label] {
				if !slices.Contains(c.Conflicts, said) {
					c.Conflicts = append(c.Conflicts, said)
				}
			}
		}
		c.Test = m.earliest(s, lost, repaired)
		c.TestsHad, c.Brief, c.no = sentences(s.Tested), m.briefOf(s).under(lost, repaired), s.Section.ID.Circuit
		out = append(out, c)
	}
	return out
}

// circuitAnchor names a circuit by its chamber and its own name, so that a link that somebody
// sent leads there in a later document too.
func circuitAnchor(s register.Standing) string {
	id := s.Section.ID
	name := ""
	switch {
	case id.Circuit > 0:
		name = fmt.Sprintf("circuit-%d", id.Circuit)
	case id.Way != "":
		name = "header-" + strings.ToLower(fit(id.Way))
	default:
		return "other-" + strings.ToLower(fit(s.Joints[0].Label))
	}
	return logbook.Joined("-", strings.ToLower(fit(id.Chamber)), name)
}

// stateSays is how a joint stands when the register was made.
func (m maker) stateSays(p chart.Place) string { return m.rep.StateSays(p) }

// unended says that the fusion or the cooling of a weld was over by the time of the register
// and that nobody ended it; "" of any other weld.
func (m maker) unended(weld string) string { return m.rep.UnendedSays(weld) }

// madeSays is how many of the joints of a circuit are made.
func madeSays(s register.Standing) string {
	made, bare := s.Made()
	return fmt.Sprintf("%s: with a weld %d, without a weld %d.", logbook.Count(made+bare, "joint"), made, bare)
}

// openSays counts what is open at the joints of a circuit.
func openSays(s register.Standing) string {
	return cmp.Or(stop(titled(openWords(s))), "Nothing at its joints.")
}

// openWords counts it in a few words; "" where nothing is open.
func openWords(s register.Standing) string {
	var words []string
	n := map[string]int{}
	for _, g := range audit.Groups(s.Open) {
		word := g.First().Word()
		if n[word] == 0 {
			words = append(words, word)
		}
		n[word] += g.Counts()
	}
	for i, word := range words {
		words[i] = fmt.Sprintf("%s %d", word, n[word])
	}
	return strings.Join(words, ", ")
}

// coverSays is whether ground may lie on a circuit: part by part, since each is covered in
// one go.
func (m maker) coverSays(s register.Standing) string {
	var says []string
	for _, p := range s.Parts {
		says = append(says, p.Section+": "+m.partSays(s, p))
	}
	if len(says) == 0 {
		return "No joint of it is covered with anything."
	}
	if under := underGround(s); len(under) > 0 {
		says = append([]string{"UNDER THE GROUND and not settled: " + strings.Join(under, ", ")}, says...)
	}
	return stop(titled(strings.Join(says, "; ")))
}

// underGround are the joints of a circuit over which ground lies though they are not settled:
// of a part that was dug up in one place the rest lies there still.
func underGround(s register.Standing) (out []string) {
	for _, p := range s.Joints {
		if p.Covered {
			out = append(out, p.Label)
		}
	}
	return out
}

// mostNamed is how many joints a line on cover names. Our choice.
const mostNamed = 6

func (m maker) partSays(s register.Standing, p register.PartStanding) string {
	var own []string
	for _, l := range p.Own {
		own = append(own, l.Joint+" "+m.lackSays(l))
	}
	if n := len(own); n > mostNamed {
		own = append(own[:mostNamed], fmt.Sprintf("and %d more", n-mostNamed))
	}
	lacks := "nothing is missing at its own joints"
	if len(own) > 0 {
		lacks = "missing: " + strings.Join(own, ", ")
	}
	if beside := besideSays(p); beside != "" {
		lacks += "; beside it " + beside
	}
	for _, more := range [][]string{p.Lost, p.Repaired, p.Fell} {
		lacks = logbook.Joined("; ", append([]string{lacks}, more...)...)
	}
	if len(p.Wanted) > 0 {
		lacks += "; the plan wants a pressure test first"
	}
	if len(p.NotLooked) > 0 {
		lacks += "; not looked at: " + strings.Join(logbook.GroundLines.Words(p.NotLooked...), ", ")
	}
	lies := liesSays(s, p)
	switch {
	case p.May && (p.Covered == nil || p.DugWhole(s)):
		return logbook.Joined("; ", lies, "yes, as far as recorded")
	case !p.Lacking(), p.May: // of what was dug up elsewhere its own joints lie under it still
		return lies
	case p.Covered != nil && len(p.Dug) == 0 && len(p.Own)+len(p.Repaired) == 0:
		return lies + " before the rest of it was settled; " + lacks
	case p.Covered != nil && len(p.Dug) == 0:
		return titled(lies) + " BEFORE IT WAS SETTLED; " + lacks
	}
	return logbook.Joined("; ", lies, "NO; "+lacks)
}

// besideSays counts what keeps the ground away in a part and is not at a circuit's own joints:
// what was dug up or repaired there is told of the circuit that it concerns.
func besideSays(p register.PartStanding) string {
	var says []string
	if n := len(p.Missing) - len(p.Own); n > 0 {
		says = append(says, logbook.Count(n, "joint"))
	}
	if n := len(p.Covering.Repaired) - len(p.Repaired); n > 0 {
		says = append(says, logbook.Count(n, "repair")+" that nobody else looked at")
	}
	return strings.Join(says, " and ")
}

// liesSays is when a part was covered, and which of the circuit's own joints were dug up since.
func liesSays(s register.Standing, p register.PartStanding) string {
	if p.Covered == nil {
		return ""
	}
	lies := "covered on " + p.Covered.When("2006-01-02")
	switch {
	case len(p.Dug) == 0:
		return lies
	case p.DugWhole(s):
		return lies + ", dug up on " + p.DugOn
	}
	return lies + ", of it only " + strings.Join(p.Dug, ", ") + " dug up, on " + p.DugOn
}

// lackSays is why a joint keeps the ground away, in a word or two.
func (m maker) lackSays(l audit.Lack) string { return m.rep.LackSays(l, m.byLabel[l.Joint]) }

// earliest is from when a circuit may be put under pressure, as far as the tables say, or
// why not. It advises. What it hangs together with decides too: there is one answer. Where
// pressure was lost that comes first: a leak is not found by more of it.
func (m maker) earliest(s register.Standing, lost, repaired []string) string {
	var says, not []string
	if len(lost) > 0 {
		not = append(not, register.LeakOpen)
	} else if len(repaired) > 0 {
		not = append(not, register.LeakUnseen)
	}
	bare, open := notReady(s)
	switch rest := s.Others(); {
	case len(bare)+len(open) > 0:
		not = append(not, logbook.Joined("; ", prefixed("no weld in ", m.listed(bare)), prefixed("neither clear nor accepted: ", m.listed(open))))
		if len(rest) > 0 {
			not = append(not, whole(s)+" hangs together with it and is not ready either: "+logbook.Count(len(rest), "joint")+" there")
		}
	case len(rest) > 0:
		not = append(not, "nothing is left to do at its own joints, but "+whole(s)+" hangs together with it, and neither clear nor accepted there: "+m.listed(rest))
	}
	if len(not) > 0 {
		says = append(says, "not yet: "+strings.Join(not, "; "))
	}
	wait := s.Wait(len(says) > 0)
	over := logbook.UpMinute(wait.Over)
	switch {
	case wait.Over.IsZero():
	case wait.Runs:
		says = append(says, fmt.Sprintf("not before %s, until when the wait of joint %s runs", over.Format(minute), wait.Joint))
	case len(bare) > 0: // of what is not welded no wait has begun
	case len(says) > 0:
		says = append(says, fmt.Sprintf("the waits of what is welded are over since %s (joint %s)", over.Format(minute), wait.Joint))
	default:
		says = append(says, fmt.Sprintf("from %s on, when the longest printed wait is over (joint %s)", over.Format(minute), wait.Joint))
	}
	if len(wait.NoWait) > 0 {
		says = append(says, "no wait is printed for "+strings.Join(wait.NoWait, ", ")+": ask before anything is put under pressure")
	}
	if s.Loose {
		says = append(says, "no section is tested by itself here: it is in a test of all of the site only")
	}
	if len(says) == 0 {
		return "The tables say no time: ask before anything is put under pressure."
	}
	return stop(titled(strings.Join(says, "; ")))
}

// notReady are the joints of a section that keep the pressure away: those in which no weld
// stands, and those of which the weld is neither clear nor accepted.
func notReady(s register.Standing) (bare, not []string) {
	for _, p := range s.Joints {
		switch {
		case p.Counts() && p.Stands == "":
			bare = append(bare, p.Label)
		case slices.Contains(s.Testing.NotAccepted, p.Label):
			not = append(not, p.Label)
		}
	}
	return bare, not
}

// listed are joints that are neither clear nor accepted, each with what is left to do there
// where its own state says it.
func (m maker) listed(labels []string) string {
	names := make([]string, 0, mostNamed+1)
	for i, label := range labels {
		if i == mostNamed {
			names = append(names, fmt.Sprintf("%d more", len(labels)-mostNamed))
			break
		}
		p := m.byLabel[label]
		switch p.State {
		case audit.InHold, audit.Fusing, audit.InTheWalk:
			label += " (" + m.stateSays(p) + ")"
		}
		names = append(names, label)
	}
	return strings.Join(names, ", ")
}

// whole is what a section hangs together with, as a person calls it.
func whole(s register.Standing) string {
	if s.WholeName == logbook.Whole {
		return "the rest of the site"
	}
	return "the rest of " + s.WholeName
}

// briefNamed is how many joints a row of a table names. Our choice.
const briefNamed = 3

func (m maker) briefOf(s register.Standing) Brief {
	made, without := s.Made()
	b := Brief{Made: fmt.Sprintf("%d of %d", made, made+without), Open: cmp.Or(openWords(s), "nothing")}
	var cover []string
	for _, p := range s.Parts {
		word := "no"
		switch {
		case p.May && (p.Covered == nil || p.DugWhole(s)):
			word = "yes, as recorded"
		case p.Covered != nil && len(underGround(s)) > 0:
			word = "COVERED, not settled"
		case !p.Lacking(), p.May:
			word = "covered"
		}
		cover = append(cover, p.Section+": "+word)
	}
	b.Cover = strings.Join(cover, "; ")
	var test []string
	bare, not := notReady(s)
	if len(bare)+len(not) > 0 {
		others := prefixed("not accepted: ", few(not))
		switch {
		case len(not) == made && len(bare) == 0:
			others = "no joint of it is clear or accepted"
		case len(not) == 0:
			others = ""
		case len(bare) == 0:
			others = few(not)
		}
		names := few(bare)
		if made == 0 && len(bare) > 0 {
			names = "any joint of it" // so that circuits that stand alike are one row
		}
		test = append(test, "not yet: "+logbook.Joined("; ", prefixed("no weld in ", names), others))
	} else if len(s.Others()) > 0 {
		test = append(test, "not yet: "+whole(s)+" is not ready")
	}
	if wait := s.Wait(len(test) > 0); !wait.Over.IsZero() {
		word := "from "
		switch {
		case wait.Runs:
			word = "not before "
		case len(bare) > 0: // of what is not welded no wait has begun
			word = ""
		case len(test) > 0:
			word = "waits over "
		}
		if word != "" {
			test = append(test, word+logbook.UpMinute(wait.Over).Format("2006-01-02 15:04"))
		}
	} else if len(wait.NoWait) > 0 {
		test = append(test, "no wait is printed: ask")
	}
	b.Test = cmp.Or(strings.Join(test, "; "), "the tables say no time: ask")
	return b
}

// few names some joints in a row of a table.
func few(labels []string) string {
	if n := len(labels); n > briefNamed {
		labels = append(slices.Clone(labels[:briefNamed]), fmt.Sprintf("and %d more", n-briefNamed))
	}
	return strings.Join(labels, ", ")
}

// under says, before all else that is open, that pressure was lost at welds of the circuit:
// a row of a table has nothing else that tells it.
func (b Brief) under(lost, repaired []string) Brief {
	b.Open = logbook.Joined("; ", prefixed("PRESSURE LOST: ", few(lost)), prefixed("PRESSURE LOST, said to be repaired: ", few(repaired)), b.Open)
	return b
}

// Together are circuits as the rows of a table: those of one chamber that follow one another
// and stand alike are one, under one name.
func Together(all []Circuit) (out []Circuit) {
	first := 0 // of those that are one
	for i, c := range all {
		last := len(out) - 1
		if i > 0 && c.no > 0 && c.no == all[i-1].no+1 && c.of() == all[i-1].of() && c.Brief == out[last].Brief && len(c.Conflicts)+len(all[i-1].Conflicts) == 0 {
			out[last].Name = fmt.Sprintf("Circuits %d to %d%s", all[first].no, c.no, c.of())
			continue
		}
		first, out = i, append(out, c)
	}
	return out
}

// of is the name of a circuit behind its number.
func (c Circuit) of() string { return strings.TrimPrefix(c.Name, fmt.Sprintf("Circuit %d", c.no)) }
