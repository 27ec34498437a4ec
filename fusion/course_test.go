package fusion

import (
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func course(stamps ...Stamp) (c Course) {
	for _, s := range stamps {
		c = c.After(s)
	}
	return c
}

// What the entries of a log prove, each sum by hand.
func TestCourse(t *testing.T) {
	const m = time.Minute
	office := func(wall, boot time.Duration) Stamp {
		s := at(wall, boot, "far")
		s.Machine = "office"
		return s
	}
	began := at(0, 100*m, "one")
	day := course(at(-60*m, 40*m, "one"), began, at(45*m, 145*m, "one"))
	for _, c := range []struct {
		name   string
		course Course
		now    Stamp
		left   time.Duration // of an hour
	}{
		{"the same start: its clock alone", day, at(24*60*m, 150*m, "one"), 10 * m},
		{"next morning: 45 min by entries, 5 since the start", day, at(16*60*m, 5*m, "two"), 10 * m},
		{"next morning, the wall clock set back: what the entries prove", day, at(-16*60*m, 5*m, "two"), 15 * m},
		{"the entries of the morning count", course(began, at(30*m, 130*m, "one"), at(900*m, 10*m, "two"), at(905*m, 15*m, "two")), at(906*m, 16*m, "two"), 14 * m},
		{"another machine: what the entries prove", day, office(0, 900*m), 15 * m},
		{"on the other it runs from its first entry", course(began, at(30*m, 130*m, "one"), office(5*m, 900*m), office(15*m, 910*m)), office(20*m, 915*m), 15 * m},
		{"back on the first, which was not switched off", course(began, office(1*m, 900*m), office(2*m, 901*m)), at(20*m, 120*m, "one"), 40 * m},
		{"back after a restart: not from where the other stopped", course(began, at(10*m, 110*m, "one"), office(5*m, 900*m), office(15*m, 910*m), at(40*m, 3*m, "two")), at(42*m, 5*m, "two"), 38 * m},
		{"no entry of its start", course(office(0, 900*m), office(50*m, 950*m)), at(60*m, 7*m, "two"), 53 * m},
		{"an entry that names no start", course(began, Stamp{Wall: noon.Add(50 * m), Boot: 90 * m, Machine: "laptop"}), at(60*m, 7*m, "two"), 53 * m},
		{"an entry stored behind a later one", course(began, at(30*m, 130*m, "one"), at(29*m, 129*m, "one")), at(60*m, 7*m, "two"), 23 * m},
		{"nothing", Course{}, at(60*m, 7*m, "two"), 53 * m},
	} {
		t.Run(c.name, func(t *testing.T) {
			if left, _ := (Span{Began: began, Want: 60 * m}).LeftAlong(c.course, c.now, Stamp{}); left != c.left {
				t.Errorf("%v left, want %v", left, c.left)
			}
		})
	}
}

// How long it may be at most: where the machine was started anew the longer counts.
func TestTheMostThatMayHavePassed(t *testing.T) {
	const m = time.Minute
	began := at(0, 100*m, "one")
	elsewhere := at(40*m, 900*m, "far")
	elsewhere.Machine = "office"
	noStart := began
	noStart.BootID = ""
	for _, c := range []struct {
		name  string
		began Stamp
		now   Stamp
		most  time.Duration
		doubt Doubt
	}{
		{"one start: its clock, whatever the wall clock says", began, at(24*60*m, 110*m, "one"), 10 * m, Sure},
		{"a start between: the wall clocks", began, at(60*m, 2*m, "two"), 60 * m, Restarted},
		{"a start between, the wall clock set back: what the clocks prove", began, at(-60*m, 2*m, "two"), 45 * m, Restarted},
		{"another machine", began, elsewhere, 45 * m, Elsewhere},
		{"no start known: the longer of two clocks", noStart, at(20*m, 150*m, ""), 50 * m, NoBoot},
		{"no start known, the wall clock ran more", noStart, at(70*m, 150*m, ""), 70 * m, NoBoot},
	} {
		t.Run(c.name, func(t *testing.T) {
			day := course(began, at(45*m, 145*m, "one"))
			if most, doubt := day.Most(c.began, c.now, Stamp{}); most != c.most || doubt != c.doubt {
				t.Errorf("%v at most (%q), want %v (%q)", most, doubt, c.most, c.doubt)
			}
		})
	}
}

// Whatever machines, restarts and set clocks a log went through, what its entries
// prove is no more than what passed.
func TestACourseNeverProvesTooMuch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type clocks struct {
			up    time.Duration
			boot  int
			wrong time.Duration
		}
		machines := map[string]*clocks{"laptop": {up: time.Hour}, "office": {up: 50 * time.Hour, wrong: -time.Hour}}
		passed, names := time.Duration(0), []string{"laptop", "office"}
		read := func(name string) Stamp {
			c := machines[name]
			return Stamp{Wall: noon.Add(passed + c.wrong), Boot: c.up, BootID: name + string(rune('a'+c.boot)), Machine: name}
		}
		var c Course
		var began Stamp
		var since time.Duration
		for i := range rapid.IntRange(1, 12).Draw(t, "entries") {
			name := rapid.SampledFrom(names).Draw(t, "machine")
			step := time.Duration(rapid.IntRange(0, 7200).Draw(t, "seconds")) * time.Second
			passed += step
			for other, m := range machines {
				m.up += step
				if other == name && rapid.IntRange(0, 3).Draw(t, "restart") == 0 {
					m.boot, m.up = m.boot+1, min(step, time.Duration(rapid.IntRange(0, 600).Draw(t, "up"))*time.Second)
				}
			}
			machines[name].wrong += time.Duration(rapid.SampledFrom([]int{0, 0, -90000, 90000}).Draw(t, "set")) * time.Second
			at := read(name)
			if c = c.After(at); i == 0 || rapid.IntRange(0, 4).Draw(t, "begins") == 0 {
				began, since = at, passed
			}
		}
		now := read(rapid.SampledFrom(names).Draw(t, "read on"))
		if run, _ := c.Since(began, now, Stamp{}); run > passed-since {
			t.Fatalf("proves %v of %v passed", run, passed-since)
		}
	})
}

// How often the machine was started since says nothing of what asking costs: it is asked
// of every weld, each second.
func TestACourseIsNotWalkedThroughForEachWeld(t *testing.T) {
	began := at(0, time.Hour, "before")
	c := course(began)
	for n := range 1000 {
		day := time.Duration(n+1) * 24 * time.Hour
		c = c.After(at(day, 0, fmt.Sprint("start ", n))).After(at(day+time.Hour, time.Hour, fmt.Sprint("start ", n)))
	}
	now := at(1001*24*time.Hour, time.Minute, "now")
	span := Span{Began: began, Want: 2000 * time.Hour}
	if left, _ := span.LeftAlong(c, now, Stamp{}); left != 1000*time.Hour-time.Minute {
		t.Errorf("%v left of 2,000 h, of which 1,000 h and a minute are proved", left)
	}
	if n := testing.AllocsPerRun(10, func() { span.LeftAlong(c, now, Stamp{}) }); n > 0 {
		t.Errorf("%v allocations at 1,000 starts", n)
	}
}
