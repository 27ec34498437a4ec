package acts

import (
	"fmt"
	"slices"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

// CoverSection records that a section was covered with ground, as a person saw it
// stand. Where something is missing it refuses, unless it has happened all the
// same: then the entry names the joints, and they must be those that were seen.
func CoverSection(h Head, beat fusion.Stamp, seen audit.Covering, allTheSame bool) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		sections := ahead.Sections(r, h.Site)
		at := slices.IndexFunc(sections, func(s ahead.Section) bool { return s.Name == seen.Section })
		if at < 0 {
			return nil, fmt.Errorf("%q: no section of the site: %w", seen.Section, logbook.ErrUnknown)
		}
		now := audit.CoveringOf(r, audit.Run(r, h.Site, h.At, beat), sections[at])
		switch {
		case now.Lacking() && !allTheSame:
			return nil, refuse(logbook.ErrRule, "%s: not recorded: %s", now.Section, now.Lacks())
		case !now.LacksAs(seen):
			return nil, refuse(logbook.ErrRule, "%s: not recorded: what is missing there has changed meanwhile, look again", now.Section)
		}
		if err := named(h, "covering"); err != nil {
			return nil, err
		}
		return Drafted(h, "", "", logbook.Covered{Section: now.Section, Missing: now.Labels()}), nil
	}
}
