package audit

import (
	"fmt"

	"coolhold/logbook"
)

// The acts beside this file rest on what the audit found. Each is given what a
// person saw and judges again on the records inside the transaction, so that
// nothing is answered that nobody saw. What they refuse is one line, the same on
// a screen and from a verb.

// A refusal is an error of the acts whose line says all.
type refusal struct {
	kind error
	line string
}

func (e refusal) Error() string { return e.line }
func (e refusal) Unwrap() error { return e.kind }

func refuse(kind error, format string, args ...any) error {
	return refusal{kind, fmt.Sprintf(format, args...)}
}

// drafted is the entry of an act, on a weld, on a joint, or on the whole site.
func drafted(h logbook.Head, joint, weld string, b logbook.Body) []logbook.Draft {
	return []logbook.Draft{{ID: h.ID, At: h.At, By: h.By, Site: h.Site, Shift: h.Shift, Joint: joint, Weld: weld, Body: b}}
}
