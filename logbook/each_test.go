package logbook_test

import (
	"errors"
	"sync/atomic"
	"testing"

	"coolhold/logbook"
)

// Each comes to all of them once, few or many, and tells of every fault.
func TestEach(t *testing.T) {
	odd, even := errors.New("odd"), errors.New("even")
	for _, n := range []int{0, 1, 99, 100, 1000, 1001} {
		did := make([]atomic.Int32, n)
		if err := logbook.Each(n, func(i int) error { did[i].Add(1); return nil }); err != nil {
			t.Errorf("of %d: %v", n, err)
		}
		for i := range did {
			if did[i].Load() != 1 {
				t.Errorf("of %d: %d was done %d times", n, i, did[i].Load())
			}
		}
	}
	err := logbook.Each(1000, func(i int) error {
		switch i {
		case 500:
			return even
		case 501:
			return odd
		}
		return nil
	})
	if !errors.Is(err, odd) || !errors.Is(err, even) {
		t.Errorf("of two faults it tells %v", err)
	}
}
