package account

import (
	"fmt"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

// A pressure is the pressure tests: what they come to for the joints as they stand, then
// test by test.
type Pressure struct {
	Intro []string
	Tests []Test
}

// A test is one pressure test as a section.
type Test struct {
	ID, Title, Came  string
	Says             []string
	Of               audit.Tested
	Course, Standing []string
	Given            []string
}

func (m maker) pressure() Pressure {
	if len(m.rep.Tests) == 0 {
		return Pressure{Intro: []string{logbook.Joined(" ", "No pressure test is recorded. "+none, m.pressureAllTheSame())}}
	}
	p := Pressure{Intro: []string{"A test says what was read by its method, as far as recorded. It holds no weld that was made, cut out or disturbed after it."}}
	p.Intro = append(p.Intro, sentences(m.rep.Tested)...)
	for _, tests := range m.rep.TestsBySection() {
		for _, t := range tests {
			p.Tests = append(p.Tests, m.test(t))
		}
	}
	return p
}

func (m maker) test(t audit.Tested) Test {
	k := Test{
		Of: t,
		ID: "test-" + fit(t.ID), Title: fmt.Sprintf("%s: %s, %s, %s", t.ID, t.Of.Name, t.Stage, t.When().Local().Format(minute)), Came: stop(titled(register.TestLine(t))),
		Says: sentences(t.Result.Lines), Course: t.Course(), Given: register.Given(t),
	}
	if m.rep.Fell(t) {
		k.Came = "NOT WITHIN AND NOT REPEATED. " + k.Came
		k.Standing = m.rep.StandingIn(t)
	}
	for _, o := range t.Outside {
		k.Says = append(k.Says, "Not in it: "+o.Joint+", "+o.Says()+".")
	}
	k.Given[0] = "by " + m.whoIs(t.By)
	return k
}
