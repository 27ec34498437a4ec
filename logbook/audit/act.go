package audit

// The acts beside this file rest on what the audit found. Each is given what a
// person saw and judges again on the records inside the transaction, so that
// nothing is answered that nobody saw. What they refuse is one line, the same on
// a screen and from a verb.

// A Refusal is an error of the acts whose line says all.
type Refusal struct {
	Kind error
	Line string
}

func (e Refusal) Error() string { return e.Line }
func (e Refusal) Unwrap() error { return e.Kind }
