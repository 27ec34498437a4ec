package fusion

import (
	"cmp"
	"slices"
	"time"
)

// whole is an order that names each of n jobs once.
func whole(order []int, n int) []int {
	seen := make([]bool, n)
	out := make([]int, 0, n)
	take := func(j int) {
		if j >= 0 && j < n && !seen[j] {
			seen[j] = true
			out = append(out, j)
		}
	}
	for _, j := range order {
		take(j)
	}
	for j := range n {
		take(j)
	}
	return out
}

// A floor is a shop in the middle of its jobs.
type floor struct {
	jobs   []Job
	shop   Shop
	pipes  [][]int         // of a job; none where it is its own
	left   []time.Duration // of a pipe: the time of its jobs not yet placed
	after  [][]int         // of a job: those that wait for it
	units  []time.Duration
	busy   []time.Duration // of a pipe: until when
	held   []time.Duration // of clamp sets: until when, rising
	ready  []time.Duration // of a job
	waits  []int           // of a job: how many it still waits for
	todo   []int
	slots  []Slot
	latest time.Duration   // no job begins before the one placed last
	first  []time.Duration // busy at the beginning
	chain  []time.Duration // of a job: what must follow its fusion in its group
	can    [][]int         // of a job: the units that can fuse it
	skill  []int           // of a unit: how many jobs it can fuse
	place  []int           // of a job: where it lies; -1 where that does not matter
	home   []int           // of a unit: where it is at the beginning; -1: not known
	at     []int           // of a unit: where it is
	places int             // in how many places the jobs lie
	drawn  []Draw          // while jobs are placed
	moved  int
}

func newFloor(jobs []Job, shop Shop) *floor {
	f := &floor{jobs: jobs, shop: shop, pipes: make([][]int, len(jobs)), after: make([][]int, len(jobs))}
	if len(f.shop.Units) == 0 {
		f.shop.Units = []time.Duration{0}
	}
	f.staff()
	pipes := map[string]int{}
	for i, j := range jobs {
		for _, name := range j.pipes() {
			p, met := pipes[name]
			if !met {
				p = len(pipes)
				pipes[name] = p
				f.first = append(f.first, shop.Pipes[name])
			}
			if !slices.Contains(f.pipes[i], p) {
				f.pipes[i] = append(f.pipes[i], p)
			}
		}
	}
	for i, low := range jobs {
		for k, high := range jobs {
			if low.Group != "" && low.Group == high.Group && low.Rank < high.Rank {
				f.after[i] = append(f.after[i], k)
			}
		}
	}
	f.left, f.waits = make([]time.Duration, len(f.first)), make([]int, len(jobs))
	f.chain = f.chains()
	f.reset()
	return f
}

// staff says who can fuse what, and where jobs and units are.
func (f *floor) staff() {
	n := len(f.shop.Units)
	f.skill, f.can, f.place = make([]int, n), make([][]int, len(f.jobs)), make([]int, len(f.jobs))
	ids := map[string]int{"": -1}
	for i, j := range f.jobs {
		f.can[i] = slices.DeleteFunc(slices.Clone(j.Units), func(u int) bool { return u < 0 || u >= n })
		if len(f.can[i]) == 0 {
			f.can[i] = whole(nil, n)
		}
		for _, u := range f.can[i] {
			f.skill[u]++
		}
		f.place[i] = numbered(ids, j.Place)
	}
	f.places = len(ids) - 1
	for u := range n {
		f.home = append(f.home, -1)
		if u < len(f.shop.Places) {
			f.home[u] = numbered(ids, f.shop.Places[u])
		}
	}
}

// numbered is the number of a name, a new one for a new name.
func numbered(ids map[string]int, name string) int {
	id, met := ids[name]
	if !met {
		id = len(ids) - 1
		ids[name] = id
	}
	return id
}

// leastMoves is a number of moves that no order goes below: each unit is or
// begins in one place at most.
func (f *floor) leastMoves() int { return max(0, f.places-len(f.shop.Units)) }

// reset takes the floor back to where no job is placed.
func (f *floor) reset() {
	f.units = append(f.units[:0], f.shop.Units...)
	f.busy = append(f.busy[:0], f.first...)
	f.held = append(f.held[:0], f.shop.Held...)
	slices.Sort(f.held)
	f.at = append(f.at[:0], f.home...)
	f.drawn, f.moved = append(f.drawn[:0], f.shop.Drawing...), 0
	clear(f.left)
	clear(f.waits)
	f.ready, f.latest = f.ready[:0], 0
	for i, j := range f.jobs {
		f.ready = append(f.ready, j.Ready)
		for _, p := range f.pipes[i] {
			f.left[p] += j.work() + j.Cool
		}
		for _, k := range f.after[i] {
			f.waits[k]++
		}
	}
}

// soonest is when a job can be begun.
func (f *floor) soonest(job int) time.Duration {
	_, at := f.begin(job)
	return at
}

// begin is when a job can be begun, and by which unit. On one pipe no job is
// worked while another fuses or cools; since each is fused right after it was
// prepared, the times from beginning to end of hold lie apart.
func (f *floor) begin(job int) (unit int, at time.Duration) {
	from := max(f.latest, f.ready[job])
	for _, p := range f.pipes[job] {
		from = max(from, f.busy[p])
	}
	if n := len(f.held) - f.shop.Clamps; f.shop.Clamps > 0 && n >= 0 {
		from = max(from, f.held[n])
	}
	unit = -1
	var moves time.Duration
	for _, u := range f.can[job] {
		way := f.moves(u, job)
		t := f.lets(job, u, max(from, f.units[u]+way*f.shop.Moving))
		if unit < 0 || cmp.Or(cmp.Compare(t, at), cmp.Compare(way, moves), cmp.Compare(f.skill[u], f.skill[unit])) < 0 {
			unit, at, moves = u, t, way
		}
	}
	return unit, at
}

// moves is 1 where a unit must move to a job, else 0.
func (f *floor) moves(unit, job int) time.Duration {
	if place := f.place[job]; place >= 0 && f.at[unit] >= 0 && f.at[unit] != place {
		return 1
	}
	return 0
}

// lets is the soonest from a time on that supply and hours let a job begin.
func (f *floor) lets(job, unit int, from time.Duration) time.Duration {
	if f.shop.Supply == 0 && len(f.shop.Hours) == 0 {
		return from
	}
	for {
		at := f.inHours(job, f.supplied(job, unit, from))
		if at == from {
			return at
		}
		from = at
	}
}

// inHours is when a job can be begun so that its hold is over on that day.
func (f *floor) inHours(job int, from time.Duration) time.Duration {
	j := &f.jobs[job]
	takes := j.work() + j.Cool
	for _, h := range f.shop.Hours {
		at := max(from, h.From)
		if at+takes <= h.Until || at == h.From && takes > h.Until-h.From {
			return at
		}
		from = max(from, h.Until)
	}
	return from
}

// supplied is when a job can be begun so that the supply carries its fusion with
// all that fuses meanwhile.
func (f *floor) supplied(job, unit int, from time.Duration) time.Duration {
	j, va := &f.jobs[job], f.draw(unit)
	if va == 0 || f.shop.Supply == 0 {
		return from
	}
	for {
		until, over := f.over(from+j.Prepare, from+j.work(), va)
		if !over {
			return from
		}
		from = until - j.Prepare
	}
}

// over tells whether more is drawn at some time than the supply carries with so
// much besides, and when the first of what is drawn then is over.
func (f *floor) over(from, until time.Duration, va int) (end time.Duration, over bool) {
	check := func(at time.Duration) bool {
		sum := 0
		for _, d := range f.drawn {
			if d.From > at || d.Until <= at || d.VA == 0 {
				continue
			}
			if sum += d.VA; sum == d.VA || d.Until < end {
				end = d.Until
			}
		}
		return sum > 0 && sum+va > f.shop.Supply
	}
	if check(from) {
		return end, from < until
	}
	for _, d := range f.drawn {
		if d.From > from && d.From < until && check(d.From) {
			return end, true
		}
	}
	return 0, false
}

func (f *floor) draw(unit int) int {
	if unit < len(f.shop.Draws) {
		return f.shop.Draws[unit]
	}
	return 0
}

// take begins a job as soon as it can be.
func (f *floor) take(job int) Slot {
	j := &f.jobs[job]
	s := Slot{Job: job}
	s.Unit, s.Start = f.begin(job)
	s.Fuse = s.Start + j.Prepare
	s.Fused = s.Fuse + j.Fuse
	s.Held = s.Fused + j.Cool
	s.Wait = s.Held + j.Wait
	if j.WaitFromFusion {
		s.Wait = max(s.Held, s.Fused+j.Wait)
	}
	f.goes(s)
	for _, p := range f.pipes[job] {
		f.busy[p] = s.Held
		f.left[p] -= j.work() + j.Cool
	}
	if f.shop.Clamps > 0 {
		at, _ := slices.BinarySearch(f.held, s.Held)
		f.held = slices.Insert(f.held, at, s.Held)
	}
	for _, k := range f.after[job] {
		f.ready[k] = max(f.ready[k], s.Fused)
		f.waits[k]--
	}
	return s
}

// goes takes the unit of a slot to its place and keeps it there until the fusion
// is over.
func (f *floor) goes(s Slot) {
	f.moved += int(f.moves(s.Unit, s.Job))
	if place := f.place[s.Job]; place >= 0 {
		f.at[s.Unit] = place
	}
	f.units[s.Unit], f.latest = s.Fused, s.Start
	if va := f.draw(s.Unit); f.shop.Supply > 0 && va > 0 {
		f.drawn = slices.DeleteFunc(f.drawn, func(d Draw) bool { return d.Until <= s.Start }) // no job begins before this one
		f.drawn = append(f.drawn, Draw{s.Fuse, s.Fused, va})
	}
}

// run places all jobs in an order. The slots are good until it runs again.
func (f *floor) run(order []int) Schedule {
	f.reset()
	out := Schedule{Slots: f.slots[:0]}
	f.todo = append(f.todo[:0], order...)
	for todo := f.todo; len(todo) > 0; {
		at := slices.IndexFunc(todo, func(j int) bool { return f.waits[j] == 0 })
		s := f.take(todo[at])
		todo = slices.Delete(todo, at, at+1)
		out.Slots = append(out.Slots, s)
		out.LastFusion, out.LastHold, out.Wait = max(out.LastFusion, s.Fused), max(out.LastHold, s.Held), max(out.Wait, s.Wait)
	}
	f.slots, out.Moves = out.Slots, f.moved
	return out
}

// tail is the time that must pass after the job's fusion: its cooling, all other
// jobs left on one of its pipes one after another, or what waits for it.
func (f *floor) tail(job int) time.Duration {
	t := max(f.jobs[job].Cool, f.chain[job])
	for _, p := range f.pipes[job] {
		t = max(t, f.left[p]-f.jobs[job].work())
	}
	return t
}

// chains gives each job the longest time that jobs of higher ranks take after
// its fusion, from the highest rank down.
func (f *floor) chains() []time.Duration {
	order := whole(nil, len(f.jobs))
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(f.jobs[b].Rank, f.jobs[a].Rank) })
	chain := make([]time.Duration, len(f.jobs))
	for _, j := range order {
		for _, k := range f.after[j] {
			chain[j] = max(chain[j], f.jobs[k].work()+max(f.jobs[k].Cool, chain[k]))
		}
	}
	return chain
}

// bound is a time before which the last hold cannot end: what one pipe takes,
// and, for each number of jobs with the longest tails, what the units need for
// these and then the shortest of the tails.
func (f *floor) bound() time.Duration {
	f.reset()
	least := time.Duration(0)
	for p, left := range f.left {
		least = max(least, f.busy[p]+left)
	}
	tail := func(j int) time.Duration { return max(f.jobs[j].Cool, f.chain[j]) }
	order := whole(nil, len(f.jobs))
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(tail(b), tail(a)) })
	sum := slices.Min(f.units) * time.Duration(len(f.units))
	for _, j := range order {
		sum += f.jobs[j].work()
		least = max(least, sum/time.Duration(len(f.units))+tail(j), f.ready[j]+f.jobs[j].work()+tail(j))
	}
	return least
}
