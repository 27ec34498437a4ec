package acts

import "coolhold/logbook"

// SetTwinAside keeps in the log that a person went on with it though its twin was
// another.
func SetTwinAside(h Head, b logbook.TwinSetAside) Act {
	return func(logbook.Reader) ([]logbook.Draft, error) { return []logbook.Draft{h.draft(b)}, nil }
}
