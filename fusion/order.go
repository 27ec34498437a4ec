package fusion

import (
	"cmp"
	"slices"
	"time"
)

// A Job is one joint that is left to fuse, as far as its place in an order
// matters. All times are 0 or more.
type Job struct {
	Prepare, Fuse, Cool time.Duration
	Wait                time.Duration // before a pressure test; 0 where none is printed
	WaitFromFusion      bool          // it counts from the end of fusion, not of cooling
	Pipe                string        // jobs on one pipe move together; "" is a pipe of its own
	Group               string        // the chamber, where its rows matter; "" is none
	Rank                int           // in the group each lower rank is fused before a higher one is worked
	Ready               time.Duration // it is not worked before
}

// work is how long the job keeps a unit and the hands at it.
func (j Job) work() time.Duration { return j.Prepare + j.Fuse }

// A Shop is what the jobs are done with. All times count from one moment.
type Shop struct {
	Units  []time.Duration          // when each control unit, with the hands at it, is free; none counts as one that is free
	Clamps int                      // clamp sets in all; 0: enough
	Held   []time.Duration          // when each clamp set in use comes free
	Pipes  map[string]time.Duration // when what runs on a pipe is over
}

// A Slot is one job in its place. A job is worked from Start: prepared to Fuse,
// fused to Fused, held to Held.
type Slot struct {
	Job, Unit                int
	Start, Fuse, Fused, Held time.Duration
	Wait                     time.Duration // from when the job lets a pressure test begin
}

// A Schedule is the jobs with their times, in the order of their starts.
type Schedule struct {
	Slots                      []Slot
	LastFusion, LastHold, Wait time.Duration // the ends; 0 without jobs
}

// Order proposes an order of the jobs that ends the last hold early: of those
// that can be begun soonest, the one after which the longest time must still
// pass. Alone with one unit and enough clamps that is the longest cooling
// first, which is optimal (J. R. Jackson, 1955): whatever the order the unit is
// through at the same time, so what cools longest must not come late. What
// shares a pipe with others has all their time to come after its own. The rule
// is then held against other orders, so up to six jobs stand in the best there
// is; for more it is near to it as measured in the tests, which is no proof.
func Order(jobs []Job, shop Shop) []int {
	return newFloor(jobs, shop).order()
}

// Simulate gives the times of the jobs begun in an order: each as soon as a
// unit, a clamp set, its pipe and the lower ranks of its group let it, and none
// before the one it follows. A job that stands before a lower rank of its group
// comes after it; one that the order leaves out comes last; what the order names
// twice, or what is no job, does not count.
func Simulate(jobs []Job, shop Shop, order []int) Schedule {
	return newFloor(jobs, shop).run(whole(order, len(jobs)))
}

// A rule says what a job is chosen by: the smallest of one time, and of jobs
// alike in it the largest of the other.
type rule func(f *floor, job int) (least, most time.Duration)

// rules are what an order may begin with; the first is the one that Order tells
// of. Each of the others leads to better ends in some small cases.
var rules = []rule{
	func(f *floor, j int) (time.Duration, time.Duration) { return f.soonest(j), f.tail(j) },
	func(f *floor, j int) (time.Duration, time.Duration) { return f.soonest(j), f.jobs[j].Cool },
	func(f *floor, j int) (time.Duration, time.Duration) {
		return f.soonest(j) + f.jobs[j].work(), f.tail(j)
	},
}

// by is the order that a rule gives.
func (f *floor) by(r rule) []int {
	f.reset()
	var order []int
	placed := make([]bool, len(f.jobs))
	for range f.jobs {
		best, least, most := -1, time.Duration(0), time.Duration(0)
		for j := range f.jobs {
			if placed[j] || f.waits[j] > 0 {
				continue
			}
			l, m := r(f, j)
			if best < 0 || cmp.Or(cmp.Compare(l, least), cmp.Compare(most, m)) < 0 {
				best, least, most = j, l, m
			}
		}
		f.place(best)
		placed[best] = true
		order = append(order, best)
	}
	return order
}

// fewJobs is up to how many jobs every order is tried, and effort how many
// times a job is placed at most where there are more, so that a long list costs
// no more than a short one: our choice.
const (
	fewJobs = 6
	effort  = 8000
)

// order is the first rule's order, or a better one that is found. As long as the
// last hold does not end as early as it can, all orders of a few jobs are tried;
// of more, those that differ from a rule's by one job moved or two swapped, again
// and again while one is better.
func (f *floor) order() []int {
	first := f.by(rules[0])
	s := &search{floor: f, order: first, best: f.run(first).LastHold, least: f.bound()}
	if len(first) <= fewJobs {
		s.left = effort
		s.all(slices.Clone(first), 0)
		return s.order
	}
	out, end := s.order, s.best
	for i, r := range rules {
		if end <= s.least {
			break
		}
		if i > 0 {
			s.order = f.by(r)
			s.best = f.run(s.order).LastHold
		}
		s.left = effort / len(rules)
		for s.pass() {
		}
		if s.best < end {
			out, end = s.order, s.best
		}
	}
	return out
}

// A search is the best order found so far.
type search struct {
	*floor
	order       []int
	best, least time.Duration
	left        int // effort
}

// try takes an order that is better; false means that it is enough.
func (s *search) try(order []int) bool {
	if s.left -= len(order); s.left < 0 || s.best <= s.least {
		return false
	}
	if end := s.run(order).LastHold; end < s.best {
		s.order, s.best = slices.Clone(order), end
	}
	return true
}

// all tries every order of what comes from at on.
func (s *search) all(p []int, at int) {
	if at == len(p) {
		s.try(p)
		return
	}
	for i := at; i < len(p); i++ {
		p[at], p[i] = p[i], p[at]
		s.all(p, at+1)
		p[at], p[i] = p[i], p[at]
	}
}

// pass tries each move and swap once, and tells whether another pass may help.
func (s *search) pass() bool {
	was := s.best
	for i := range s.order {
		for k := range s.order {
			if !s.try(swapped(s.order, i, k)) || !s.try(moved(s.order, i, k)) {
				return false
			}
		}
	}
	return s.best < was
}

func swapped(order []int, i, k int) []int {
	c := slices.Clone(order)
	c[i], c[k] = c[k], c[i]
	return c
}

func moved(order []int, i, k int) []int {
	c := slices.Delete(slices.Clone(order), i, i+1)
	return slices.Insert(c, k, order[i])
}
