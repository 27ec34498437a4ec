package fusion

import (
	"fmt"
	"slices"
	"strings"
)

// An End is the end of one pipe that a fitting is to take. A size or class of 0
// is one that nobody stated; it is not compared.
type End struct {
	Name string // "stub", "pipe A/FG"; what an error calls it
	OdMM int
	SDR  SDR
}

// String gives "stub 40 mm SDR 11", without what is not stated.
func (e End) String() string {
	s := e.Name
	if e.OdMM != 0 {
		s += fmt.Sprintf(" %d mm", e.OdMM)
	}
	if e.SDR != 0 {
		s += fmt.Sprintf(" SDR %s", e.SDR)
	}
	return strings.TrimSpace(s)
}

// Stated tells whether size and class are both known.
func (e End) Stated() bool { return e.OdMM != 0 && e.SDR != 0 }

// WallMM is the least wall of the pipe in mm; false where none is known.
func (e End) WallMM() (float64, bool) { return WallMM(e.OdMM, e.SDR) }

// Fits tells whether the fitting may be fused to the ends that meet at a joint,
// by what its table says; the error is the reason why not, in one plain line that
// names the end. The sizes of the fitting must be met too: a reducer between two
// pipes of one size is the wrong one.
func (f Fitting) Fits(ends ...End) error {
	for _, e := range ends {
		if e.OdMM != 0 && !slices.Contains(f.SizesMM, e.OdMM) {
			return fmt.Errorf("%s: %s takes %s mm", e, f.Name, either(f.SizesMM))
		}
		if e.SDR != 0 && !slices.Contains(f.SDR, e.SDR) {
			return fmt.Errorf("%s: %s is for SDR %s", e, f.Name, either(f.SDR))
		}
	}
	if len(ends) > f.Ends {
		return fmt.Errorf("%s: %s takes %d of the %d ends that meet here", ends[f.Ends], f.Name, f.Ends, len(ends))
	}
	return f.met(ends)
}

// met holds the sizes of a fitting against the stated sizes at its faces. Where it
// has one for each face, no face takes two ends; where it has fewer each must be
// met once the sizes at all its faces are stated; of more, one is chosen.
func (f Fitting) met(ends []End) error {
	var sizes []int
	for _, e := range ends {
		if e.OdMM != 0 {
			sizes = append(sizes, e.OdMM)
		}
	}
	unmet := func(mm int) bool { return !slices.Contains(sizes, mm) }
	crowded := func(mm int) bool { return count(sizes, mm) > count(f.SizesMM, mm) }
	if len(f.SizesMM) == f.Ends && slices.ContainsFunc(sizes, crowded) ||
		len(f.SizesMM) < f.Ends && len(sizes) == f.Ends && slices.ContainsFunc(f.SizesMM, unmet) {
		return fmt.Errorf("%s joins %s mm, and ends of %s mm meet here", f.Name, all(f.SizesMM), all(sizes))
	}
	return nil
}

func count(list []int, n int) (times int) {
	for _, m := range list {
		if m == n {
			times++
		}
	}
	return times
}

// Takes are the pipes that the fitting takes: "40 and 32 mm, SDR 11 or 17".
func (f Fitting) Takes() string {
	return fmt.Sprintf("%s mm, SDR %s", all(f.SizesMM), either(f.SDR))
}

// either lists numbers as "32", "32 or 40", "32, 40 or 63".
func either[N any](ns []N) string { return listOf(ns, " or ") }

// all lists them with "and".
func all[N any](ns []N) string { return listOf(ns, " and ") }

func listOf[N any](ns []N, last string) string {
	parts := make([]string, len(ns))
	for i, n := range ns {
		parts[i] = fmt.Sprint(n)
	}
	if n := len(parts) - 1; n > 0 {
		return strings.Join(parts[:n], ", ") + last + parts[n]
	}
	return strings.Join(parts, "")
}
