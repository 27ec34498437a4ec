package paper

import (
	"strings"
	"testing"
	"time"
)

// A sign in the column of who welded is nobody's name; that it is not known can be said.
func TestASignIsNoWelder(t *testing.T) {
	for _, name := range []string{"?", "-", "C"} {
		_, faults := Parse([]byte(strings.Replace(plain, "Ada Ünvented", name, 1)), time.UTC)
		if len(faults) != 1 || faults[0].Field != colOperator || !strings.Contains(faults[0].What, "is no name") {
			t.Errorf("%q: %v", name, faults)
		}
	}
	if lines := parsed(t, []byte(strings.Replace(plain, "Ada Ünvented", "not known", 1))); lines[0].Weld("s").Operator != "not known" {
		t.Error("that nobody knows it is not taken")
	}
}
