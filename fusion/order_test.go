package fusion

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// permute calls f with every order of n jobs.
func permute(n int, f func([]int)) {
	p := whole(nil, n)
	var rec func(int)
	rec = func(at int) {
		if at == n {
			f(p)
			return
		}
		for i := at; i < n; i++ {
			p[at], p[i] = p[i], p[at]
			rec(at + 1)
			p[at], p[i] = p[i], p[at]
		}
	}
	rec(0)
}

// optimum is the earliest end of the last hold over all orders. Simulate begins
// each job as soon as the order lets it, so no schedule ends earlier than the
// best of them: the order of its starts would give one as good.
func optimum(jobs []Job, shop Shop) time.Duration {
	f := newFloor(jobs, shop)
	best := time.Duration(1 << 62)
	permute(len(jobs), func(p []int) { best = min(best, f.run(p).LastHold) })
	return best
}

// All durations of these tests are drawn or invented.
func drawJobs(t *rapid.T, most int) []Job {
	minutes := func(low, high int, what string) time.Duration {
		return time.Duration(rapid.IntRange(60*low, 60*high).Draw(t, what)) * time.Second
	}
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Job {
		return Job{
			Prepare: minutes(0, 20, "prepare"), Fuse: minutes(0, 5, "fuse"), Cool: minutes(0, 40, "cool"), Wait: minutes(0, 90, "wait"),
			WaitFromFusion: rapid.Bool().Draw(t, "from fusion"),
		}
	}), 0, most).Draw(t, "jobs")
}

// One unit, enough clamps, no pipe shared, no rows: the longest cooling first
// is optimal (J. R. Jackson, 1955), against every order.
func TestLongestCoolingFirstIsOptimal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jobs := drawJobs(t, 7)
		order := Order(jobs, Shop{})
		for i := 1; i < len(order); i++ {
			if jobs[order[i-1]].Cool < jobs[order[i]].Cool {
				t.Fatalf("order %v of %+v: not the longest cooling first", order, jobs)
			}
		}
		if got, best := Simulate(jobs, Shop{}, order).LastHold, optimum(jobs, Shop{}); len(jobs) > 0 && got != best {
			t.Fatalf("order %v of %+v ends at %v, the best at %v", order, jobs, got, best)
		}
	})
}

// Up to six jobs stand in the best of all orders, whatever the shop.
func TestFewJobsStandInTheBestOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jobs := drawJobs(t, fewJobs)
		shop := drawShop(t, jobs)
		if got := Simulate(jobs, shop, Order(jobs, shop)).LastHold; len(jobs) > 0 && got != optimum(jobs, shop) {
			t.Fatalf("%+v in %+v end at %v, the best at %v", jobs, shop, got, optimum(jobs, shop))
		}
	})
}

// A setting is a kind of small case, with the distance to the optimum that was
// measured over its draws, rounded up.
type setting struct {
	name                string
	units               int
	clamps, pipes, rows bool
	mean, worst         float64
	tees                bool // some jobs are on two pipes
}

func (s setting) draw(r *rand.Rand) ([]Job, Shop) {
	var jobs []Job
	const n = 7
	for range n {
		j := Job{Prepare: 8 * time.Minute, Fuse: time.Duration(30+r.IntN(150)) * time.Second, Cool: time.Duration(4+r.IntN(26)) * time.Minute}
		if r.IntN(2) == 0 {
			j.Prepare = time.Duration(5+r.IntN(10)) * time.Minute
		}
		if s.pipes {
			j.Pipe = fmt.Sprint(r.IntN(n))
			if s.tees && r.IntN(3) == 0 {
				j.Also = []string{fmt.Sprint(r.IntN(n))}
			}
		}
		if s.rows {
			j.Group, j.Rank = []string{"A", "B", ""}[r.IntN(3)], r.IntN(2)
		}
		jobs = append(jobs, j)
	}
	shop := Shop{Units: make([]time.Duration, s.units)}
	if s.clamps {
		shop.Clamps = 1 + r.IntN(3)
	}
	return jobs, shop
}

// Elsewhere the rule is no proof: its distance to the best of all orders is
// reported, and must not become larger than it was measured.
func TestDistanceToTheOptimum(t *testing.T) {
	const cases = 50
	for i, s := range []setting{
		{"one unit, shared pipes", 1, false, true, false, 1.003, 1.034, false},
		{"one unit, few clamps", 1, true, false, false, 1.003, 1.038, false},
		{"one unit, rows", 1, false, false, true, 1, 1, false},
		{"two units", 2, false, false, false, 1, 1, false},
		{"one unit, few clamps, shared pipes, rows", 1, true, true, true, 1.003, 1.046, false},
		{"two units, few clamps, shared pipes, rows", 2, true, true, true, 1.001, 1.021, false},
		{"one unit, jobs on two pipes", 1, false, true, false, 1.001, 1.020, true},
		{"two units, few clamps, jobs on two pipes, rows", 2, true, true, true, 1.002, 1.014, true},
	} {
		r := rand.New(rand.NewPCG(1955, uint64(i)))
		sum, rule, worst, hit, at := 0.0, 0.0, 1.0, 0, ""
		for range cases {
			jobs, shop := s.draw(r)
			got, best := Simulate(jobs, shop, Order(jobs, shop)).LastHold, optimum(jobs, shop)
			if least := newFloor(jobs, shop).bound(); least > best {
				t.Fatalf("%s: the bound %v is above the optimum %v of %+v in %+v", s.name, least, best, jobs, shop)
			}
			ratio := float64(got) / float64(best)
			if sum += ratio; ratio > worst {
				worst, at = ratio, fmt.Sprintf("; worst: %v for %v, %+v in %+v", got, best, jobs, shop)
			}
			if got == best {
				hit++
			}
			rule += float64(Simulate(jobs, shop, newFloor(jobs, shop).by(rules[0])).LastHold) / float64(best)
		}
		t.Logf("%s: optimal in %d of %d cases, on average %.4f of the optimum (the rule alone %.4f), at worst %.3f%s", s.name, hit, cases, sum/cases, rule/cases, worst, at)
		if sum/cases > s.mean || worst > s.worst {
			t.Errorf("%s: on average %.4f (measured %.4f), at worst %.3f (measured %.3f)", s.name, sum/cases, s.mean, worst, s.worst)
		}
	}
}

func drawShop(t *rapid.T, jobs []Job) Shop {
	name := func(what string, of ...string) string { return rapid.SampledFrom(of).Draw(t, what) }
	for i := range jobs {
		jobs[i].Pipe, jobs[i].Group = name("pipe", "", "1", "2", "3"), name("group", "", "A", "B")
		jobs[i].Also = rapid.SliceOfN(rapid.SampledFrom([]string{"1", "2", "4"}), 0, 2).Draw(t, "also")
		jobs[i].Rank = rapid.IntRange(0, 2).Draw(t, "rank")
		jobs[i].Ready = time.Duration(rapid.IntRange(0, 30).Draw(t, "ready")) * time.Minute
	}
	soon := rapid.Map(rapid.IntRange(0, 20), func(m int) time.Duration { return time.Duration(m) * time.Minute })
	return Shop{
		Units: rapid.SliceOfN(soon, 0, 3).Draw(t, "units"), Clamps: rapid.IntRange(0, 3).Draw(t, "clamps"),
		Held:  rapid.SliceOfN(soon, 0, 4).Draw(t, "held"),
		Pipes: map[string]time.Duration{"1": soon.Draw(t, "pipe 1"), "9": soon.Draw(t, "pipe 9")},
	}
}

// drawLimits adds to a shop what only some have: what each unit can fuse, a
// supply, places, hours of work.
func drawLimits(t *rapid.T, jobs []Job, shop Shop) Shop {
	n := func(low, high int, what string) int { return rapid.IntRange(low, high).Draw(t, what) }
	for i := range jobs {
		jobs[i].Units = rapid.SliceOfN(rapid.IntRange(0, max(0, len(shop.Units)-1)), 0, 2).Draw(t, "can fuse it")
		jobs[i].Place = rapid.SampledFrom([]string{"", "A", "B", "C"}).Draw(t, "place")
	}
	for range shop.Units {
		shop.Draws = append(shop.Draws, n(0, 3, "draw"))
		shop.Places = append(shop.Places, rapid.SampledFrom([]string{"", "A", "B"}).Draw(t, "at"))
	}
	shop.Supply, shop.Moving = n(0, 5, "supply"), time.Duration(n(0, 10, "moving"))*time.Minute
	shop.Drawing = []Draw{{0, time.Duration(n(0, 40, "drawn until")) * time.Minute, n(0, 3, "drawn")}}
	if rapid.Bool().Draw(t, "hours") {
		end := time.Duration(n(20, 90, "evening")) * time.Minute
		shop.Hours = []Hours{{-time.Hour, end}, {10 * time.Hour, 12 * time.Hour}, {20 * time.Hour, 22 * time.Hour}}
	}
	return shop
}

// keepsToLimits checks one slot against those before it.
func keepsToLimits(t *rapid.T, jobs []Job, shop Shop, slots []Slot, i int) {
	s, j := slots[i], jobs[slots[i].Job]
	if len(j.Units) > 0 && !slices.Contains(j.Units, s.Unit) {
		t.Fatalf("%+v is given to a unit that cannot fuse it: %+v", s, j)
	}
	place, free := "", time.Duration(0)
	if s.Unit < len(shop.Units) {
		place, free = shop.Places[s.Unit], shop.Units[s.Unit]
	}
	for _, b := range slots[:i] {
		if b.Unit == s.Unit {
			free = b.Fused
			if p := jobs[b.Job].Place; p != "" {
				place = p
			}
		}
	}
	if place != "" && j.Place != "" && place != j.Place && s.Start < free+shop.Moving {
		t.Fatalf("%+v is begun before its unit can be there", s)
	}
	keepsToHours(t, j, s, shop.Hours)
}

func keepsToHours(t *rapid.T, j Job, s Slot, hours []Hours) {
	if len(hours) == 0 || s.Start >= hours[len(hours)-1].Until {
		return
	}
	for _, h := range hours {
		if s.Start >= h.From && s.Held <= h.Until || s.Start == h.From && j.work()+j.Cool > h.Until-h.From {
			return
		}
	}
	t.Fatalf("%+v lies outside the hours of work %v", s, hours)
}

// mostDrawn is the most that is drawn at once where two or more draw. It only
// rises where a fusion begins.
func mostDrawn(shop Shop, slots []Slot) int {
	drawn := slices.Clone(shop.Drawing)
	for _, s := range slots {
		if s.Unit < len(shop.Draws) && s.Fuse < s.Fused {
			drawn = append(drawn, Draw{s.Fuse, s.Fused, shop.Draws[s.Unit]})
		}
	}
	most := 0
	for _, at := range drawn {
		sum, n := 0, 0
		for _, d := range drawn {
			if d.From <= at.From && at.From < d.Until && d.VA > 0 {
				sum, n = sum+d.VA, n+1
			}
		}
		if n > 1 {
			most = max(most, sum)
		}
	}
	return most
}

// Whatever order is given, the schedule keeps to the shop.
func TestScheduleKeepsToTheShop(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jobs := drawJobs(t, 10)
		shop := drawLimits(t, jobs, drawShop(t, jobs))
		order := rapid.SliceOf(rapid.IntRange(-1, 11)).Draw(t, "order")
		if rapid.Bool().Draw(t, "by the rule") {
			order = Order(jobs, shop)
		}
		s := Simulate(jobs, shop, order)
		if len(s.Slots) != len(jobs) {
			t.Fatalf("%d jobs in %d slots", len(jobs), len(s.Slots))
		}
		seen := map[int]bool{}
		for i, a := range s.Slots {
			seen[a.Job] = true
			keepsToLimits(t, jobs, shop, s.Slots, i)
			keepsAlone(t, jobs[a.Job], a, shop)
			for _, b := range s.Slots[i+1:] {
				keepsApart(t, jobs, a, b)
			}
			if shop.Clamps > 0 && clamped(s.Slots, shop.Held, a.Start) > shop.Clamps {
				t.Fatalf("more than %d clamp sets are on at %v: %+v", shop.Clamps, a.Start, s.Slots)
			}
			if a.Fused > s.LastFusion || a.Held > s.LastHold || a.Wait > s.Wait {
				t.Fatalf("%+v ends after its schedule %+v", a, s)
			}
		}
		if most := mostDrawn(shop, s.Slots); shop.Supply > 0 && most > shop.Supply {
			t.Fatalf("%d VA are drawn at once of %d: %+v", most, shop.Supply, s.Slots)
		}
		if len(seen) != len(jobs) {
			t.Fatalf("a job is there twice: %+v", s.Slots)
		}
	})
}

func keepsAlone(t *rapid.T, j Job, a Slot, shop Shop) {
	wait := a.Held + j.Wait
	if j.WaitFromFusion {
		wait = max(a.Held, a.Fused+j.Wait)
	}
	if a.Fuse != a.Start+j.Prepare || a.Fused != a.Fuse+j.Fuse || a.Held != a.Fused+j.Cool || a.Wait != wait {
		t.Fatalf("%+v is not timed as %+v", a, j)
	}
	if a.Start < j.Ready || slices.ContainsFunc(j.pipes(), func(p string) bool { return a.Start < shop.Pipes[p] }) || len(shop.Units) > 0 && a.Start < shop.Units[a.Unit] {
		t.Fatalf("%+v begins before it can, %+v in %+v", a, j, shop)
	}
}

// keepsApart checks two jobs of which a begins no later.
func keepsApart(t *rapid.T, jobs []Job, a, b Slot) {
	ja, jb := jobs[a.Job], jobs[b.Job]
	if b.Start < a.Start {
		t.Fatalf("%+v stands before %+v", a, b)
	}
	if a.Unit == b.Unit && b.Start < a.Fused {
		t.Fatalf("one unit at two joints: %+v, %+v", a, b)
	}
	shared := slices.ContainsFunc(ja.pipes(), func(p string) bool { return slices.Contains(jb.pipes(), p) })
	if shared && b.Start < a.Held {
		t.Fatalf("one pipe worked in a hold: %+v, %+v", a, b)
	}
	if ja.Group == "" || ja.Group != jb.Group {
		return
	}
	if ja.Rank > jb.Rank || ja.Rank < jb.Rank && b.Start < a.Fused {
		t.Fatalf("the rows are not kept: %+v, %+v", a, b)
	}
}

func clamped(slots []Slot, held []time.Duration, at time.Duration) int {
	n := 0
	for _, s := range slots {
		if s.Start <= at && at < s.Held {
			n++
		}
	}
	for _, h := range held {
		if at < h {
			n++
		}
	}
	return n
}

// A morning of three joints by hand.
func TestScheduleByHand(t *testing.T) {
	m := func(n int) time.Duration { return time.Duration(n) * time.Minute }
	jobs := []Job{
		{Prepare: m(8), Fuse: m(1), Cool: m(6), Wait: m(60)},
		{Prepare: m(8), Fuse: m(2), Cool: m(20), Pipe: "header"},
		{Prepare: m(8), Fuse: m(2), Cool: m(12), Pipe: "header", Wait: m(90), WaitFromFusion: true},
	}
	tests := []struct {
		name  string
		shop  Shop
		order []int
		starts, held,
		ends []time.Duration // ends: last fusion, last hold, wait
	}{
		{"one unit", Shop{}, []int{1, 0, 2}, []time.Duration{0, m(10), m(30)}, []time.Duration{m(30), m(25), m(52)}, []time.Duration{m(40), m(52), m(130)}},
		{"as typed", Shop{}, []int{0, 1, 2}, []time.Duration{0, m(9), m(39)}, []time.Duration{m(15), m(39), m(61)}, []time.Duration{m(49), m(61), m(139)}},
		{"one clamp", Shop{Clamps: 1}, []int{1, 0, 2}, []time.Duration{0, m(30), m(45)}, []time.Duration{m(30), m(45), m(67)}, []time.Duration{m(55), m(67), m(145)}},
		{"two units, one busy", Shop{Units: []time.Duration{m(5), 0}}, []int{1, 0, 2}, []time.Duration{0, m(5), m(30)}, []time.Duration{m(30), m(20), m(52)}, []time.Duration{m(40), m(52), m(130)}},
		{"the pipe is held", Shop{Pipes: map[string]time.Duration{"header": m(3)}}, []int{0, 1, 2}, []time.Duration{0, m(9), m(39)}, []time.Duration{m(15), m(39), m(61)}, []time.Duration{m(49), m(61), m(139)}},
	}
	for _, tt := range tests {
		s := Simulate(jobs, tt.shop, tt.order)
		var starts, held []time.Duration
		for _, a := range s.Slots {
			starts, held = append(starts, a.Start), append(held, a.Held)
		}
		if ends := []time.Duration{s.LastFusion, s.LastHold, s.Wait}; !slices.Equal(starts, tt.starts) || !slices.Equal(held, tt.held) || !slices.Equal(ends, tt.ends) {
			t.Errorf("%s: begun %v, held to %v, ends %v; want %v, %v, %v", tt.name, starts, held, ends, tt.starts, tt.held, tt.ends)
		}
	}
	if got := Order(jobs, Shop{}); !slices.Equal(got, []int{1, 0, 2}) {
		t.Errorf("order %v", got)
	}
}

// One pipe takes its jobs one after another, however many units there are: no
// order ends before that.
func TestBoundOfAPipe(t *testing.T) {
	m := func(n int) time.Duration { return time.Duration(n) * time.Minute }
	jobs := []Job{
		{Prepare: m(8), Fuse: m(1), Cool: m(6), Pipe: "header"},
		{Prepare: m(8), Fuse: m(2), Cool: m(10), Pipe: "header"},
		{Prepare: m(1), Fuse: m(1), Cool: m(1), Pipe: "loop"},
	}
	shop := Shop{Units: make([]time.Duration, 3), Pipes: map[string]time.Duration{"header": m(3)}}
	if got := newFloor(jobs, shop).bound(); got != m(3+15+20) {
		t.Errorf("the bound is %v, want %v", got, m(3+15+20))
	}
}

// A joint of three pipes waits for each of them, and holds each.
func TestAJobOnSeveralPipes(t *testing.T) {
	m := func(n int) time.Duration { return time.Duration(n) * time.Minute }
	jobs := []Job{
		{Prepare: m(8), Fuse: m(2), Cool: m(20), Pipe: "header", Also: []string{"run", "branch", "run"}},
		{Prepare: m(8), Fuse: m(1), Cool: m(6), Also: []string{"branch"}},
		{Prepare: m(8), Fuse: m(1), Cool: m(6), Pipe: "loop"},
		{Prepare: m(8), Fuse: m(1), Cool: m(6), Pipe: "run"},
	}
	shop := Shop{Units: make([]time.Duration, 4), Pipes: map[string]time.Duration{"branch": m(3)}}
	s := Simulate(jobs, shop, []int{2, 0, 1, 3})
	var starts []time.Duration
	for _, slot := range s.Slots {
		starts = append(starts, slot.Start)
	}
	if want := []time.Duration{0, m(3), m(33), m(33)}; !slices.Equal(starts, want) {
		t.Errorf("begun %v, want %v", starts, want)
	}
	if got := newFloor(jobs, shop).bound(); got != m(3+30+15) {
		t.Errorf("the bound is %v, want %v", got, m(3+30+15))
	}
}

// After the fusion of a lower rank the higher ones of its group must still be
// worked, and the longest hold of them waited for.
func TestChains(t *testing.T) {
	m := func(n int) time.Duration { return time.Duration(n) * time.Minute }
	jobs := []Job{
		{Prepare: m(8), Fuse: m(2), Cool: m(3), Group: "A"},
		{Prepare: m(8), Fuse: m(1), Cool: m(30), Group: "A", Rank: 1},
		{Prepare: m(4), Fuse: m(1), Cool: m(6), Group: "A", Rank: 2},
		{Prepare: m(4), Fuse: m(1), Cool: m(90), Group: "B", Rank: 2},
		{Prepare: m(4), Fuse: m(1), Cool: m(90), Rank: 2},
	}
	want := []time.Duration{m(8 + 1 + 30), m(4 + 1 + 6), 0, 0, 0}
	if got := newFloor(jobs, Shop{}).chain; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// Sixty joints of ten chambers in equal pairs, and sixty of all kinds.
func BenchmarkOrder(b *testing.B) {
	equal, mixed := make([]Job, 60), make([]Job, 60)
	r := rand.New(rand.NewPCG(1, 1))
	for i := range equal {
		equal[i] = Job{Prepare: 8 * time.Minute, Fuse: 40 * time.Second, Cool: 6 * time.Minute, Pipe: fmt.Sprint(i / 2), Group: fmt.Sprint(i / 6), Rank: i % 2}
		mixed[i] = equal[i]
		mixed[i].Cool = time.Duration(r.IntN(1800)) * time.Second
	}
	for _, bb := range []struct {
		name string
		jobs []Job
		shop Shop
	}{{"equal", equal, Shop{}}, {"mixed", mixed, Shop{}}, {"mixed, two units, three clamps", mixed, Shop{Units: make([]time.Duration, 2), Clamps: 3}}} {
		b.Run(bb.name, func(b *testing.B) {
			for b.Loop() {
				Order(bb.jobs, bb.shop)
			}
		})
	}
}

// Two units, one of which cannot fuse the large fitting; a generator that carries
// one; a chamber and the trench 10 min apart; an evening. By hand.
func TestLimitsByHand(t *testing.T) {
	m := func(n int) time.Duration { return time.Duration(n) * time.Minute }
	large, small := Job{Prepare: m(8), Fuse: m(2), Cool: m(10), Units: []int{1}, Place: "trench"}, Job{Prepare: m(8), Fuse: m(2), Cool: m(6), Place: "A"}
	two := func(change func(*Shop)) Shop {
		s := Shop{Units: make([]time.Duration, 2)}
		change(&s)
		return s
	}
	for _, tt := range []struct {
		name  string
		jobs  []Job
		shop  Shop
		want  [][3]time.Duration // unit, start, end of hold
		moves int
	}{
		{"the one that can", []Job{large, large}, two(func(*Shop) {}), [][3]time.Duration{{1, 0, m(20)}, {1, m(10), m(30)}}, 0},
		{"who can fuse more is spared", []Job{small, {Prepare: m(8), Fuse: m(2), Cool: m(10), Units: []int{0}}}, two(func(*Shop) {}), [][3]time.Duration{{1, 0, m(16)}, {0, 0, m(20)}}, 0},
		{"one at a time", []Job{small, large}, two(func(s *Shop) { s.Draws, s.Supply = []int{3000, 3000}, 5000 }), [][3]time.Duration{{0, 0, m(16)}, {1, m(2), m(22)}}, 0},
		{"both are carried", []Job{small, large}, two(func(s *Shop) { s.Draws, s.Supply = []int{3000, 2000}, 5000 }), [][3]time.Duration{{0, 0, m(16)}, {1, 0, m(20)}}, 0},
		{"one plate is not declared", []Job{small, large}, two(func(s *Shop) { s.Draws, s.Supply = []int{3000}, 3000 }), [][3]time.Duration{{0, 0, m(16)}, {1, 0, m(20)}}, 0},
		{"after what fuses", []Job{small}, two(func(s *Shop) { s.Draws, s.Supply, s.Drawing = []int{3000, 3000}, 5000, []Draw{{0, m(11), 3000}} }), [][3]time.Duration{{0, m(3), m(19)}}, 0},
		{"after the first of two that fuse", []Job{small}, two(func(s *Shop) {
			s.Draws, s.Supply, s.Drawing = []int{3000, 3000}, 5000, []Draw{{0, m(30), 1000}, {0, m(11), 2000}}
		}), [][3]time.Duration{{0, m(3), m(19)}}, 0},
		{"before what will fuse", []Job{small}, two(func(s *Shop) {
			s.Draws, s.Supply, s.Drawing = []int{3000, 3000}, 5000, []Draw{{m(9), m(12), 3000}}
		}), [][3]time.Duration{{0, m(4), m(20)}}, 0},
		{"a way", []Job{small, large, small}, Shop{Units: make([]time.Duration, 1), Places: []string{"A"}, Moving: m(5)}, [][3]time.Duration{{0, 0, m(16)}, {0, m(15), m(35)}, {0, m(30), m(46)}}, 2},
		{"where it is not known", []Job{large}, Shop{Moving: m(5)}, [][3]time.Duration{{0, 0, m(20)}}, 0},
		{"the next day", []Job{small, small}, Shop{Hours: []Hours{{-m(600), m(20)}, {m(800), m(1500)}}}, [][3]time.Duration{{0, 0, m(16)}, {0, m(800), m(816)}}, 0},
		{"longer than any day", []Job{small}, Shop{Hours: []Hours{{-m(5), m(10)}, {m(800), m(810)}}}, [][3]time.Duration{{0, m(800), m(816)}}, 0},
	} {
		s := Simulate(tt.jobs, tt.shop, whole(nil, len(tt.jobs)))
		var got [][3]time.Duration
		for _, a := range s.Slots {
			got = append(got, [3]time.Duration{time.Duration(a.Unit), a.Start, a.Held})
		}
		if !slices.Equal(got, tt.want) || s.Moves != tt.moves {
			t.Errorf("%s: %v with %d moves, want %v with %d", tt.name, got, s.Moves, tt.want, tt.moves)
		}
	}
}

// Orders that end alike are told apart by their moves: what lies in one place is
// done before the next is gone to, on a long list too.
func TestOrderMovesLittle(t *testing.T) {
	for _, n := range []int{3, 10} {
		var jobs []Job
		for i := range 2 * n {
			jobs = append(jobs, Job{Prepare: 8 * time.Minute, Fuse: time.Minute, Cool: time.Duration(6+4*(i/n)) * time.Minute, Place: string(rune('A' + i%n))})
		}
		s := Simulate(jobs, Shop{}, Order(jobs, Shop{}))
		rule := newFloor(jobs, Shop{}).run(newFloor(jobs, Shop{}).by(rules[0]))
		if s.Moves != n-1 || s.LastHold != rule.LastHold || rule.Moves < 2*(n-1) {
			t.Errorf("%d places: %d moves and the end at %v, by the first rule %d and %v", n, s.Moves, s.LastHold, rule.Moves, rule.LastHold)
		}
	}
}
