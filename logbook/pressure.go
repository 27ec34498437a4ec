package logbook

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"coolhold/fusion"
)

// A Timed is when something was done: the stamp of its entry, and the time that was
// stated where it was entered later.
type Timed struct {
	At     fusion.Stamp
	Stated *time.Time
	Seq    uint64 // of its entry: of two things of one minute the earlier entry came first; 0: not known
}

// Local is the local time, as stated where it was.
func (t Timed) Local() time.Time {
	if t.Stated != nil {
		return *t.Stated
	}
	return t.At.Local()
}

// Until is how long it is to something later; sure tells whether one clock counted it,
// or both times were stated by a person.
func (t Timed) Until(o Timed) (d time.Duration, sure bool) {
	if t.Stated == nil && o.Stated == nil && t.At.SameBoot(o.At) {
		return o.At.Boot - t.At.Boot, true
	}
	return o.Local().Sub(t.Local()), t.Stated != nil && o.Stated != nil
}

// A PhaseBegun is a phase of a test with who began it.
type PhaseBegun struct {
	PressurePhased
	Signature
}

// When is when it was begun.
func (p PhaseBegun) When() Timed { return Timed{p.At, p.Stated, p.Seq} }

// A Reading is one of a test: a pressure, or water that was let out. One that was put
// right keeps its time.
type Reading struct {
	PressureRead
	Signature
	Was   []PressureRead // what stood there before, oldest first
	Fixes []Request      // who put it right, and why
}

// When is when it was read.
func (r Reading) When() Timed { return Timed{r.At, r.Stated, r.Seq} }

// A PressureEnd is how a test ended, with who said so.
type PressureEnd struct {
	PressureEnded
	Signature
}

// When is when it ended.
func (e PressureEnd) When() Timed { return Timed{e.At, e.Stated, e.Seq} }

// A Pressed is a look at a weld under pressure with who looked.
type Pressed struct {
	PressureLook
	Signature
}

// A PressureTest is one test of a section, folded from its entries. It holds no result:
// that follows from its readings.
type PressureTest struct {
	ID string // with the mark of its log where several are read together
	PressureBegun
	Signature
	Phases    []PhaseBegun
	Readings  []Reading
	Ended     *PressureEnd
	Withdrawn *Withdrawal
	from      *Origin
}

// When is when it was begun.
func (t PressureTest) When() Timed { return Timed{t.At, t.Stated, t.Seq} }

// pressed are the tests of a site after one more entry of theirs.
func pressed(tests []PressureTest, e *Entry, body Body) []PressureTest {
	if b, begins := body.(PressureBegun); begins {
		t := PressureTest{ID: b.Test, PressureBegun: b, Signature: signature(e), from: e.from}
		if e.from != nil {
			t.ID += e.from.Mark
		}
		return append(slices.Clip(tests), t)
	}
	tests = slices.Clone(tests)
	for i := range tests {
		if t := &tests[i]; t.Test == testOf(body) && (t.from == e.from || t.from.same(e.from)) {
			*t = t.after(e, body)
		}
	}
	return tests
}

// testOf is the test that an entry is about.
func testOf(body Body) string {
	switch b := body.(type) {
	case PressurePhased:
		return b.Test
	case PressureRead:
		return b.Test
	case PressureEnded:
		return b.Test
	case PressureWithdrawn:
		return b.Test
	}
	return ""
}

func (t PressureTest) after(e *Entry, body Body) PressureTest {
	switch b := body.(type) {
	case PressurePhased:
		t.Phases = append(slices.Clip(t.Phases), PhaseBegun{b, signature(e)})
	case PressureRead:
		t.Readings = read(t.Readings, e, b)
	case PressureEnded:
		t.Ended = &PressureEnd{b, signature(e)}
	case PressureWithdrawn:
		t.Withdrawn = &Withdrawal{signature(e), b.Why}
	}
	return t
}

// read is one more reading, or one that is put right.
func read(all []Reading, e *Entry, b PressureRead) []Reading {
	if b.Instead < 1 || b.Instead > len(all) {
		return append(slices.Clip(all), Reading{PressureRead: b, Signature: signature(e)})
	}
	all = slices.Clone(all)
	r := &all[b.Instead-1]
	r.Was = append(slices.Clip(r.Was), r.PressureRead)
	r.Fixes = append(slices.Clip(r.Fixes), Request{signature(e), b.Why})
	if b.Stated == nil {
		b.Stated = r.Stated
	}
	r.PressureRead = b
	return all
}

// Counts tells whether it was a test.
func (t PressureTest) Counts() bool { return t.Withdrawn == nil }

// Open tells whether it goes on.
func (t PressureTest) Open() bool { return t.Counts() && t.Ended == nil }

// Phase is the one that goes on, or went on last.
func (t PressureTest) Phase() (PhaseBegun, bool) {
	if len(t.Phases) == 0 {
		return PhaseBegun{}, false
	}
	return t.Phases[len(t.Phases)-1], true
}

// PhaseOf is when a phase was begun, last, and the one that followed it; nil where it
// goes on.
func (t PressureTest) PhaseOf(phase PressurePhase) (at PhaseBegun, next *PhaseBegun, begun bool) {
	for i, p := range slices.Backward(t.Phases) {
		if p.Phase != phase {
			continue
		}
		if i+1 < len(t.Phases) {
			next = &t.Phases[i+1]
		}
		return p, next, true
	}
	return PhaseBegun{}, nil, false
}

// Before tells whether one time lies before another, by one clock where there is one.
func (t Timed) Before(o Timed) bool {
	d, _ := t.Until(o)
	return d > 0 || d == 0 && 0 < t.Seq && t.Seq < o.Seq
}

// Pressures are the readings of pressure from one time on and before another, in the
// order of their times; nil is no end.
func (t PressureTest) Pressures(from Timed, until *Timed) []Reading {
	var out []Reading
	for _, r := range t.Readings {
		if r.Bar != nil && !r.When().Before(from) && (until == nil || r.When().Before(*until)) {
			out = append(out, r)
		}
	}
	slices.SortStableFunc(out, func(a, b Reading) int {
		d, _ := b.When().Until(a.When())
		return int(max(-1, min(1, d)))
	})
	return out
}

// TestOf finds a test by its number, in upper or lower case; of a log with one test
// nothing need be said.
func (s Site) TestOf(id string) (PressureTest, bool) {
	for _, t := range s.Tests {
		if strings.EqualFold(t.ID, strings.TrimSpace(id)) {
			return t, true
		}
	}
	return PressureTest{}, false
}

// NextTest is the number of the next test of a site in a log with that tag.
func (s Site) NextTest(tag string) string {
	most := 0
	for _, t := range s.Tests {
		_, no, _ := strings.Cut(t.Test, "-P")
		if n, err := strconv.Atoi(no); err == nil {
			most = max(most, n)
		}
	}
	return fmt.Sprintf("%s-P%d", tag, most+1)
}

// TestsOf are the tests of a section that count, oldest first.
func (s Site) TestsOf(id SectionID) []PressureTest {
	var out []PressureTest
	for _, t := range s.Tests {
		if t.Section == id && t.Counts() {
			out = append(out, t)
		}
	}
	return out
}

// Day is the local date on which it was begun.
func (t PressureTest) Day() string { return t.When().Local().Format(time.DateOnly) }
