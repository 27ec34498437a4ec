//go:build linux

package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// board opens the board of a log and waits for it; bare is the program beside it.
func (b bench) board(log string, args ...string) (*terminal, float64, error) {
	x, err := inTerminal(80, 24, b.env(log), b.bin("coolhold"), args...)
	if err != nil {
		return nil, 0, err
	}
	return started(x, "joints open.", "? keys")
}

func (b bench) bare(args ...string) (*terminal, float64, error) {
	x, err := inTerminal(80, 24, nil, b.bin("bare"), append([]string{strconv.Itoa(b.fps)}, args...)...)
	if err != nil {
		return nil, 0, err
	}
	return started(x, "▸ C44", "? keys")
}

func started(x *terminal, texts ...string) (*terminal, float64, error) {
	at, err := x.has(texts...)
	if err != nil {
		x.end()
		return nil, 0, err
	}
	return x, ms(at.Sub(x.began)), nil
}

// openSite is the name of the last site of a log, at which the board opens.
func openSite(s size) string { return fmt.Sprintf("invented-meadow-%d", s.sites+1) }

// sites and logs are the sizes that are measured.
func (b bench) sites() []size {
	if b.small {
		return bySite[:2]
	}
	return bySite
}

// logs are a season and an archive; what grows between them is for make bench-growth.
func (b bench) logs() []size {
	if b.small {
		return byLog[:1]
	}
	return []size{sizeOf("season"), sizeOf("log-100k")}
}

// screens are the logs of what is measured key by key.
func (b bench) screens() []size {
	if b.small {
		return []size{sizeOf("site-10"), sizeOf("log-1k")}
	}
	return []size{sizeOf("site-100"), sizeOf("site-500"), sizeOf("log-100k")}
}

func (b bench) all() []size { return append(slices.Clone(b.sites()), b.logs()...) }

// label is how a size stands in the table.
func (s size) label() string {
	if s.sites == 0 {
		return fmt.Sprintf("%d joints", s.last)
	}
	return fmt.Sprintf("%s, %d joints open", s.name, s.last)
}

// starting measures the start to the full board. What a log costs at its first opening
// on this machine, as the doubt about its holds, is paid before.
func starting(b bench) ([]row, error) {
	return b.onEach(b.all(), func(s size, dir string) ([]row, error) { return one(b.start(s, dir)) })
}

func (b bench) start(s size, dir string) (row, error) {
	r := row{what: "start to full board", size: s.label(), unit: "ms", reach: "≤ 1.3 × bare + reading the site"}
	log, err := copied(b.dir, s.name, dir)
	if err != nil {
		return r, err
	}
	var reads, locks []float64
	for i := range b.rounds + 1 {
		watch := watchLock(log)
		x, ours, err := b.board(log)
		held := watch()
		if err != nil {
			return r, err
		}
		x.end()
		y, floor, err := b.bare()
		if err != nil {
			return r, err
		}
		y.end()
		read, err := b.runs(log, []int{0}, "floor", "site", log, openSite(s))
		if err != nil {
			return r, err
		}
		if i > 0 {
			r.ours, r.floor = append(r.ours, ours), append(r.floor, floor)
			reads, locks = append(reads, read.ms), append(locks, held)
		}
	}
	r.note = fmt.Sprintf("reading the site %s ms; the longest exclusive lock seen %s ms", figure(median(reads)), figure(slices.Max(locks)))
	r.met = func(r row) bool {
		return median(r.ours) <= 1.3*median(r.floor)+median(reads) && median(locks) <= 10
	}
	return r, nil
}

// watchLock looks again and again who has the exclusive lock of a log's file, and says
// in the end for how many ms at most it was held at a stretch, to about a millisecond.
func watchLock(log string) func() float64 {
	stop, out := make(chan bool), make(chan float64)
	info, err := os.Stat(log)
	if err != nil {
		return func() float64 { return 0 }
	}
	inode := fmt.Sprintf(":%d ", inodeOf(info))
	go func() {
		var most time.Duration
		var since time.Time
		for {
			select {
			case <-stop:
				out <- ms(most)
				return
			case <-time.After(200 * time.Microsecond):
			}
			text, _ := os.ReadFile("/proc/locks")
			held := false
			for line := range strings.Lines(string(text)) {
				held = held || strings.Contains(line, inode) && strings.Contains(line, " WRITE ") && !strings.Contains(line, "->")
			}
			switch {
			case !held:
				since = time.Time{}
			case since.IsZero():
				since = time.Now()
			default:
				most = max(most, time.Since(since))
			}
		}
	}()
	return func() float64 { close(stop); return <-out }
}

// marked is the line that the mark of a list stands in.
var marked = regexp.MustCompile(`(?m)^.*▸.*$`)

func markedLine(screen string) string { return marked.FindString(screen) }

// arrows measures an arrow to the frame in which the mark has moved; the pauses between
// them are never in step with the frames.
func (b bench) arrows(x *terminal, n int) (all []float64, err error) {
	for i := range n {
		key := []string{"up", "down"}[i/8%2] // eight up, eight down
		was := markedLine(x.screen())
		took, err := x.takes(key, func(s string) bool { now := markedLine(s); return now != "" && now != was })
		if err != nil {
			return all, err
		}
		all = append(all, took)
		time.Sleep(pause(i))
	}
	return all, nil
}

// pause is a pause between two keys. What follows a frame stands in step with the
// frames: over some keys, pauses end at every part of one.
func pause(i int) time.Duration { return time.Duration(120+37*i%100) * time.Millisecond }

func keying(b bench) ([]row, error) {
	n := 24
	if b.small {
		n = 12
	}
	return b.onEach(b.screens(), func(s size, dir string) ([]row, error) { return one(b.keys(s, dir, n)) })
}

func (b bench) keys(s size, dir string, n int) (row, error) {
	r := row{what: "arrow to frame, p95", size: s.label(), unit: "ms", reach: "bare + 10 ms"}
	log, err := copied(b.dir, s.name, dir)
	if err != nil {
		return r, err
	}
	var first []float64
	for range b.rounds {
		x, _, err := b.board(log)
		if err != nil {
			return r, err
		}
		ours, err := b.arrows(x, n)
		x.end()
		if err != nil {
			return r, err
		}
		y, _, err := b.bare()
		if err != nil {
			return r, err
		}
		for range 9 {
			if _, err := y.takes("down", func(string) bool { return true }); err != nil {
				return r, err
			}
		}
		time.Sleep(300 * time.Millisecond)
		floor, err := b.arrows(y, n)
		y.end()
		if err != nil {
			return r, err
		}
		first = append(first, ours[0])
		r.ours, r.floor = append(r.ours, quantile(ours, 0.95)), append(r.floor, quantile(floor, 0.95))
	}
	r.note = fmt.Sprintf("%d frames a second; the first key %s ms", b.fps, figure(median(first)))
	r.met = func(r row) bool { return median(r.ours) <= median(r.floor)+10 }
	return r, nil
}

// idling measures a board that nobody touches, with eight holds, and one of a site that
// is done.
func idling(b bench) ([]row, error) {
	span := 10 * time.Second
	if b.small {
		span = 3 * time.Second
	}
	rows, err := b.onEach(b.screens(), func(s size, dir string) ([]row, error) {
		return b.idle(s, dir, span, "idle, eight holds running", s.label())
	})
	if err != nil {
		return rows, err
	}
	done := b.logs()[0]
	more, err := b.onEach([]size{done}, func(s size, dir string) ([]row, error) {
		return b.idle(s, dir, span, "idle, no hold", fmt.Sprintf("%s, %d joints open", s.name, doneJoints), "--site", "invented-meadow-2")
	})
	return append(rows, more...), err
}

func (b bench) idle(s size, dir string, span time.Duration, what, label string, args ...string) ([]row, error) {
	cpu := row{what: what + ": CPU", size: label, unit: "% of a core", reach: "≤ 1.5 ×", met: atMost(1.5)}
	wake := row{what: what + ": wake-ups a second", size: label, unit: "/s", reach: "≤ 1.5 ×", met: atMost(1.5)}
	log, err := copied(b.dir, s.name, dir)
	if err != nil {
		return nil, err
	}
	for range max(2, b.rounds/2) {
		x, _, err := b.board(log, args...)
		if err != nil {
			return nil, err
		}
		y, _, err := b.bare()
		if err != nil {
			return nil, err
		}
		time.Sleep(time.Second)
		both := []*terminal{x, y} // side by side: neither does much
		var was [2]float64
		var woken [2]int64
		for i, z := range both {
			if was[i], woken[i], err = z.used(); err != nil {
				return nil, err
			}
		}
		time.Sleep(span)
		for i, z := range both {
			used, wakes, err := z.used()
			if err != nil {
				return nil, err
			}
			p, w := (used-was[i])/ms(span)*100, float64(wakes-woken[i])/span.Seconds()
			if i == 0 {
				cpu.ours, wake.ours = append(cpu.ours, p), append(wake.ours, w)
			} else {
				cpu.floor, wake.floor = append(cpu.floor, p), append(wake.floor, w)
			}
		}
		x.end()
		y.end()
	}
	return []row{cpu, wake}, nil
}

// besideVerbs measures an answer while another program reads the whole log or the site,
// beside one without.
func besideVerbs(b bench) ([]row, error) {
	return b.onEach(b.screens(), b.verbsBeside)
}

func (b bench) verbsBeside(s size, dir string) (rows []row, err error) {
	log, err := copied(b.dir, s.name, dir)
	if err != nil {
		return nil, err
	}
	x, _, err := b.board(log)
	if err != nil {
		return nil, err
	}
	defer x.end()
	said := 0
	answer := func() (float64, error) { said++; return x.weather(said - 1) }
	for _, m := range []struct {
		what string
		args []string
	}{
		{"labels are", []string{"labels", "--site", openSite(s), "--out", filepath.Join(dir, "labels.pdf"), "--force"}},
		{"a seal is", []string{"seal", "--by", hedda}},
		{"verify is", []string{"verify", "--deep"}},
	} {
		r := row{what: "answer while " + m.what + " made beside the board, again and again, beside without", size: s.label(), unit: "ms", reach: "≤ 2 ×", met: atMost(2)}
		for range b.rounds {
			alone, err := answer()
			if err != nil {
				return rows, err
			}
			end := b.overAndOver(log, m.args...)
			meanwhile, err := answer()
			if err = errors.Join(err, end()); err != nil {
				return rows, err
			}
			r.floor, r.ours = append(r.floor, alone), append(r.ours, meanwhile)
		}
		rows = append(rows, r)
	}
	return rows, nil
}

// overAndOver runs a verb again and again until it is ended, in the middle of one mostly.
func (b bench) overAndOver(log string, args ...string) (end func() error) {
	ctx, cancel := context.WithCancel(context.Background())
	over := make(chan error)
	go func() {
		for {
			cmd := exec.CommandContext(ctx, b.bin("coolhold"), args...)
			cmd.Env = append(os.Environ(), b.env(log)...)
			out, err := cmd.CombinedOutput()
			switch {
			case ctx.Err() != nil:
				over <- nil
				return
			case err != nil:
				over <- fmt.Errorf("%v: %w\n%s", args, err, out)
				return
			}
		}
	}()
	return func() error { cancel(); return <-over }
}

// answering measures the last key of an answer to the frame that shows it and says no
// more that it is being stored: the weather, since it can be said again and again.
func answering(b bench) ([]row, error) {
	return b.onEach(b.screens(), func(s size, dir string) ([]row, error) { return one(b.answers(s, dir)) })
}

func (b bench) answers(s size, dir string) (row, error) {
	r := row{what: "answer shown stored", size: s.label(), unit: "ms", reach: "the append + one frame, + 40 ms in which a scan may begin"}
	log, err := copied(b.dir, s.name, dir)
	if err != nil {
		return r, err
	}
	aside := filepath.Join(dir, "beside")
	if err := os.Mkdir(aside, 0o700); err != nil {
		return r, err
	}
	beside, err := copied(b.dir, s.name, aside)
	if err != nil {
		return r, err
	}
	x, _, err := b.board(log)
	if err != nil {
		return r, err
	}
	defer x.end()
	y, _, err := b.bare(beside)
	if err != nil {
		return r, err
	}
	defer y.end()
	n := 4 * b.rounds
	for i := range n {
		ours, err := x.weather(i)
		if err != nil {
			return r, err
		}
		time.Sleep(pause(i))
		floor, err := y.takes("s", func(s string) bool { return strings.Contains(s, fmt.Sprintf("stored %d ", i+1)) })
		if err != nil {
			return r, err
		}
		r.ours, r.floor = append(r.ours, ours), append(r.floor, floor)
		time.Sleep(pause(i))
	}
	frame := 1000 / float64(b.fps)
	r.met = func(r row) bool { return median(r.ours) <= median(r.floor)+frame+40 }
	return r, nil
}

// besideRegister measures an answer while the board writes the register, as PDF and
// workbook, beside one without.
func besideRegister(b bench) ([]row, error) {
	return b.onEach(b.screens(), func(s size, dir string) ([]row, error) { return one(b.registers(s, dir)) })
}

func (b bench) registers(s size, dir string) (row, error) {
	r := row{what: "answer while the register is written from the board, beside without", size: s.label(), unit: "ms", reach: "≤ 2 ×", met: atMost(2)}
	log, err := copied(b.dir, s.name, dir)
	if err != nil {
		return r, err
	}
	x, _, err := b.board(log)
	if err != nil {
		return r, err
	}
	defer x.end()
	written := 0
	for i := range 2 * b.rounds {
		if i%2 == 0 {
			alone, err := x.weather(i)
			if err != nil {
				return r, err
			}
			r.floor = append(r.floor, alone)
			continue
		}
		if _, err := x.takes("0", func(s string) bool { return strings.Contains(s, "▸ write the register") }); err != nil {
			return r, err
		}
		if _, err := x.takes("1", func(s string) bool { return strings.Contains(s, "joints open.") }); err != nil {
			return r, err
		}
		meanwhile, err := x.weather(i)
		if err != nil {
			return r, err
		}
		if !strings.Contains(x.screen(), "egister written") {
			written++
		}
		r.ours = append(r.ours, meanwhile)
		time.Sleep(3 * time.Second)
	}
	r.note = fmt.Sprintf("%d of %d while it was still being written", written, len(r.ours))
	return r, nil
}

// weather says a weather and waits until the board shows it stored.
func (x *terminal) weather(i int) (float64, error) {
	sky := []string{"wind", "dry"}[i%2]
	digit := map[string]string{"dry": "2", "wind": "4"}[sky]
	if _, err := x.press("2"); err != nil {
		return 0, err
	}
	if _, err := x.has("▸ weather"); err != nil {
		return 0, err
	}
	if _, err := x.takes(digit, func(s string) bool { return strings.Contains(s, "▸ shelter") }); err != nil {
		return 0, err
	}
	time.Sleep(pause(i))
	return x.takes("1", func(s string) bool {
		return strings.Contains(s, "joints open.") && strings.Contains(s, sky+", shelter") && !strings.Contains(s, "storing ")
	})
}
