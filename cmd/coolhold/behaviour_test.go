package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// A told is a script of acts at a door, with what each verb said.
type told struct {
	*door
	said strings.Builder
}

func tells(d *door) *told { return &told{door: d} }

// ends runs a verb, which must end with a code, and keeps what it said.
func (s *told) ends(code int, args ...string) string {
	s.t.Helper()
	out, got := s.verb(args...)
	if got != code {
		s.t.Fatalf("%q: exit code %d, want %d\n%s", args, got, code, out)
	}
	fmt.Fprintf(&s.said, "$ coolhold %s\n%s[%d]\n\n", spelled(args), out, code)
	return out
}

func (s *told) done(args ...string) string    { s.t.Helper(); return s.ends(exitDone, args...) }
func (s *told) found(args ...string) string   { s.t.Helper(); return s.ends(exitFindings, args...) }
func (s *told) refused(args ...string) string { s.t.Helper(); return s.ends(exitRefused, args...) }

// spelled is a command line with quotes where they are needed.
func spelled(args []string) string {
	args = slices.Clone(args)
	for i, a := range args {
		if strings.ContainsAny(a, " \t") || a == "" {
			args[i] = "'" + a + "'"
		}
	}
	return strings.Join(args, " ")
}

func TestBehaviourTry(t *testing.T) {
	s := corrieLane(t)
	t.Log(s.said.String())
}
