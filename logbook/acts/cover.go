package acts

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

// CoverSection records that a section was covered with ground, as a person saw it
// stand. Where something is missing it refuses, unless it has happened all the
// same: then the entry names the joints, and they must be those that were seen.
func CoverSection(h Head, beat fusion.Stamp, seen audit.Covering, allTheSame bool) Act {
	return CoverSectionOn(h, beat, seen, "", allTheSame)
}

// CoverSectionOn does so where it was covered on another day than it is said; "" is
// none.
func CoverSectionOn(h Head, beat fusion.Stamp, seen audit.Covering, on string, allTheSame bool) Act {
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
		s, _ := r.Site(h.Site)
		if on != "" {
			if err := mayBeStated(h, s, on); err != nil {
				return nil, err
			}
		}
		return Drafted(h, "", "", logbook.Covered{Section: now.Section, Missing: now.Labels(), On: on, NotLooked: now.NotLooked}), nil
	}
}

// UncoverSection takes the newest cover of a section back, as a person saw it stand:
// it was said by mistake. One that was dug up again was a cover, and is left.
func UncoverSection(h Head, seen logbook.Cover, why string) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		now, covered := s.CoverOf(seen.Section)
		switch {
		case !covered:
			return nil, refuse(logbook.ErrRule, "%s: no cover is recorded there: there is nothing to take back", seen.Section)
		case now.Seq != seen.Seq:
			return nil, refuse(logbook.ErrRule, "%s: it was covered anew meanwhile, look again", seen.Section)
		}
		if err := named(h, "taking a cover back", why); err != nil {
			return nil, err
		}
		return Drafted(h, "", "", logbook.CoverWithdrawn{Section: now.Section, Why: strings.TrimSpace(why)}), nil
	}
}
