package logbook_test

import (
	"testing"
	"unicode"

	"coolhold/logbook"
)

// What is made harmless has nothing left that acts on a screen, and stays as it is when
// it is made so again.
func FuzzClean(f *testing.F) {
	for _, s := range []string{"a\x1b[2Jb", "\u202eabc", "\u009b31m", "\xff\xfe", "a\r\nb\tc", "\u2028", "\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c := logbook.Clean(s)
		for _, r := range c {
			if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
				t.Errorf("%q keeps %q", s, r)
			}
		}
		if logbook.Clean(c) != c {
			t.Errorf("%q is made harmless twice", s)
		}
	})
}

// A name that is typed is settled at once: typed again it is the same, and the same
// person's.
func FuzzTypedName(f *testing.F) {
	for _, s := range []string{"Ona  Brill", " o'Neill, foreman", "\u200bBo", "A\u0301da", "(x)", ",", "Bo\x1b[0m"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		name, _ := logbook.TypedName(s)
		again, gone := logbook.TypedName(name)
		if again != name || gone != "" {
			t.Errorf("%q is %q, and then %q without %q", s, name, again, gone)
		}
		if logbook.PlainName(logbook.PlainName(s)) != logbook.PlainName(s) {
			t.Errorf("%q is folded twice", s)
		}
		logbook.Near(s, name)
	})
}

// What is read of a value is what is read of the words that it is shown in.
func FuzzValues(f *testing.F) {
	for i, s := range []string{"up", "39,5", "0.4", "yes", "none", "up, flat", "1e9", "-1", "14:05", "2026-03-09 14:05"} {
		f.Add(i, s)
	}
	var all []logbook.About
	for _, v := range logbook.WeldValues {
		all = append(all, v.About)
	}
	for _, v := range logbook.LookValues {
		all = append(all, v.About)
	}
	f.Fuzz(func(t *testing.T, i int, s string) {
		v := all[uint(i)%uint(len(all))]
		stored, err := v.Read(s)
		if err != nil {
			return
		}
		if again, err := v.Read(v.Words(stored)); err != nil || again != stored {
			t.Errorf("%s: %q is %q, shown as %q, again %q, %v", v.Key, s, stored, v.Words(stored), again, err)
		}
	})
}
