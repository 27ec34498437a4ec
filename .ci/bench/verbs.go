//go:build linux

package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"coolhold/logbook"
	"coolhold/logbook/store"
)

// asOf is a moment after every log, so that a verb says the same on each day.
const asOf = "2026-05-01 08:00"

var said = []int{0, 1} // done, or done with findings

// siteVerbs measures the verbs on one site beside reading and decoding its entries.
func siteVerbs(b bench) (rows []row, err error) {
	for _, s := range b.all() {
		log, err := kept(b.dir, s.name)
		if err != nil {
			return rows, err
		}
		for _, v := range []string{
			"audit --as-of", "register --format csv --as-of", "history --joint C0-2A", "order --as-of", "ready",
		} {
			name, _, _ := strings.Cut(v, " ")
			r := row{what: name, size: s.label(), unit: "ms", reach: "≤ 1.5 ×", met: atMost(1.5)}
			args := strings.Fields(v)
			if args[len(args)-1] == "--as-of" {
				args = append(args, asOf)
			}
			args = append(args, "--log", log, "--site", openSite(s))
			err := b.each(&r, func() (ran, error) { return b.runs(log, said, "coolhold", args...) },
				func() (ran, error) { return b.runs(log, []int{0}, "floor", "site", log, openSite(s)) })
			if err != nil {
				return rows, err
			}
			rows = append(rows, r)
		}
	}
	return rows, nil
}

// Of what takes long one round is enough, and it needs no other to warm what is read.
const (
	longRound = 3 * time.Second
	longRow   = 9 * time.Second
)

// each measures ours and the floor in turn. A first round warms what is read.
func (b bench) each(r *row, ours, floor func() (ran, error)) error {
	began := time.Now()
	for i := range b.rounds + 1 {
		round := time.Now()
		o, err := ours()
		if err != nil {
			return err
		}
		f, err := floor()
		if err != nil {
			return err
		}
		if i > 0 || time.Since(round) > longRound {
			r.ours, r.floor = append(r.ours, o.ms), append(r.floor, f.ms)
		}
		if len(r.ours) > 0 && time.Since(began) > longRow {
			break
		}
	}
	return nil
}

// registering measures what each format costs over the audit, beside its library alone
// with the same cells.
func registering(b bench) (rows []row, err error) {
	for _, format := range []string{"csv", "xlsx", "html", "pdf"} {
		var sizes, medians []float64
		for _, s := range b.sites() {
			r, err := b.register(s, format)
			if err != nil {
				return rows, err
			}
			rows = append(rows, r)
			if s.last >= 100 {
				sizes, medians = append(sizes, float64(s.last)), append(medians, median(r.ours))
			}
		}
		if len(sizes) > 1 {
			e := exponent(sizes, medians)
			last := &rows[len(rows)-1]
			last.note = fmt.Sprintf("grows as joints^%.2f", e)
			reached := last.met
			last.met = func(r row) bool { return e <= 1.1 && (reached == nil || reached(r)) }
		}
	}
	return rows, nil
}

func (b bench) register(s size, format string) (row, error) {
	r := row{what: "register " + format + " over audit", size: s.label(), unit: "ms", reach: "growth ≤ 1.1"}
	if format == "xlsx" {
		r.reach, r.met = "≤ 1.3 ×; growth ≤ 1.1", atMost(1.3)
	}
	log, err := kept(b.dir, s.name)
	if err != nil {
		return r, err
	}
	dir, done, err := b.aside()
	if err != nil {
		return r, err
	}
	defer done()
	out := filepath.Join(dir, "register")
	write := func() (ran, error) {
		return b.runs(log, said, "coolhold", "register", "--format", format, "--as-of", asOf, "--force", "--out", out)
	}
	if _, err := write(); err != nil {
		return r, err
	}
	cells, err := cellsOf(out, format)
	if err != nil {
		return r, err
	}
	for range b.rounds {
		ours, err := write()
		if err != nil {
			return r, err
		}
		audit, err := b.runs(log, said, "coolhold", "audit", "--as-of", asOf)
		if err != nil {
			return r, err
		}
		r.ours = append(r.ours, ours.ms-audit.ms)
		if cells == nil {
			continue
		}
		floor, err := b.runsOn(cells, log, []int{0}, "sheet", format, filepath.Join(dir, "sheet"))
		if err != nil {
			return r, err
		}
		took, err := strconv.ParseFloat(strings.TrimSpace(string(floor.out)), 64)
		if err != nil {
			return r, err
		}
		r.floor = append(r.floor, took)
	}
	return r, nil
}

// cellsOf are the cells of a register that was written, as lines of JSON; nil of a PDF and of HTML.
func cellsOf(file, format string) ([]byte, error) {
	var out bytes.Buffer
	switch format {
	case "csv":
		f, err := os.Open(file)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		rows, err := csv.NewReader(f).ReadAll()
		if err == nil {
			err = json.NewEncoder(&out).Encode(rows)
		}
		return out.Bytes(), err
	case "xlsx":
		f, err := excelize.OpenFile(file)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		for _, name := range f.GetSheetList() {
			rows, err := f.GetRows(name)
			if err == nil {
				err = json.NewEncoder(&out).Encode(rows)
			}
			if err != nil {
				return nil, err
			}
		}
		return out.Bytes(), nil
	}
	return nil, nil
}

// recalling looks for a batch in all sites, beside a look through all lines.
func recalling(b bench) (rows []row, err error) {
	for _, s := range b.logs() {
		log, err := kept(b.dir, s.name)
		if err != nil {
			return rows, err
		}
		batch := fmt.Sprintf("W-%d-1", s.sites/2)
		r := row{what: "recall a batch in all sites", size: s.name, unit: "ms", reach: "≤ 1.5 ×; memory flat", met: atMost(1.5)}
		mb := 0.0
		err = b.each(&r, func() (ran, error) {
			got, err := b.runs(log, []int{0}, "coolhold", "recall", "--batch", batch)
			mb = max(mb, got.mb)
			return got, err
		}, func() (ran, error) { return b.runs(log, []int{0}, "floor", "scan", log, batch) })
		if err != nil {
			return rows, err
		}
		r.note = fmt.Sprintf("at most %.0f MB resident, the pages of the log that are mapped among them", mb)
		rows = append(rows, r)
	}
	return rows, nil
}

// wholeLog measures what reads a whole log beside a decoding of its journal. The
// archive is only verified: the rest would take half an hour.
func wholeLog(b bench) (rows []row, err error) {
	for _, s := range b.wholes() {
		log, err := kept(b.dir, s.name)
		if err != nil {
			return rows, err
		}
		self, err := os.Executable()
		if err != nil {
			return rows, err
		}
		if err := os.Symlink(self, b.bin("self")); err != nil && !errors.Is(err, os.ErrExist) {
			return rows, err
		}
		welds := float64(doneJoints*s.sites + s.last)
		for _, m := range []struct {
			what, reach string
			most, mb    float64
			run         func() (ran, error)
		}{
			{"full fold", "≤ 2 ×, ≤ 15 MB a 1,000 welds", 2, 15 * welds / 1000, func() (ran, error) {
				r, err := b.runs(log, []int{0}, "self", "-fold", log)
				if err == nil {
					r.ms, err = strconv.ParseFloat(strings.TrimSpace(string(r.out)), 64)
				}
				return r, err
			}},
			{"verify", "≤ 1.3 ×, ≤ 100 MB", 1.3, 100, func() (ran, error) { return b.runs(log, said, "coolhold", "verify") }},
			{"verify --deep", "≤ 2.5 ×, ≤ 100 MB", 2.5, 100, func() (ran, error) { return b.runs(log, said, "coolhold", "verify", "--deep") }},
			{"seal, once more", "≤ 2.5 ×, ≤ 100 MB", 2.5, 100, func() (ran, error) { return b.onCopy(s, (bench).sealAgain) }},
			{"restore", "≤ 3 ×, ≤ 100 MB", 3, 100, func() (ran, error) { return b.onCopy(s, (bench).restored) }},
		} {
			if s.sites > 1000 && m.what != "verify" {
				continue
			}
			r := row{what: m.what, size: s.name, unit: "ms", reach: m.reach}
			mb := 0.0
			err := b.each(&r, func() (ran, error) {
				got, err := m.run()
				mb = max(mb, got.mb)
				return got, err
			}, func() (ran, error) { return b.runs(log, []int{0}, "floor", "journal", log) })
			if err != nil {
				return rows, err
			}
			r.note = fmt.Sprintf("at most %.0f MB resident, the mapped pages of the log among them", mb)
			r.met = func(r row) bool { return r.ratio() <= m.most && mb <= m.mb }
			rows = append(rows, r)
		}
	}
	return rows, nil
}

func (b bench) wholes() []size {
	if b.small {
		return b.logs()
	}
	return []size{sizeOf("season"), sizeOf("log-10k"), sizeOf("log-100k")}
}

// onCopy measures something on a copy of a log. A copy that was just made is read from
// memory, as the log is.
func (b bench) onCopy(s size, do func(bench, string) (ran, error)) (ran, error) {
	dir, done, err := b.aside()
	if err != nil {
		return ran{}, err
	}
	defer done()
	log, err := copied(b.dir, s.name, dir)
	if err != nil {
		return ran{}, err
	}
	return do(b, log)
}

// sealAgain seals a log that was sealed and has a few entries more.
func (b bench) sealAgain(log string) (ran, error) {
	return b.runs(log, []int{0}, "coolhold", "seal", "--by", hedda)
}

func (b bench) restored(log string) (ran, error) {
	if err := os.Remove(log); err != nil {
		return ran{}, err
	}
	return b.runs(log, []int{0}, "coolhold", "restore", log)
}

// foldAll reads a log, folds it and prints how many ms that took.
func foldAll(path string) error {
	began := time.Now()
	snap, err := store.ReadAll(context.Background(), path)
	if err != nil {
		return err
	}
	book := logbook.Fold(snap.Tag, snap.Entries)
	took := ms(time.Since(began))
	if len(book.Sites()) == 0 {
		return errors.New("no site was folded")
	}
	fmt.Println(took)
	return nil
}

// small measures verbs that read no log, beside a program that does nothing.
func small(b bench) (rows []row, err error) {
	table := filepath.Join(b.work, "table.toml")
	if err := os.WriteFile(table, []byte(tableText), 0o600); err != nil {
		return nil, err
	}
	for _, args := range [][]string{{"--help"}, {"time", "--table", table, "--fitting", "coupler 40", "--ambient", "9"}} {
		r := row{what: args[0], size: "—", unit: "ms", reach: "≤ 1.5 ×", met: atMost(1.5)}
		many := b
		many.rounds = 10 * b.rounds
		err := many.each(&r, func() (ran, error) { return b.runs("", []int{0}, "coolhold", args...) },
			func() (ran, error) { return b.runs("", []int{0}, "hello") })
		if err != nil {
			return rows, err
		}
		rows = append(rows, r)
	}
	return rows, nil
}

// sizeOfBinary is the program as it is shipped, stripped.
func sizeOfBinary(b bench) ([]row, error) {
	info, err := os.Stat(b.bin("coolhold"))
	if err != nil {
		return nil, err
	}
	r := row{what: "binary, stripped", size: "—", unit: "MB", reach: "≤ 16 MB, or what takes it", met: below(16)}
	r.ours = []float64{float64(info.Size()) / (1 << 20)}
	return []row{r}, nil
}
