package account

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
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

// Circuits are the circuits of the site, then its headers.
func (a Account) Circuits() (out []Circuit) {
	m := a.maker
	for i, s := range m.rep.Standings() {
		c := Circuit{ID: fmt.Sprintf("circuit-%d", i+1), Name: titled(s.Section.Name), Tone: "clear", Made: madeSays(s), Open: openSays(s), Cover: coverSays(s), Test: earliest(s)}
		for _, p := range s.Joints {
			c.Joints = append(c.Joints, Link{m.anchors.joint[p.Label], p.Label + ": " + stateSays(string(p.State))})
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
		c.TestsHad, c.Brief, c.no = sentences(s.Tested), briefOf(s), s.Section.ID.Circuit
		out = append(out, c)
	}
	return out
}

// stateWords are the states of a joint without a weld, in the one word that a register has for it:
// "open" says there of a finding that nobody answered it.
var stateWords = map[string]string{string(audit.NotMade): "without a weld", string(audit.OpenAgain): "without a weld, one was cut out"}

func stateSays(state string) string { return cmp.Or(stateWords[state], state) }

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
func coverSays(s register.Standing) string {
	var says []string
	for _, p := range s.Parts {
		says = append(says, p.Section+": "+partSays(p))
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

func partSays(p register.PartStanding) string {
	var own []string
	for _, l := range p.Own {
		own = append(own, l.Joint+" "+stateSays(l.State))
	}
	if n := len(own); n > mostNamed {
		own = append(own[:mostNamed], fmt.Sprintf("and %d more", n-mostNamed))
	}
	lacks := "nothing is missing at its own joints"
	if len(own) > 0 {
		lacks = "missing: " + strings.Join(own, ", ")
	}
	if others := len(p.Missing) - len(p.Own); others > 0 {
		lacks += fmt.Sprintf("; beside it %s", logbook.Count(others, "joint"))
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
	lies := ""
	if p.Covered != nil {
		lies = "covered on " + p.Covered.When("2006-01-02")
	}
	if p.DugUp != nil {
		lies += ", dug up on " + p.DugUp.On
	}
	switch {
	case p.May:
		return logbook.Joined("; ", lies, "yes, as far as recorded")
	case !p.Lacking():
		return lies
	case p.Covered != nil && p.DugUp == nil:
		return strings.ToUpper(lies[:1]) + lies[1:] + " BEFORE IT WAS SETTLED; " + lacks
	}
	return logbook.Joined("; ", lies, "NO; "+lacks)
}

// earliest is from when a circuit may be put under pressure, as far as the tables say, or
// why not. It advises.
func earliest(s register.Standing) string {
	wait := s.Testing.Wait()
	var says []string
	if not := s.Testing.NotAccepted; len(not) > 0 {
		if n := len(not); n > mostNamed {
			not = append(slices.Clone(not[:mostNamed]), fmt.Sprintf("%d more", n-mostNamed))
		}
		says = append(says, "not yet: neither clear nor accepted: "+strings.Join(not, ", "))
	}
	over := logbook.UpMinute(wait.Over)
	switch {
	case wait.Over.IsZero():
	case wait.Runs:
		says = append(says, fmt.Sprintf("not before %s, until when the wait of joint %s runs", over.Format(minute), wait.Joint))
	case len(s.Testing.NotAccepted) > 0:
		says = append(says, fmt.Sprintf("the waits of what is welded are over since %s (joint %s)", over.Format(minute), wait.Joint))
	default:
		says = append(says, fmt.Sprintf("from %s on, when the longest printed wait is over (joint %s)", over.Format(minute), wait.Joint))
	}
	if len(wait.NoWait) > 0 {
		says = append(says, "no wait is printed for "+strings.Join(wait.NoWait, ", ")+": ask before anything is put under pressure")
	}
	if len(says) == 0 {
		return "The tables say no time: ask before anything is put under pressure."
	}
	return stop(titled(strings.Join(says, "; ")))
}

// briefNamed is how many joints a row of a table names. Our choice.
const briefNamed = 3

func briefOf(s register.Standing) Brief {
	made, bare := s.Made()
	b := Brief{Made: fmt.Sprintf("%d of %d", made, made+bare), Open: cmp.Or(openWords(s), "nothing")}
	var cover []string
	for _, p := range s.Parts {
		word := "no"
		switch {
		case p.May:
			word = "yes, as recorded"
		case p.Covered != nil && len(underGround(s)) > 0:
			word = "COVERED, not settled"
		case !p.Lacking():
			word = "covered"
		}
		cover = append(cover, p.Section+": "+word)
	}
	b.Cover = strings.Join(cover, "; ")
	var test []string
	if not := s.Testing.NotAccepted; len(not) > 0 {
		names := strings.Join(not, ", ")
		switch n := len(not); {
		case n == made+bare:
			names = "no joint of it is clear or accepted"
		case n > briefNamed:
			names = fmt.Sprintf("%s and %d more", strings.Join(not[:briefNamed], ", "), n-briefNamed)
		}
		test = append(test, "not yet: "+names)
	}
	if wait := s.Testing.Wait(); !wait.Over.IsZero() {
		word := "from "
		if wait.Runs {
			word = "not before "
		} else if len(test) > 0 {
			word = "waits over "
		}
		test = append(test, word+logbook.UpMinute(wait.Over).Format("2006-01-02 15:04"))
	} else if len(wait.NoWait) > 0 {
		test = append(test, "no wait is printed: ask")
	}
	b.Test = cmp.Or(strings.Join(test, "; "), "the tables say no time: ask")
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
