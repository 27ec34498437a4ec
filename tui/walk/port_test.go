package walk

import (
	"testing"

	"coolhold/logbook/plan"
)

// A digit chooses a port only where it is the port's own number.
func TestPortsByDigit(t *testing.T) {
	for _, tt := range []struct {
		nos     []int
		byDigit bool
		listed  string
	}{
		{[]int{1, 2, 3}, true, "1…3"},
		{[]int{1, 2, 3, 4, 5, 6, 7, 8, 9}, true, "1…9"},
		{[]int{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, false, "1…10"},
		{[]int{1, 2, 4}, false, "1…2, 4"},
		{[]int{2, 3}, false, "2…3"},
		{[]int{5}, false, "5"},
		{nil, false, ""},
	} {
		var ports []plan.Port
		for _, no := range tt.nos {
			ports = append(ports, plan.Port{No: no})
		}
		if got := byDigit(ports); got != tt.byDigit {
			t.Errorf("%v by digit: %v", tt.nos, got)
		}
		if got := numbers(ports); got != tt.listed {
			t.Errorf("%v are listed as %q, want %q", tt.nos, got, tt.listed)
		}
	}
}
