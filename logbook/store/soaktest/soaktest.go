// Package soaktest counts what a soak did: a fault that is made again and again,
// how often something shown as recorded was lost, and how often something was said
// that was not so. Each soak is one line of the table that make soak prints.
package soaktest

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"
	"sync"
	"testing"
)

// lengthEnv says how long the soaks are: without it each is so short that it can
// be run with every test; "full" is what make soak runs, "long" what make
// soak-long does. tableEnv names a file to which each adds its line of the table
// that is printed at the end.
const (
	lengthEnv = "COOLHOLD_SOAK"
	tableEnv  = "COOLHOLD_SOAK_TABLE"
)

// A Soak is one line of the table: a fault, how it was made, and what came of it.
type Soak struct {
	t          *testing.T
	fault, how string

	mu           sync.Mutex
	runs         int
	lost, untrue []string
	also         []string
	handedOn     bool
}

// New begins a soak, whose line is written once the test has ended.
func New(t *testing.T, fault, how string) *Soak {
	s := &Soak{t: t, fault: fault, how: how}
	t.Cleanup(s.write)
	return s
}

// Rounds is how often something is done: in every test, in a soak, in a long one.
func Rounds(t *testing.T, short, full, long int) int {
	t.Helper()
	switch s := os.Getenv(lengthEnv); s {
	case "":
		return short
	case "full":
		return full
	case "long":
		return long
	default:
		t.Fatalf("%s=%q: full or long", lengthEnv, s)
		return 0
	}
}

// Ran counts a run.
func (s *Soak) Ran() { s.mu.Lock(); defer s.mu.Unlock(); s.runs++ }

// Runs is how many runs were counted.
func (s *Soak) Runs() int { s.mu.Lock(); defer s.mu.Unlock(); return s.runs }

// Loses says that something shown as recorded is not there, or not as it was.
func (s *Soak) Loses(format string, args ...any) {
	s.t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	s.lost = append(s.lost, fmt.Sprintf(format, args...))
	s.t.Errorf("lost: "+format, args...)
}

// Lies says that what was said is not so.
func (s *Soak) Lies(format string, args ...any) {
	s.t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	s.untrue = append(s.untrue, fmt.Sprintf(format, args...))
	s.t.Errorf("untrue: "+format, args...)
}

// Counts is a remark at the end of the line.
func (s *Soak) Counts(format string, args ...any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.also = append(s.also, fmt.Sprintf(format, args...))
}

// HandOn leaves the line to another program that does the same test.
func (s *Soak) HandOn() { s.handedOn = true }

func (s *Soak) write() {
	if s.handedOn {
		return
	}
	// A soak of no runs has shown nothing.
	if s.runs == 0 && !s.t.Skipped() && !s.t.Failed() {
		s.t.Error("nothing was done")
	}
	state := strconv.Itoa(s.runs)
	switch {
	case s.t.Skipped():
		state = "SKIPPED"
	case s.t.Failed():
		state += ", FAILED"
	}
	line := fmt.Sprintf("| %s | %s | %s | %d | %d | `-run %s` | %s |",
		s.fault, s.how, state, len(s.lost), len(s.untrue), s.t.Name(), strings.Join(s.also, ", "))
	s.t.Log(line)
	name := os.Getenv(tableEnv)
	if name == "" {
		return
	}
	f, err := os.OpenFile(name, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err == nil {
		_, err = fmt.Fprintln(f, line)
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		s.t.Error(err)
	}
}
