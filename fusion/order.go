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
	Also                []string      // further pipes that it is on, where it joins several
	Group               string        // the chamber, where its rows matter; "" is none
	Rank                int           // in the group each lower rank is fused before a higher one is worked
	Ready               time.Duration // it is not worked before
	Place               string        // where it lies; from one place to another takes the shop's Moving; "" is reached from anywhere
	Units               []int         // the places in Shop.Units of those that can fuse it; none named: all can
}

// work is how long the job keeps a unit and the hands at it.
func (j *Job) work() time.Duration { return j.Prepare + j.Fuse }

// pipes are all pipes that the job is on.
func (j Job) pipes() []string {
	if j.Pipe == "" {
		return j.Also
	}
	return append([]string{j.Pipe}, j.Also...)
}

// A Shop is what the jobs are done with. All times count from one moment.
type Shop struct {
	Units  []time.Duration          // when each control unit, with the hands at it, is free; none counts as one that is free
	Clamps int                      // clamp sets in all; 0: enough
	Held   []time.Duration          // when each clamp set in use comes free
	Pipes  map[string]time.Duration // when what runs on a pipe is over

	Places []string      // where each unit is; "" or missing: not known, so its first way takes no time
	Moving time.Duration // from one place to another; 0: not known

	Draws   []int  // VA that each unit takes from the supply while it fuses; 0 or missing: not known, counts as nothing
	Supply  int    // VA that may be drawn at once; 0: not known, no limit. Who draws more than all of it fuses alone
	Drawing []Draw // what is drawn besides

	Hours []Hours // of work, one after another; none: always. After the last of them always
}

// A Draw is what is drawn from the supply for a time.
type Draw struct {
	From, Until time.Duration
	VA          int
}

// Hours are a day's work: a joint is begun and its hold is over in them. One that
// takes longer than the whole day begins with the day.
type Hours struct{ From, Until time.Duration }

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
	Moves                      int           // from one place to another, of all units
}

// before tells whether a schedule is better: its last hold ends earlier, or as
// early with fewer moves.
func (s Schedule) before(o Schedule) bool {
	return cmp.Or(cmp.Compare(s.LastHold, o.LastHold), cmp.Compare(s.Moves, o.Moves)) < 0
}

// Order proposes an order of the jobs that ends the last hold early, and of those
// that end it alike one with few moves: of those that can be begun soonest, the
// one after which the longest time must still pass. Alone with one unit and enough
// clamps that is the longest cooling first, which is optimal (J. R. Jackson, 1955):
// whatever the order the unit is through at the same time, so what cools longest
// must not come late. The rule is then held against other orders, so up to six
// jobs stand in the best there is where units are alike; for more, and where each
// unit can fuse something else, it is near to it as measured in the tests, which
// is no proof.
func Order(jobs []Job, shop Shop) []int {
	return newFloor(jobs, shop).order()
}

// Simulate gives the times of the jobs begun in an order: each as soon as a unit
// that can fuse it is there, a clamp set, its pipe, the lower ranks of its group,
// the supply and the hours of work let it, and none before the one it follows. Of
// units that are there alike it takes one that need not move, then the one that can
// fuse the fewest of the jobs. A job that stands before a lower rank of its group
// comes after it; one that the order leaves out comes last; what the order names
// twice, or what is no job, does not count.
func Simulate(jobs []Job, shop Shop, order []int) Schedule {
	return newFloor(jobs, shop).run(whole(order, len(jobs)))
}

// A rule says what a job is chosen by: the smallest of the first, and of jobs
// alike in it the smallest of the next.
type rule func(f *floor, job int) [3]time.Duration

// rules are what an order may begin with; the first is the one that Order tells
// of. Each of the others leads to better ends in some small cases.
var rules = []rule{
	func(f *floor, j int) [3]time.Duration { return [3]time.Duration{f.soonest(j), -f.tail(j)} },
	func(f *floor, j int) [3]time.Duration { return [3]time.Duration{f.soonest(j), -f.jobs[j].Cool} },
	func(f *floor, j int) [3]time.Duration {
		return [3]time.Duration{f.soonest(j) + f.jobs[j].work(), -f.tail(j)}
	},
}

// stays are rules besides where jobs lie in several places: what lies where a
// unit is goes first, be it at once or after a wait.
var stays = []rule{
	func(f *floor, j int) [3]time.Duration {
		unit, at := f.begin(j)
		return [3]time.Duration{at, f.moves(unit, j), -f.tail(j)}
	},
	func(f *floor, j int) [3]time.Duration {
		unit, at := f.begin(j)
		return [3]time.Duration{f.moves(unit, j), at, -f.tail(j)}
	},
}

// by is the order that a rule gives.
func (f *floor) by(r rule) []int {
	f.reset()
	var order []int
	placed := make([]bool, len(f.jobs))
	for range f.jobs {
		best, least := -1, [3]time.Duration{}
		for j := range f.jobs {
			if placed[j] || f.waits[j] > 0 {
				continue
			}
			if key := r(f, j); best < 0 || slices.Compare(key[:], least[:]) < 0 {
				best, least = j, key
			}
		}
		f.take(best)
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
// last hold does not end as early as it can, or more moves are made than must be,
// all orders of a few jobs are tried; of more, those that differ from a rule's by
// one job moved or two swapped, again and again while one is better.
func (f *floor) order() []int {
	s := &search{floor: f, least: Schedule{LastHold: f.bound(), Moves: f.leastMoves()}}
	s.from(f.by(rules[0]))
	if len(s.order) <= fewJobs {
		s.left = effort
		s.all(slices.Clone(s.order), 0)
		return s.order
	}
	all := rules
	if f.places > 1 {
		all = slices.Concat(rules, stays)
	}
	out, end := s.order, s.best
	for i, r := range all {
		if !s.least.before(end) {
			break
		}
		if i > 0 {
			s.from(f.by(r))
		}
		s.left = effort / len(all)
		for s.pass() {
		}
		if s.best.before(end) {
			out, end = s.order, s.best
		}
	}
	return out
}

// A search is the best order found so far.
type search struct {
	*floor
	order       []int
	best, least Schedule // of these the end and the moves alone
	left        int      // effort
}

// from begins a search at an order.
func (s *search) from(order []int) { s.order, s.best = order, s.run(order) }

// try takes an order that is better; false means that it is enough.
func (s *search) try(order []int) bool {
	if s.left -= len(order); s.left < 0 || !s.least.before(s.best) {
		return false
	}
	if end := s.run(order); end.before(s.best) {
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
	return s.best.before(was)
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
