package paper

import (
	"fmt"
	"slices"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/fault"
)

const (
	colAgain = "look_again"
	colFelt  = "felt"
)

// againColumns are those of a row that tells of another look at a weld that stands in
// the joint, and not of a weld.
func againColumns() []Column {
	felt := logbook.LookValue(colFelt)
	return []Column{
		{
			Name: colFelt, Choices: felt.Options.Words(), Write: "at another look only: " + felt.Options.Either(), Example: `"` + felt.Options.Word("firm") + `"`,
			read: readFelt(func(r *reading) *string { return &r.felt }),
		},
		{
			Name: colAgain, Tick: logbook.YesNos.Word(logbook.Yes), Choices: []string{logbook.YesNos.Word(logbook.Yes)}, Write: "yes: no weld but another look at the one that stands; operator is who looked, start is when", Example: "yes",
			read: func(r *reading, said string) (string, error) {
				code, known := logbook.YesNos.Code(said)
				if !known || code == logbook.NotKnown {
					return "", fmt.Errorf("%s is not known: write yes, or leave it blank", fault.Quote(said))
				}
				r.again = code == logbook.Yes
				return code, nil
			},
		},
	}
}

// isAgain tells whether a row is another look.
func isAgain(given map[string]cell) bool {
	code, _ := logbook.YesNos.Code(given[colAgain].text)
	return code == logbook.Yes || isOne(ticks, given[colAgain].text)
}

// ofALook are the columns that such a row may fill in.
func ofALook(name string) bool {
	return slices.Contains([]string{colJoint, colOperator, colDate, colStart, colFelt, colAgain, colRemarks}, name) ||
		slices.ContainsFunc(logbook.LookValues, func(v logbook.Value[logbook.Look]) bool { return v.Key == name })
}

// asALook notes what stands in a row and cannot be said by it.
func (p *page) asALook(r *reading, given map[string]cell, no int) {
	if !r.again {
		if r.felt != "" {
			p.fault(given[colFelt].line, colFelt, "is asked at another look only: write yes in %s, or leave it blank", colAgain)
		}
		return
	}
	for i := range Columns {
		if c := given[Columns[i].Name]; c.text != "" && !ofALook(Columns[i].Name) {
			p.fault(c.line, Columns[i].Name, "is no part of another look: leave it blank, or take the yes out of %s", colAgain)
		}
	}
	if look := r.look(); !look.Saw() {
		p.fault(no, colAgain, "nothing that was seen or felt is written in the row")
	}
}

// look is what a row says was seen; what is left blank nobody said.
func (r *reading) look() logbook.Look {
	look := acts.LateOf(r.w).Look
	look.Felt = r.felt
	return look
}

// looked is the row of another look.
func (r *reading) looked() acts.LateWeld {
	return acts.LateWeld{Again: true, Joint: r.w.Joint, Operator: r.w.Operator, Started: r.started, Look: r.look(), Remarks: r.remarks}
}
