package till

import "testing"

func TestTotal(t *testing.T) {
	if got := Total(10, 1); got != 23 {
		t.Errorf("%d", got)
	}
}
