package audit

import (
	"fmt"
	"slices"

	"coolhold/fusion"
	"coolhold/logbook"
)

// CoverPart records that a section was covered with ground, as a person saw it
// stand. Where something is missing it refuses, unless it has happened all the
// same: then the entry names the joints, and they must be those that were seen.
func CoverPart(h logbook.Head, beat fusion.Stamp, seen Covering, allTheSame bool) logbook.Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		sections := logbook.Sections(r, h.Site)
		at := slices.IndexFunc(sections, func(s logbook.Section) bool { return s.Name == seen.Part })
		if at < 0 {
			return nil, fmt.Errorf("%q: no chamber or run of the site: %w", seen.Part, logbook.ErrUnknown)
		}
		now := CoveringOf(r, Run(r, h.Site, h.At, beat), sections[at])
		switch {
		case now.Lacking() && !allTheSame:
			return nil, refuse(logbook.ErrRule, "%s: not recorded: %s", now.Part, now.Lacks())
		case !now.lacksAs(seen):
			return nil, refuse(logbook.ErrRule, "%s: not recorded: what is missing there has changed meanwhile, look again", now.Part)
		}
		if err := logbook.Named(h, "covering"); err != nil {
			return nil, err
		}
		return drafted(h, "", "", logbook.Covered{Part: now.Part, Missing: now.Labels()}), nil
	}
}

// lacksAs tells whether the same joints and losses keep the ground away.
func (c Covering) lacksAs(o Covering) bool {
	return slices.Equal(c.Labels(), o.Labels()) && slices.EqualFunc(c.lost, o.lost, func(a, b logbook.Event) bool { return a.Happened == b.Happened && a.Joint == b.Joint })
}
