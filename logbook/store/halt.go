package store

import "sync"

// A cause is what found that nothing may be written to a log.
type cause int

const (
	unwritableDisk cause = iota
	pagesDamaged         // a save could write over what is still there
	twinAhead            // the log lost entries: one more save would make two logs of one
	causes
)

// A halt keeps a log from being written to. Each cause stands until it is lifted by
// what found it.
type halt struct {
	mu  sync.Mutex
	why [causes]error
}

// set says why, nil that the cause is gone.
func (h *halt) set(c cause, why error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.why[c] = why
}

// by is what one cause says, nil where it says nothing.
func (h *halt) by(c cause) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.why[c]
}

// err is why nothing may be written, nil where it may.
func (h *halt) err() error {
	for c := range causes {
		if why := h.by(c); why != nil {
			return why
		}
	}
	return nil
}
