package widget

import (
	"slices"
	"strings"
	"testing"
)

// A label or a date that is broken at its hyphen would be read as two.
func TestWrapKeepsHyphens(t *testing.T) {
	got := Wrap("fits North-9A, North-10B, on 2026-03-09", 12)
	for i := range got {
		got[i] = strings.TrimSpace(got[i])
	}
	if want := []string{"fits", "North-9A,", "North-10B,", "on", "2026-03-09"}; !slices.Equal(got, want) {
		t.Errorf("wrapped as %q", got)
	}
	if got := Wrap("North-10B", 5); slices.Equal(got, []string{"North-10B"}) {
		t.Error("what is wider than the window is not broken")
	}
	if got := Wrap("any", 0); got != nil {
		t.Errorf("no width: %q", got)
	}
}
