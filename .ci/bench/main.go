//go:build linux

// Bench measures coolhold beside its floor: a program that does only what must be done,
// in the same run, one round after the other. It prints a table in markdown.
//
//	make bench                       every row
//	make bench ROWS='start|keys'     some
//	make bench-growth                what grows with a site or a log, and how fast
//
// The logs are made by coolhold's own acts on a clock that is held, and kept in the
// cache folder of the account (COOLHOLD_BENCH_CACHE for another) by a hash of what makes
// them.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"time"

	"coolhold/tui"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func run() error {
	b := bench{fps: tui.FPS}
	only := flag.String("rows", "", "a `regexp`: only the rows whose name it matches")
	growth := flag.Bool("growth", false, "what grows, with its exponent")
	fold := flag.String("fold", "", "read and fold this `log`, and print how many ms that took")
	welds := flag.Int("office", 0, "an office of so many `welds`, in a PostgreSQL of its own")
	logs := flag.Bool("logs", false, "only make the logs that are not there yet")
	flag.IntVar(&b.rounds, "rounds", 4, "how often each is measured")
	flag.BoolVar(&b.small, "small", false, "small logs alone: to try it out")
	flag.Parse()
	if *fold != "" {
		return foldAll(*fold)
	}
	pattern, err := regexp.Compile(*only)
	if err != nil {
		return err
	}
	if b.dir, err = cache(); err != nil {
		return err
	}
	if b.work, err = os.MkdirTemp("", "coolhold-bench-*"); err != nil {
		return err
	}
	defer os.RemoveAll(b.work)
	if *welds > 0 {
		return b.office(*welds)
	}
	if *logs {
		for _, s := range append(bySite, byLog...) {
			if _, err := kept(b.dir, s.name); err != nil {
				return err
			}
		}
		return nil
	}
	if err := b.build(); err != nil {
		return err
	}
	k, err := key()
	if err == nil {
		err = os.WriteFile(filepath.Join(b.work, "key"), []byte(k.Secret()), 0o600)
	}
	if err != nil {
		return err
	}
	if *growth {
		return b.grows(pattern)
	}
	return b.table(pattern)
}

// table prints the rows as they are measured.
func (b bench) table(only *regexp.Regexp) error {
	began := time.Now()
	fmt.Print(heading)
	for _, m := range measures {
		if !only.MatchString(m.name) {
			continue
		}
		start := time.Now()
		rows, err := m.of(b)
		for _, r := range rows {
			r.print(os.Stdout)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", m.name, err)
		}
		fmt.Fprintf(os.Stderr, "%s: %.0f s\n", m.name, time.Since(start).Seconds())
	}
	fmt.Fprintf(os.Stderr, "%d rounds, %.0f s, %d frames a second\n", b.rounds, time.Since(began).Seconds(), b.fps)
	return nil
}
