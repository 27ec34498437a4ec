// Package fault says what is wrong in a file that a person wrote, each fault
// with its line, and what was likely meant. Someone who copied a page of figures
// wants the whole list at once.
package fault

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// What a file may be at most before it is some other file. A page that people
// copied never has so many faults.
const (
	MaxBytes  = 1 << 20 // 1 MiB
	MaxItems  = 1000    // of a list; rows
	MaxFaults = 1000    // that are kept
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

// A List is all faults of one file. As an error it prints one to a line.
type List []Fault

// Error lists the faults, one to a line.
func (l List) Error() string {
	lines := make([]string, len(l))
	for i, f := range l {
		lines[i] = f.String()
	}
	return strings.Join(lines, "\n")
}

// InOrder is the list in the order of the lines, the first MaxFaults of it. What
// is cut off, and how many more were not kept at all, is said at the end.
func (l List) InOrder(more int) List {
	l = slices.Clone(l)
	slices.SortStableFunc(l, func(a, b Fault) int { return cmp.Compare(a.Line, b.Line) })
	if cut := len(l) - MaxFaults; cut > 0 {
		l, more = l[:MaxFaults], more+cut
	}
	if more > 0 {
		l = append(l, Fault{Line: l[len(l)-1].Line, What: fmt.Sprintf("and %d more: is it the right file?", more)})
	}
	return l
}

// LineAt is the line that a byte of a file stands in.
func LineAt(data []byte, offset int) int { return 1 + bytes.Count(data[:offset], []byte("\n")) }

// Brief keeps what is quoted from a file short enough for one line.
func Brief(s string) string {
	if utf8.RuneCountInString(s) > 40 {
		return string([]rune(s)[:39]) + "…"
	}
	return s
}

// Quote quotes what came from a file, so that nothing in it acts on a screen.
func Quote(s string) string { return fmt.Sprintf("%q", Brief(s)) }
