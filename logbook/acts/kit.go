package acts

import (
	"fmt"

	"coolhold/logbook"
	"coolhold/logbook/kit"
)

// TakeKit takes a kit for a site that is open; it counts from then on in place
// of the one before. Whoever declares it gives a name.
func TakeKit(h Head, file File) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		if err := named(h, "a kit"); err != nil {
			return nil, err
		}
		if _, err := kit.Parse([]byte(file.Text)); err != nil {
			return nil, err
		}
		hash := logbook.Hash(file.Text)
		if s.Kit != nil && s.Kit.Hash == hash {
			return nil, fmt.Errorf("kit %q as it counts now: %w", file.Name, logbook.ErrExists)
		}
		return []logbook.Draft{h.draft(logbook.KitTaken{File: file.Name, Hash: hash, Text: file.Text})}, nil
	}
}
