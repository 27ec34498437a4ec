package acts

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// CheckGround records what was seen of a section before it is welded or covered. It has
// happened, and is refused only for what no person can have meant.
func CheckGround(h Head, b logbook.GroundChecked) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, section, err := onGround(h, r, b.Section, "a look at the ground")
		if err != nil {
			return nil, err
		}
		b = trimmed(b)
		switch {
		case !logbook.GroundStages.Has(string(b.Stage)):
			return nil, misSaid("before what it was looked at must be said: %s", logbook.GroundStages.Either())
		case len(b.Seen)+len(b.Offsets) == 0 && b.Routes == "":
			return nil, misSaid("nothing is said of %s: what was seen there?", section.Name)
		}
		for i, seen := range b.Seen {
			if slices.ContainsFunc(b.Seen[:i], func(o logbook.GroundSeen) bool { return o.Line == seen.Line }) {
				return nil, misSaid("%s is answered twice", logbook.GroundLines.Word(seen.Line))
			}
			if err := groundSeen(section, seen); err != nil {
				return nil, err
			}
		}
		for _, o := range b.Offsets {
			if o.From == "" {
				return nil, misSaid("an offset of %v m is from no fixed point: name it", o.M)
			}
			if err := sane("offset", &o.M, logbook.OffsetBounds); err != nil {
				return nil, err
			}
		}
		if err := statedPressure(h, s, b.Stated, nil); err != nil {
			return nil, err
		}
		return Drafted(h, "", "", b), nil
	}
}

// onGround is the section of a site by its name, where a named person says something of it.
func onGround(h Head, r logbook.Reader, part, what string, why ...string) (s logbook.Site, section ahead.Section, err error) {
	s, ok := r.Site(h.Site)
	if !ok {
		return s, section, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
	}
	sections := ahead.Sections(r, h.Site)
	at := slices.IndexFunc(sections, func(o ahead.Section) bool { return o.Name == part })
	if at < 0 {
		return s, section, fmt.Errorf("%q: no section of the site: %w", part, logbook.ErrUnknown)
	}
	return s, sections[at], named(h, what, why...)
}

func trimmed(b logbook.GroundChecked) logbook.GroundChecked {
	b.Routes, b.Text = strings.TrimSpace(b.Routes), strings.TrimSpace(b.Text)
	b.Offsets = slices.Clone(b.Offsets)
	for i := range b.Offsets {
		b.Offsets[i].From = strings.TrimSpace(b.Offsets[i].From)
	}
	return b
}

// groundSeen refuses an answer that the line has not, or a figure that is none of it.
func groundSeen(section ahead.Section, seen logbook.GroundSeen) error {
	line, known := logbook.GroundLineOf(seen.Line)
	name := logbook.GroundLines.Word(seen.Line)
	switch {
	case !known:
		return misSaid("%q is not answered by yes or no", name)
	case line.Chamber && section.Joints[0].Chamber == "":
		return misSaid("%s is of a chamber, and %s is none", name, section.Name)
	case !slices.Contains(line.Answers(), seen.State):
		return misSaid("%s must be said: %s", name, logbook.GroundFacts.Either(line.Answers()...))
	case seen.M != nil && line.Figure == "":
		return misSaid("%s has no figure", name)
	case seen.M != nil && !seen.Says():
		return misSaid("%s: a figure is given and it was not seen: say yes or no to it", name)
	case line.In == nil:
		return nil
	}
	return sane(line.Figure, seen.M, *line.In)
}

// WithdrawGround takes the newest look at a section back, as a person saw it stand, by its
// number in the log: it was said by mistake.
func WithdrawGround(h Head, part string, seen uint64, why string) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, section, err := onGround(h, r, part, "taking a look back", why)
		if err != nil {
			return nil, err
		}
		switch now, found := s.GroundOf(section.Name); {
		case !found:
			return nil, refuse(logbook.ErrRule, "%s: no look is recorded there: there is nothing to take back", section.Name)
		case now.Seq != seen:
			return nil, refuse(logbook.ErrRule, "%s: something newer was recorded meanwhile, look again", section.Name)
		}
		return Drafted(h, "", "", logbook.GroundWithdrawn{Section: section.Name, Why: strings.TrimSpace(why)}), nil
	}
}
