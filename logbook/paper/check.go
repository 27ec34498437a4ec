package paper

import (
	"fmt"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/fault"
)

const (
	colCheckAt         = "check_at"
	colCheckBy         = "check_by"
	colCheckIndicators = "check_indicators"
	colCheckFelt       = "check_felt"
)

// checkColumns are those of the check at the end of the shift: each weld felt and looked
// at once more.
func checkColumns() []Column {
	indicators, felt := logbook.LookValue("indicators"), logbook.LookValue("felt")
	at := Column{
		Name: colCheckAt, Write: "end-of-shift check: when, 24 h", Example: "16:30", Kind: logbook.AsMoment,
	}
	at.read = readClock(func(r *reading) *time.Time { return &r.checked })
	seen := of(indicators.About, nil)
	seen.Name, seen.Write, seen.Say = colCheckIndicators, "then: "+seen.Write, false
	seen.read = readLook(indicators)
	touched := Column{
		Name: colCheckFelt, Write: "then: " + felt.Options.Either(), Example: `"` + felt.Options.Word("firm") + `"`,
		Choices: felt.Options.Words(), read: readFelt(func(r *reading) *string { return &r.check.Felt }),
	}
	by := Column{
		Name: colCheckBy, Write: "then: who looked, if not the operator", Example: "Bo Invented",
		read: text(func(r *reading) *string { return &r.checkBy }),
	}
	return []Column{at, by, seen, touched}
}

func readLook(v logbook.Value[logbook.Look]) func(*reading, string) (string, error) {
	return func(r *reading, said string) (string, error) {
		stored, err := v.Read(said)
		if err == nil {
			r.check = v.Set(r.check, stored)
		}
		return stored, err
	}
}

// readFelt reads how a joint felt; half a word that says two things is asked about.
func readFelt(at func(*reading) *string) func(*reading, string) (string, error) {
	felt := logbook.LookValue(colFelt)
	return func(r *reading, said string) (string, error) {
		if vague := felt.Options.Vague(said); vague != nil {
			return "", fmt.Errorf("%s does not say which: write %s", fault.Quote(said), either(vague))
		}
		stored, err := felt.Read(said)
		*at(r) = stored
		return stored, err
	}
}

// theCheck is the check of a row, nil where none is told.
func (r *reading) theCheck() *acts.LateCheck {
	if !r.check.Any() || r.checked.IsZero() {
		return nil
	}
	return &acts.LateCheck{At: r.checked, By: r.checkBy, Look: r.check}
}

// checkWhole notes what a check lacks: when it was, and what was seen or felt.
func (p *page) checkWhole(r *reading, given map[string]cell, no int) {
	line := func(name string) int {
		if c, ok := given[name]; ok {
			return c.line
		}
		return no
	}
	said := given[colCheckIndicators].text != "" || given[colCheckFelt].text != "" || given[colCheckBy].text != ""
	switch {
	case r.again || !said && given[colCheckAt].text == "":
	case given[colCheckAt].text == "":
		p.fault(line(colCheckAt), colCheckAt, "is blank, and the check itself is filled in: write when it was, such as 16:30")
	case given[colCheckIndicators].text == "" && given[colCheckFelt].text == "":
		p.fault(line(colCheckAt), colCheckAt, "%s stands there, and nothing that was seen or felt: write that in %s and %s, or leave it blank", fault.Quote(given[colCheckAt].text), colCheckIndicators, colCheckFelt)
	}
}
