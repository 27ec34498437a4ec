package logbook

import (
	"fmt"

	"coolhold/logbook/kit"
)

// KitTaken keeps a kit with its exact text: what the crew said it had with it.
// The newest of a site counts.
type KitTaken struct {
	File string `json:"file"`
	Hash string `json:"hash"` // SHA-256 of Text, first 12 hex digits
	Text string `json:"text"`
}

// Kind is "kit taken".
func (KitTaken) Kind() Kind { return "kit taken" }

// Line names the kit file.
func (b KitTaken) Line() string { return fmt.Sprintf("kit %s taken (%s)", b.File, b.Hash) }

// KitOf reads a site's newest kit from its text in the log; false where none
// was taken.
func KitOf(r Reader, s Site) (kit.Kit, bool) {
	taken, ok := kitTaken(r, s)
	if !ok {
		return kit.Kit{}, false
	}
	k, err := kit.Parse([]byte(taken.Text))
	return k, err == nil // a text that was valid when it was taken is valid for ever
}

func kitTaken(r Reader, s Site) (KitTaken, bool) {
	e, ok := r.Entry(s.KitSeq)
	if !ok {
		return KitTaken{}, false
	}
	taken, ok := e.Open().(KitTaken)
	return taken, ok
}
