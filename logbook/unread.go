package logbook

import (
	"fmt"
	"slices"
)

// An Unread is an entry of a site that this program cannot read: of a kind or a
// version that a newer one wrote, or damaged. What it says may be a fault, so what
// it concerns is not known.
type Unread struct {
	Kind    Kind   `json:"kind"`
	V       int    `json:"v"`
	Seq     int    `json:"entry"`
	Weld    string `json:"weld,omitempty"`
	Joint   string `json:"joint,omitempty"`
	Garbled bool   `json:"garbled,omitempty"` // its kind is known, and it does not fit it
}

// UnreadOf is the entry as one that is not read.
func UnreadOf(e *Entry) Unread {
	return Unread{Kind: e.Kind, V: e.V, Seq: int(e.Seq), Weld: e.Weld, Joint: e.Joint, Garbled: e.Garbled()}
}

// Concerns tells whether the entry may say something of a weld: of it, of its joint,
// or of the site as a whole.
func (u Unread) Concerns(w Weld) bool {
	if u.Weld != "" || u.Joint == "" {
		return u.Weld == "" || u.Weld == w.ID
	}
	return u.Joint == w.Joint
}

// UnreadLine says in one line what was not read; "" where everything was.
func UnreadLine(unread []Unread) string { return unreadLine(unread, fewKinds) }

// UnreadWhole is the same with every kind named: for what is kept.
func UnreadWhole(unread []Unread) string { return unreadLine(unread, len(unread)) }

func unreadLine(unread []Unread, most int) string {
	if len(unread) == 0 {
		return ""
	}
	var kinds []string
	why := "written by a newer coolhold"
	for _, u := range unread {
		if kind := fmt.Sprintf("%q", string(u.Kind)); !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
		if u.Garbled {
			why = "written by a newer coolhold or damaged"
		}
	}
	return fmt.Sprintf("%s not read here (%s): %s", Count(len(unread), "entry"), few(kinds, most), why)
}

// fewKinds is how many kinds a line on a screen names.
const fewKinds = 3

// few names the first of many.
func few(kinds []string, most int) string {
	line := ""
	for i, kind := range kinds {
		if i == most {
			return line + fmt.Sprintf(" and %d more", len(kinds)-most)
		}
		if i > 0 {
			line += ", "
		}
		line += kind
	}
	return line
}
