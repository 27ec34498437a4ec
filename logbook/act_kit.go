package logbook

import (
	"fmt"

	"coolhold/logbook/kit"
)

// TakeKit takes a kit for a site that is open; it counts from then on in place
// of the one before. Whoever declares it gives a name.
func TakeKit(h Head, file File) Act {
	return func(r Reader) ([]Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, ErrUnknown)
		}
		if err := Named(h, "a kit"); err != nil {
			return nil, err
		}
		if _, err := kit.Parse([]byte(file.Text)); err != nil {
			return nil, err
		}
		hash := Hash(file.Text)
		if s.Kit != nil && s.Kit.Hash == hash {
			return nil, fmt.Errorf("kit %q as it counts now: %w", file.Name, ErrExists)
		}
		return []Draft{h.draft(KitTaken{file.Name, hash, file.Text})}, nil
	}
}
