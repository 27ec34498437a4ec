//go:build linux

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"
)

// A grown is something measured at several sizes.
type grown struct {
	what    string
	figures []float64
}

// grows prints what each thing takes by the joints of a site, and by the welds of a log
// whose open site is always the same, with the exponent that fits.
func (b bench) grows(only *regexp.Regexp) error {
	began := time.Now()
	for _, by := range []struct {
		title string
		sizes []size
		n     func(size) float64
		flat  string
	}{
		{"joints of the site", b.sites(), func(s size) float64 { return float64(s.last) }, "nothing above 1.1"},
		{"welds of the log, in all of which the open site has 500 joints", b.growing(), func(s size) float64 { return float64(doneJoints*s.sites + s.last) }, "start, saves and keys flat"},
	} {
		if len(by.sizes) < 2 {
			continue
		}
		fmt.Printf("\nBy %s (%s), ms:\n\n| what |", by.title, by.flat)
		var ns []float64
		for _, s := range by.sizes {
			ns = append(ns, by.n(s))
			fmt.Printf(" %.0f |", by.n(s))
		}
		fmt.Printf(" exponent |\n|---|%s---|\n", strings.Repeat("---|", len(ns)))
		table := map[string]*grown{}
		var order []*grown
		for _, s := range by.sizes {
			at, err := b.at(s)
			if err != nil {
				return fmt.Errorf("%s: %w", s.name, err)
			}
			for _, g := range at {
				if table[g.what] == nil {
					table[g.what] = &grown{what: g.what}
					order = append(order, table[g.what])
				}
				table[g.what].figures = append(table[g.what].figures, g.figures...)
			}
		}
		for _, g := range order {
			if !only.MatchString(g.what) || len(g.figures) != len(ns) {
				continue
			}
			fmt.Printf("| %s |", g.what)
			for _, f := range g.figures {
				fmt.Printf(" %s |", figure(f))
			}
			fmt.Printf(" %.2f |\n", exponent(ns, g.figures))
		}
	}
	fmt.Fprintf(os.Stderr, "%d rounds, %.0f s\n", b.rounds, time.Since(began).Seconds())
	return nil
}

func (b bench) growing() []size {
	if b.small {
		return byLog[:2]
	}
	return byLog
}

// at is what everything takes at one size.
func (b bench) at(s size) (all []grown, err error) {
	add := func(what string, v []float64) { all = append(all, grown{what, []float64{median(v)}}) }
	dir, done, err := b.aside()
	if err != nil {
		return nil, err
	}
	defer done()
	log, err := copied(b.dir, s.name, dir)
	if err != nil {
		return nil, err
	}
	var starts, first, later, shown []float64
	for i := range b.rounds + 1 {
		x, start, err := b.board(log)
		if err != nil {
			return nil, err
		}
		keys, err := b.arrows(x, 8)
		if err == nil && i > 0 {
			var took float64
			took, err = x.weather(i)
			shown = append(shown, took)
			starts, first, later = append(starts, start), append(first, keys[0]), append(later, keys[1:]...)
		}
		x.end()
		if err != nil {
			return nil, err
		}
	}
	add("start to full board", starts)
	add("first arrow to frame", first)
	add("later arrow to frame", later)
	add("answer shown stored", shown)
	saves := filepath.Join(dir, "saves")
	if err := os.Mkdir(saves, 0o700); err != nil {
		return nil, err
	}
	some, err := b.saves(s, saves, 4*b.rounds)
	if err != nil {
		return nil, err
	}
	for _, v := range some {
		add("save: "+v.name, v.ours)
	}
	m, err := drawn(log, 80, 24)
	if err != nil {
		return nil, err
	}
	took, _ := timed(100, func() { _ = m.View() })
	add("View", []float64{took})
	for _, v := range []struct {
		what string
		args []string
	}{
		{"audit", []string{"audit", "--as-of", asOf, "--site", openSite(s)}},
		{"register csv", []string{"register", "--format", "csv", "--as-of", asOf, "--site", openSite(s)}},
		{"verify", []string{"verify"}},
	} {
		var all []float64
		for range b.rounds {
			r, err := b.runs(log, said, "coolhold", v.args...)
			if err != nil {
				return nil, err
			}
			all = append(all, r.ms)
		}
		add(v.what, all)
	}
	return all, nil
}

// measures are the rows in the order of the table.
var measures = []struct {
	name string
	of   func(bench) ([]row, error)
}{
	{"start", starting}, {"keys", keying}, {"view", viewing}, {"idle", idling}, {"save", appending}, {"stored", answering},
	{"meanwhile", besideRegister}, {"beside", besideVerbs}, {"paper", takingIn}, {"verbs", siteVerbs}, {"register", registering}, {"recall", recalling}, {"whole", wholeLog},
	{"small", small}, {"binary", sizeOfBinary},
}
