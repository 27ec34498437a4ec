package acts

import (
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// LeaveAs records how a section was left for whoever works on it next. What is not set
// was not said; that nothing at all is said is refused.
func LeaveAs(h Head, b logbook.LeftAs) Act {
	return onLoop(h, "how it was left", b.Section, b.Stated, func(_ logbook.Reader, section ahead.TestSection) (logbook.Body, error) {
		for _, text := range []*string{&b.Gauge, &b.Caps, &b.Fill, &b.Purge, &b.End, &b.Mark, &b.Text} {
			*text = strings.TrimSpace(*text)
		}
		b.Shut, b.Open = valveNames(b.Shut), valveNames(b.Open)
		switch both := inBoth(b.Shut, b.Open); {
		case !b.Says():
			return nil, misSaid("nothing is said of how %s was left: give one thing at least", section.Name)
		case b.Pressure != "" && !logbook.Standings.Has(b.Pressure):
			return nil, misSaid("whether a pressure was left must be said: %s", logbook.Standings.Either())
		case b.Bar != nil && b.Pressure != logbook.PressureStands:
			return nil, misSaid("a pressure is given, and not that one was left standing")
		case b.Gauge != "" && b.Pressure == "":
			return nil, misSaid("a gauge is named and no pressure: say what was left")
		case b.NoneShut && len(b.Shut) > 0:
			return nil, misSaid("none was left shut, and %s was: one of the two", strings.Join(b.Shut, ", "))
		case both != "":
			return nil, misSaid("valve %s was left shut and open: one of the two", both)
		case b.LPM != nil && b.Section.Circuit == 0:
			return nil, misSaid("%s is no circuit: the flow is set of each circuit", section.Name)
		case (b.End != "" || b.Mark != "") && b.Section.Way == "":
			return nil, misSaid("%s is no header: how it ends in the plant room and is marked there is said of each header", section.Name)
		}
		if err := calledBy(&b); err != nil {
			return nil, err
		}
		for _, err := range []error{sane("pressure left", b.Bar, logbook.LeftBounds), sane("flow", b.LPM, logbook.FlowBounds)} {
			if err != nil {
				return nil, err
			}
		}
		return b, nil
	})
}

// calledBy tidies who is to be called: on the whole site, and by a name.
func calledBy(b *logbook.LeftAs) error {
	if b.Call == nil {
		return nil
	}
	c := logbook.Call{Name: strings.TrimSpace(b.Call.Name), Phone: strings.TrimSpace(b.Call.Phone), Firm: strings.TrimSpace(b.Call.Firm)}
	switch {
	case b.Section != logbook.SectionID{}:
		return misSaid("who is to be called is said once of the whole site: of %q", logbook.Whole)
	case !logbook.IsName(c.Name):
		return misSaid("who is to be called needs a name")
	}
	b.Call = &c
	return nil
}

// valveNames are names without blanks around them, each once.
func valveNames(names []string) (out []string) {
	for _, n := range names {
		if n = strings.Join(strings.Fields(n), " "); n != "" && !slices.ContainsFunc(out, func(o string) bool { return strings.EqualFold(o, n) }) {
			out = append(out, n)
		}
	}
	return out
}

// ValvesShut reads the names of valves left shut, with commas between them; "none" says
// that none was.
func ValvesShut(said string) (none bool, names []string) {
	if strings.EqualFold(strings.TrimSpace(said), logbook.ShutNone) {
		return true, nil
	}
	return false, valveNames(strings.Split(said, ","))
}

// inBoth is a name that is in both lists; "" where none is.
func inBoth(a, b []string) string {
	for _, n := range a {
		if slices.ContainsFunc(b, func(o string) bool { return strings.EqualFold(o, n) }) {
			return n
		}
	}
	return ""
}
