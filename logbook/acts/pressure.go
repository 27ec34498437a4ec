package acts

import (
	"fmt"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

// BeginPressure records that a section is put under pressure, or that it was. Nothing
// of it is refused for being wrong: a test begun before the welds' waits were over, over
// joints that nobody accepted or above what some part takes is recorded, with its
// finding.
func BeginPressure(h Head, beat fusion.Stamp, b logbook.PressureBegun) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		if err := named(h, "a pressure test"); err != nil {
			return nil, err
		}
		section, ok := ahead.TestSectionOf(r, h.Site, b.Section)
		if !ok {
			return nil, fmt.Errorf("%s: no section of the site: %w", b.Section, logbook.ErrUnknown)
		}
		for _, t := range s.TestsOf(b.Section) {
			if t.Open() && b.Stated == nil { // what was is recorded, whatever runs now
				return nil, refuse(logbook.ErrRule, "%s is under test already (%s): end that first", section.Name, t.ID)
			}
		}
		if err := givenBefore(b); err != nil {
			return nil, err
		}
		if err := statedPressure(h, s, b.Stated, nil); err != nil {
			return nil, err
		}
		if b.Test = s.NextTest(r.Tag()); b.Stated == nil {
			b.Missing = audit.Run(r, h.Site, h.At, beat).NotAccepted(section)
		}
		return Drafted(h, "", "", b), nil
	}
}

// givenBefore refuses what makes a test one that nobody could judge, or that no person
// can have meant.
func givenBefore(b logbook.PressureBegun) error {
	for _, v := range logbook.PressureValues {
		if v.Asked(b.Method) && v.Must && v.Stored(b) == "" {
			return misSaid("%s must be given: without it no test can be judged", v.Name)
		}
		if v.Options != nil && v.Stored(b) != "" && !v.Options.Has(v.Stored(b)) {
			return logbook.Refuse("%q is no %s; write %s", v.Stored(b), v.Name, strings.Join(v.Options.Words(), ", "))
		}
	}
	return nil
}

// statedPressure wants a stated time up to now, not before what it follows, and of
// about the time of the site.
func statedPressure(h Head, s logbook.Site, at *time.Time, after *logbook.Timed) error {
	if at == nil {
		return nil
	}
	const layout = "2006-01-02 15:04"
	switch {
	case at.After(h.At.Wall):
		return misSaid("%s is still to come: it is %s", at.Format(layout), h.At.Wall.In(at.Location()).Format(layout))
	case after != nil && at.Before(after.Local().Truncate(time.Minute)):
		return misSaid("%s is before the test was begun, %s", at.Format(layout), after.Local().Format(layout))
	}
	if slip, opened := slipOf(s, at.Format(time.DateOnly), at.Location()); slip {
		return misSaid("%s is more than %d years before the site was opened in this log, %s: is the year right?", at.Format(time.DateOnly), statedYears, opened)
	}
	return nil
}

// onTest is an act on a test that counts. An open one goes on.
func onTest(h Head, id string, open bool, decide func(logbook.Site, logbook.PressureTest) ([]logbook.Body, error)) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		t, ok := s.TestOf(id)
		switch {
		case !ok:
			return nil, fmt.Errorf("pressure test %s: %w", id, logbook.ErrUnknown)
		case !t.Counts():
			return nil, refuse(logbook.ErrRule, "pressure test %s was taken back: %s", t.ID, t.Withdrawn.Why)
		case open && !t.Open():
			return nil, refuse(logbook.ErrRule, "pressure test %s has ended: %s", t.ID, t.Ended.Ending)
		}
		if err := named(h, "a pressure test"); err != nil {
			return nil, err
		}
		bodies, err := decide(s, t)
		if err != nil {
			return nil, err
		}
		drafts := make([]logbook.Draft, len(bodies))
		for i, b := range bodies {
			drafts[i] = h.draft(b)
		}
		return drafts, nil
	}
}

// ReadPressure records what was read, and with a phase that this was begun then: the
// clock leads from there.
func ReadPressure(h Head, phase logbook.PressurePhase, b logbook.PressureRead) Act {
	return onTest(h, b.Test, b.Instead == 0, func(s logbook.Site, t logbook.PressureTest) ([]logbook.Body, error) {
		b.Test = t.Test
		if err := phaseOf(t, phase); err != nil {
			return nil, err
		}
		if err := readable(s, h, t, phase, b); err != nil {
			return nil, err
		}
		begun := t.When()
		if err := statedPressure(h, s, b.Stated, &begun); err != nil {
			return nil, err
		}
		var bodies []logbook.Body
		if phase != "" {
			bodies = append(bodies, logbook.PressurePhased{Test: t.Test, Phase: phase, Stated: b.Stated})
		}
		if b.Bar != nil || b.LetOutL != nil || b.Text != "" {
			bodies = append(bodies, b)
		}
		return bodies, nil
	})
}

func phaseOf(t logbook.PressureTest, phase logbook.PressurePhase) error {
	if phase == "" {
		return nil
	}
	for _, p := range t.Method.Phases() {
		if p == phase {
			return nil
		}
	}
	return logbook.Refuse("%q is no phase of %s; it has %s", phase.String(), t.Method, logbook.PressurePhases.Either(codesOf(t.Method)...))
}

func codesOf(m logbook.PressureMethod) []string {
	var out []string
	for _, p := range m.Phases() {
		out = append(out, string(p))
	}
	return out
}

// readable refuses what is no reading.
func readable(_ logbook.Site, h Head, t logbook.PressureTest, phase logbook.PressurePhase, b logbook.PressureRead) error {
	const mostBar, mostL = 40, 1000 // as package loop takes them
	switch {
	case b.Bar == nil && b.LetOutL == nil && strings.TrimSpace(b.Text) == "" && phase == "":
		return misSaid("nothing was read")
	case b.Bar != nil && (*b.Bar < 0 || *b.Bar > mostBar):
		return misSaid("%s bar is no pressure from 0 to %d bar", fusion.Figure(*b.Bar), mostBar)
	case b.LetOutL != nil && (*b.LetOutL <= 0 || *b.LetOutL > mostL):
		return misSaid("%s L is no water let out, up to %d L", fusion.Figure(*b.LetOutL), mostL)
	case b.LetOutL != nil && b.MeasureL == nil:
		return misSaid("the smallest step of the measure is missing: without it the water let out cannot be judged")
	case b.Instead == 0:
		return nil
	case b.Instead < 1 || b.Instead > len(t.Readings):
		return misSaid("reading %d is none: %s has %s", b.Instead, t.ID, logbook.Count(len(t.Readings), "reading"))
	case phase != "":
		return misSaid("a reading is put right without a phase")
	}
	return named(h, "putting a reading right", b.Why)
}

// EndPressure ends a test, with what was seen and what is left in the section.
func EndPressure(h Head, b logbook.PressureEnded) Act {
	return onTest(h, b.Test, true, func(s logbook.Site, t logbook.PressureTest) ([]logbook.Body, error) {
		b.Test = t.Test
		switch {
		case !logbook.PressureEndings.Has(string(b.Ending)):
			return nil, logbook.Refuse("%q is no ending; write %s", string(b.Ending), strings.Join(logbook.PressureEndings.Words(), ", "))
		case b.Leaks != "" && !logbook.Leaks.Has(b.Leaks):
			return nil, logbook.Refuse("%q says nothing of leaks; write %s", b.Leaks, strings.Join(logbook.Leaks.Words(), ", "))
		case b.Leaks == "" && b.Ending == logbook.RanToEnd:
			return nil, misSaid("what was seen of leaks is missing")
		case b.LeftBar != nil && (*b.LeftBar < 0 || *b.LeftBar > 40):
			return nil, misSaid("%s bar left standing is no pressure from 0 to 40 bar", fusion.Figure(*b.LeftBar))
		case b.Ending != logbook.RanToEnd && strings.TrimSpace(b.Text) == "":
			return nil, misSaid("what happened is missing")
		}
		begun := t.When()
		if err := statedPressure(h, s, b.Stated, &begun); err != nil {
			return nil, err
		}
		return []logbook.Body{b}, nil
	})
}

// WithdrawPressure takes a test back that was recorded by mistake.
func WithdrawPressure(h Head, id, why string) Act {
	return onTest(h, id, false, func(_ logbook.Site, t logbook.PressureTest) ([]logbook.Body, error) {
		if err := named(h, "taking a test back", why); err != nil {
			return nil, err
		}
		return []logbook.Body{logbook.PressureWithdrawn{Test: t.Test, Why: strings.TrimSpace(why)}}, nil
	})
}

// NameClosing says of a weld that it closes a section that was tested before.
func NameClosing(h Head, weld, why string) Act {
	return onWeld(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if err := named(h, "a closing weld", why); err != nil {
			return nil, err
		}
		switch {
		case !w.Stands():
			return nil, refuse(logbook.ErrRule, "%s does not stand: only a weld that stands closes a section", w.ID)
		case !audit.Run(r, h.Site, h.At, fusion.Stamp{}).Untested(w.Joint):
			return nil, refuse(logbook.ErrRule, "%s: its section was not tested before it was made, or a test holds it: there is nothing to close", w.ID)
		}
		return []logbook.Body{logbook.ClosingNamed{Why: strings.TrimSpace(why)}}, nil
	})
}

// LookUnderPressure records a look at one weld while its section is under pressure.
func LookUnderPressure(h Head, weld string, b logbook.PressureLook) Act {
	return onWeld(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if err := named(h, "a look under pressure"); err != nil {
			return nil, err
		}
		s, _ := r.Site(h.Site)
		switch {
		case !w.Stands():
			return nil, refuse(logbook.ErrRule, "%s does not stand: there is nothing to look at", w.ID)
		case !logbook.Leaks.Has(b.Leaks):
			return nil, logbook.Refuse("%q says nothing of leaks; write %s", b.Leaks, strings.Join(logbook.Leaks.Words(), ", "))
		case b.Bar <= 0 || b.Bar > 40:
			return nil, misSaid("%s bar is no pressure to look under, up to 40 bar", fusion.Figure(b.Bar))
		}
		if err := statedPressure(h, s, b.Stated, nil); err != nil {
			return nil, err
		}
		return []logbook.Body{b}, nil
	})
}
