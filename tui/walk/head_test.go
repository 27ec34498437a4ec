package walk

import (
	"strings"
	"testing"

	"coolhold/tui/widget"
)

// The head of a walk keeps joint and number, and leaves the rest out before it runs into
// the name of the step.
func TestTheHeadOfAWalkIsLeftOutInParts(t *testing.T) {
	parts := []string{"1A", "KM-0001", "coupler 40", "green tape"}
	for width, want := range map[int]string{
		60: "1A   KM-0001   coupler 40   green tape", 36: "1A  KM-0001  coupler 40  green tape", 34: "1A   KM-0001   green tape", 11: "1A  KM-0001", 8: "1A  KM-…",
	} {
		if got := headed(parts, width); got != want || widget.Width(got) > width {
			t.Errorf("%d columns: %q, want %q", width, got, want)
		}
	}
	if strings.Join(parts, " ") != "1A KM-0001 coupler 40 green tape" {
		t.Error("the parts were changed")
	}
}
