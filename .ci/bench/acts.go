//go:build linux

package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"coolhold/.ci/bench/puts"
	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/store"
)

const tableText = crew.TableText

// A doer stores acts on the last site of a log, as the screens do.
type doer struct {
	l     *store.Log
	h     acts.Head
	weld  string // prepared, before its start
	open  string // a leg that is open
	n     int
	acted float64 // ms that the last took
	many  int     // entries that it stored
}

func newDoer(path string) (*doer, error) {
	l, err := store.Open(path)
	if err != nil {
		return nil, err
	}
	d := &doer{l: l}
	book, err := l.Book(context.Background(), "")
	if err != nil {
		return nil, err
	}
	sites := book.Sites()
	s, _ := book.Site(sites[len(sites)-1].ID)
	d.h = acts.Head{At: s.LastAt.Add(time.Minute), By: crew.Ada, Site: s.ID, Shift: s.Shift}
	for _, w := range book.Welds(s.ID) {
		if w.Walking() {
			d.weld = w.ID
		}
	}
	for _, j := range book.Joints(s.ID) {
		if j.Open() && j.Walk == "" && j.Leg != "" {
			d.open = j.Label
		}
	}
	return d, nil
}

// does stores an act and keeps how long that took.
func (d *doer) does(act func(acts.Head) acts.Act) error {
	d.n++
	d.h.ID = fmt.Sprintf("bench %d", d.n)
	d.h.At = d.h.At.Add(time.Second)
	began := time.Now()
	entries, err := d.l.Append(context.Background(), act(d.h))
	d.acted, d.many = ms(time.Since(began)), len(entries)
	return err
}

// seen is what the foreman sees before he decides.
func (d *doer) seen() (*logbook.Book, audit.Result) {
	book, err := d.l.Book(context.Background(), d.h.Site)
	if err != nil {
		return logbook.NewBook(tag, 1), audit.Result{}
	}
	return book, audit.Run(book, d.h.Site, d.h.At, fusion.Stamp{})
}

// A deed is an act that can be done again and again; then is what follows it and is
// not measured.
type deed struct {
	name string
	do   func(*doer) func(acts.Head) acts.Act
	then func(*doer) error
}

// deeds are the acts whose saving is measured: each of the walk, and those that look
// at the whole site.
var deeds = []deed{
	{name: "usual: resistance", do: func(d *doer) func(acts.Head) acts.Act {
		return func(h acts.Head) acts.Act { return acts.ReadOhms(h, d.weld, new(2.4+float64(d.n%2)/100)) }
	}},
	{name: "temperature", do: func(d *doer) func(acts.Head) acts.Act {
		return func(h acts.Head) acts.Act {
			return acts.ReadAmbient(h, d.weld, fusion.Celsius(900+d.n%2*50), logbook.Typed, nil)
		}
	}},
	{name: "settings", do: func(d *doer) func(acts.Head) acts.Act {
		return func(h acts.Head) acts.Act { return acts.KeySettings(h, d.weld, logbook.ModeKeyed, 80, new(39.5)) }
	}},
	{name: "preparation", do: func(d *doer) func(acts.Head) acts.Act {
		return func(h acts.Head) acts.Act { return acts.AnswerStep(h, d.weld, logbook.StepPrep, crew.Card()) }
	}},
	{name: "begin a weld", do: func(d *doer) func(acts.Head) acts.Act {
		return func(h acts.Head) acts.Act { return acts.BeginWeld(h, d.open, crew.Ada, "CU-2") }
	}, then: giveUp},
	{name: "choose a port", do: func(d *doer) func(acts.Head) acts.Act {
		var port logbook.Answer
		return func(h acts.Head) acts.Act {
			return func(r logbook.Reader) ([]logbook.Draft, error) {
				j, _ := r.Joint(h.Site, d.open)
				port = crew.Say(logbook.ItemPort, fmt.Sprint(j.Port))
				return acts.ChoosePort(h, j.Walk, port)(r)
			}
		}
	}, then: giveUp},
	{name: "start a fusion", do: func(d *doer) func(acts.Head) acts.Act {
		return func(h acts.Head) acts.Act { return acts.StartFusion(h, d.weld, 0) }
	}, then: func(d *doer) error {
		return d.does(func(h acts.Head) acts.Act { return acts.RefuseStart(h, d.weld, "contact", nil) })
	}},
	{name: "weather", do: func(*doer) func(acts.Head) acts.Act {
		return func(h acts.Head) acts.Act {
			return acts.ChangeWeather(h, logbook.Weather{Sky: "wind", Shelter: "none"})
		}
	}},
	{name: "cover a section", do: func(d *doer) func(acts.Head) acts.Act {
		book, res := d.seen()
		covering := audit.CoveringOf(book, res, ahead.Sections(book, d.h.Site)[0])
		return func(h acts.Head) acts.Act { return acts.CoverSection(h, fusion.Stamp{}, covering, true) }
	}},
	{name: "sign a day", do: func(d *doer) func(acts.Head) acts.Act {
		day := d.h.At.Local().Format(time.DateOnly)
		var fails []logbook.Judged
		_, res := d.seen()
		for _, f := range res.OpenFails(day) {
			fails = append(fails, f.Acks()...)
		}
		return func(h acts.Head) acts.Act { return acts.SignDay(h, fusion.Stamp{}, day, fails) }
	}},
	{name: "found at the start", do: func(d *doer) func(acts.Head) acts.Act {
		return func(h acts.Head) acts.Act {
			h.At.BootID = fmt.Sprint("another boot ", d.n)
			return acts.FoundAtStart(h, fusion.Stamp{})
		}
	}},
}

func giveUp(d *doer) error {
	return d.does(func(h acts.Head) acts.Act {
		return func(r logbook.Reader) ([]logbook.Draft, error) {
			j, _ := r.Joint(h.Site, d.open)
			if j.Walk == "" {
				return nil, nil
			}
			return acts.AbandonWalk(h, j.Walk, "the bag was wet")(r)
		}
	})
}

// appending measures a save of each deed beside the same values put by hand.
func appending(b bench) ([]row, error) {
	return b.onEach(b.all(), b.appends)
}

// A saved is how long saves of a deed took, beside the floor.
type saved struct {
	name        string
	ours, floor []float64
}

func (b bench) saves(s size, dir string, times int) (all []saved, err error) {
	log, err := copied(b.dir, s.name, dir)
	if err != nil {
		return nil, err
	}
	aside := filepath.Join(dir, "beside")
	if err := os.Mkdir(aside, 0o700); err != nil {
		return nil, err
	}
	beside, err := copied(b.dir, s.name, aside)
	if err != nil {
		return nil, err
	}
	d, err := newDoer(log)
	if err != nil {
		return nil, err
	}
	by, err := puts.Open(beside)
	if err != nil {
		return nil, err
	}
	for _, what := range deeds {
		one := saved{name: what.name}
		for i := range times + 2 {
			if what.name == "choose a port" {
				if err := d.does(deeds[4].do(d)); err != nil {
					return nil, err
				}
			}
			if err := d.does(what.do(d)); err != nil {
				return nil, fmt.Errorf("%s: %w", what.name, err)
			}
			took := d.acted
			began := time.Now()
			if err := by.Put(max(1, d.many)); err != nil {
				return nil, err
			}
			floor := ms(time.Since(began))
			if what.then != nil {
				if err := what.then(d); err != nil {
					return nil, fmt.Errorf("after %s: %w", what.name, err)
				}
			}
			if i >= 2 { // the first fold what is new to them
				one.ours, one.floor = append(one.ours, took), append(one.floor, floor)
			}
		}
		all = append(all, one)
	}
	return all, nil
}

func (b bench) appends(s size, dir string) ([]row, error) {
	times := 10 * b.rounds
	if b.small {
		times = 10
	}
	all, err := b.saves(s, dir, times)
	if err != nil {
		return nil, err
	}
	worst := slices.MaxFunc(all, func(a, b saved) int {
		return int(1e6 * (quantile(a.ours, 0.5)/quantile(a.floor, 0.5) - quantile(b.ours, 0.5)/quantile(b.floor, 0.5)))
	})
	var rows []row
	for i, v := range []saved{all[0], worst} {
		what := "a save, " + v.name
		if i == 1 {
			what = "a save, the worst: " + v.name
		}
		for _, q := range []float64{0.5, 0.99} {
			r := row{what: fmt.Sprintf("%s, p%.0f", what, 100*q), size: s.label(), unit: "ms", reach: "≤ 1.6 ×", met: atMost(1.6)}
			if i == 1 {
				r.reach, r.met = "≤ 2 ×", atMost(2)
			}
			parts := len(v.ours) / b.rounds
			for n := range b.rounds {
				from, to := n*parts, (n+1)*parts
				r.ours, r.floor = append(r.ours, quantile(v.ours[from:to], q)), append(r.floor, quantile(v.floor[from:to], q))
			}
			rows = append(rows, r)
		}
	}
	return rows, nil
}
