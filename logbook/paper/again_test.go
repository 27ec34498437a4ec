package paper

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

const lookRow = `joint,operator,date,start,outcome,indicators,melt,felt,look_again,remarks,cut_out
1A,Hedda Ünvented,10.3.2026,14:05,,up / flat,,"firm, cool",yes,from above,
`

// A row of another look says who looked and when, and what; what is blank nobody said.
func TestAnotherLook(t *testing.T) {
	lines := parsed(t, []byte(lookRow))
	started := time.Date(2026, 3, 10, 14, 5, 0, 0, time.UTC)
	want := acts.LateWeld{
		Again: true, Joint: "1A", Operator: "Hedda Ünvented", Started: started, Remarks: "from above",
		Look:  logbook.Look{Indicators: []string{"up", "flat"}, Felt: "firm"},
		Why:   "nothing left blank",
		Paper: &logbook.PaperRow{File: "van.csv", Line: 2, Key: lines[0].Key},
	}
	if got := lines[0].Weld("van.csv"); !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func TestFaultsOfAnotherLook(t *testing.T) {
	for _, tt := range []struct{ name, was, is, want string }{
		{"what belongs to a weld", ",,up / flat", ",completed,up / flat", "2: outcome: is no part of another look: leave it blank, or take the yes out of look_again"},
		{"a cut-out", "from above,", "from above,crooked", "2: cut_out: is no part of another look: leave it blank, or take the yes out of look_again"},
		{"nothing seen", `up / flat,,"firm, cool"`, `,,could not feel`, "2: look_again: nothing that was seen or felt is written in the row"},
		{"no word", "yes,", "perhaps,", `2: outcome: is blank; without it the weld cannot be taken in: write completed, stopped or nobody saw
2: look_again: "perhaps" is not known: write yes, or leave it blank
2: felt: is asked at another look only: write yes in look_again, or leave it blank`},
		{"half a word", `"firm, cool"`, "firm", `2: felt: "firm" does not say which: write firm, cool or firm, still hot`},
		{"without its time", "14:05", "", "2: start: is blank; without it the weld cannot be taken in: write it as 14:05 (current on, 24 h)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, faults := Parse([]byte(strings.Replace(lookRow, tt.was, tt.is, 1)), time.UTC)
			if faults.Error() != tt.want {
				t.Errorf("got\n%v\nwant\n%s", faults, tt.want)
			}
		})
	}
}
