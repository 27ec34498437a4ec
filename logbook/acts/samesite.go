package acts

import (
	"fmt"
	"strings"

	"coolhold/logbook"
)

// SameSite says that the head's site is one with those of its name in other logs,
// though their plans are not alike, or takes that back.
func SameSite(h Head, of []logbook.SiteIn, why string, withdrawn bool) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		if _, ok := r.Site(h.Site); !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		if err := named(h, "that two logs have one site", why); err != nil {
			return nil, err
		}
		if len(of) < 2 {
			return nil, logbook.Refuse("one log has no other site to be one with")
		}
		return []logbook.Draft{h.draft(logbook.SameSite{Of: of, Why: strings.TrimSpace(why), Withdrawn: withdrawn})}, nil
	}
}
