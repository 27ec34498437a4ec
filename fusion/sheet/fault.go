package sheet

import (
	"fmt"
	"strings"
)

// A Fault is one thing that is wrong in a file, put so that the person who
// wrote the file can find it.
type Fault struct {
	Line  int    // first line is 1; 0 where the fault has no place of its own
	Where string // the thing meant, "fitting \"coupler 40\"", or "" for the file
	Field string // the key meant, or ""
	What  string // what is wrong and what to do
}

// String gives "LINE: WHERE: FIELD: WHAT" without the parts that are empty, so
// that "FILE:" in front of it makes a place most editors can jump to.
func (f Fault) String() string {
	parts := make([]string, 0, 4)
	if f.Line > 0 {
		parts = append(parts, fmt.Sprint(f.Line))
	}
	for _, p := range []string{f.Where, f.Field, f.What} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, ": ")
}

// Faults are all faults of one file, in the order of their lines. As an error
// they print one to a line.
type Faults []Fault

// Error lists the faults, one to a line.
func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.String()
	}
	return strings.Join(lines, "\n")
}
