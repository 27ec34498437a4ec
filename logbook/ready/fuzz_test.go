package ready

import "testing"

// A range that is read has its colder end first and is read alike again.
func FuzzParseRange(f *testing.F) {
	for _, s := range []string{"-2..14", "3…9", "14..-2", "..", "1..2..3", "−5,5..0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := ParseRange(s)
		if err != nil {
			return
		}
		again, err := NewRange(r.Low.String(), r.High.String())
		if err != nil || again != r || r.Low > r.High || !r.Holds(r.Low) || !r.Holds(r.High) {
			t.Errorf("%q is %v, again %v, %v", s, r, again, err)
		}
	})
}
