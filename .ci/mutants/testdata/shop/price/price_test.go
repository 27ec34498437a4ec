package price

import "testing"

func TestOf(t *testing.T) {
	for n, want := range map[int]int{0: 0, 1: 3, 9: 27, 20: 40} {
		if got, err := Of(n); got != want || err != nil {
			t.Errorf("%d cost %d, %v", n, got, err)
		}
	}
}

func TestHalvings(t *testing.T) {
	if got := Halvings(9); got != 3 {
		t.Errorf("%d", got)
	}
}
