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
	pipe   []int           // of a job; -1 where it is its own
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
}

func newFloor(jobs []Job, shop Shop) *floor {
	f := &floor{jobs: jobs, shop: shop, pipe: make([]int, len(jobs)), after: make([][]int, len(jobs))}
	if len(f.shop.Units) == 0 {
		f.shop.Units = []time.Duration{0}
	}
	pipes := map[string]int{}
	for i, j := range jobs {
		f.pipe[i] = -1
		if j.Pipe == "" {
			continue
		}
		p, met := pipes[j.Pipe]
		if !met {
			p = len(pipes)
			pipes[j.Pipe] = p
			f.first = append(f.first, shop.Pipes[j.Pipe])
		}
		f.pipe[i] = p
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

// reset takes the floor back to where no job is placed.
func (f *floor) reset() {
	f.units = append(f.units[:0], f.shop.Units...)
	f.busy = append(f.busy[:0], f.first...)
	f.held = append(f.held[:0], f.shop.Held...)
	slices.Sort(f.held)
	clear(f.left)
	clear(f.waits)
	f.ready, f.latest = f.ready[:0], 0
	for i, j := range f.jobs {
		f.ready = append(f.ready, j.Ready)
		if p := f.pipe[i]; p >= 0 {
			f.left[p] += j.work() + j.Cool
		}
		for _, k := range f.after[i] {
			f.waits[k]++
		}
	}
}

// soonest is when a job can be begun. On one pipe no job is worked while
// another fuses or cools; since each is fused right after it was prepared, the
// times from beginning to end of hold lie apart.
func (f *floor) soonest(job int) time.Duration {
	at := max(f.latest, f.ready[job], slices.Min(f.units))
	if p := f.pipe[job]; p >= 0 {
		at = max(at, f.busy[p])
	}
	if n := len(f.held) - f.shop.Clamps; f.shop.Clamps > 0 && n >= 0 {
		at = max(at, f.held[n])
	}
	return at
}

// place begins a job as soon as it can be.
func (f *floor) place(job int) Slot {
	j := f.jobs[job]
	s := Slot{Job: job, Start: f.soonest(job)}
	for f.units[s.Unit] > s.Start { // one is free by then
		s.Unit++
	}
	s.Fuse = s.Start + j.Prepare
	s.Fused = s.Fuse + j.Fuse
	s.Held = s.Fused + j.Cool
	s.Wait = s.Held + j.Wait
	if j.WaitFromFusion {
		s.Wait = max(s.Held, s.Fused+j.Wait)
	}
	f.units[s.Unit], f.latest = s.Fused, s.Start
	if p := f.pipe[job]; p >= 0 {
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

// run places all jobs in an order. The slots are good until it runs again.
func (f *floor) run(order []int) Schedule {
	f.reset()
	out := Schedule{Slots: f.slots[:0]}
	f.todo = append(f.todo[:0], order...)
	for todo := f.todo; len(todo) > 0; {
		at := slices.IndexFunc(todo, func(j int) bool { return f.waits[j] == 0 })
		s := f.place(todo[at])
		todo = slices.Delete(todo, at, at+1)
		out.Slots = append(out.Slots, s)
		out.LastFusion, out.LastHold, out.Wait = max(out.LastFusion, s.Fused), max(out.LastHold, s.Held), max(out.Wait, s.Wait)
	}
	f.slots = out.Slots
	return out
}

// tail is the time that must pass after the job's fusion: its cooling, all other
// jobs left on its pipe one after another, or what waits for it.
func (f *floor) tail(job int) time.Duration {
	t := max(f.jobs[job].Cool, f.chain[job])
	if p := f.pipe[job]; p >= 0 {
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
