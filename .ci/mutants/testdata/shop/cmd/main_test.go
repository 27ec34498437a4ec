package main

import "testing"

func TestSaid(t *testing.T) {
	if got := said(); got != 6 {
		t.Errorf("%d", got)
	}
}
