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

// A Kit is what the crew has with it, as a site keeps it.
type Kit struct {
	kit.Kit
	Hash string
	Signature
}

// kit is the kit that the text holds, nil where it cannot be read.
func (b KitTaken) kit(e *Entry) *Kit {
	k, err := kit.Parse([]byte(b.Text))
	if err != nil {
		return nil
	}
	return &Kit{k, b.Hash, signature(e)}
}

// KitOf is a site's newest kit; false where none was taken.
func KitOf(s Site) (kit.Kit, bool) {
	if s.Kit == nil {
		return kit.Kit{}, false
	}
	return s.Kit.Kit, true
}
