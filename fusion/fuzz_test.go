package fusion

import (
	"strings"
	"testing"
)

// Whatever a scanner gives, it is kept as it came, and of a form that its length and
// signs bear out.
func FuzzReadCode(f *testing.F) {
	for _, s := range []string{"123456789012345678901236", " 12\r", "A1]B~2", "]~", "١٢٣", strings.Repeat("7", 40), strings.Repeat("0", 26), "\x00"} {
		f.Add(s)
	}
	length := map[CodeForm]int{FusionData: 24, ComponentTrace: 26, PipeTrace: 40}
	f.Fuzz(func(t *testing.T, s string) {
		c := ReadCode(s)
		if c.Raw != strings.TrimSpace(s) || ReadCode(c.Raw).Form != c.Form {
			t.Errorf("%q is kept as %q", s, c.Raw)
		}
		if n := length[c.Form]; n > 0 && (len(c.Raw) != n || !allDigits(c.Raw)) || n == 0 && c.Check != NoCheck {
			t.Errorf("%q is %s, %s", s, c.Form, c.Check)
		}
		var fields []string
		for _, p := range c.Parts {
			fields = append(fields, strings.Join(p, "~"))
		}
		if c.Form == TwoDimensional && strings.Join(fields, "]") != c.Raw {
			t.Errorf("%q has the fields %q", s, c.Parts)
		}
	})
}
