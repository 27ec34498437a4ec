//go:build linux

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// takingIn measures for how long the log is kept from everybody else while a sheet of many
// rows is taken in. All of it is stored or nothing, so it is one save.
func takingIn(b bench) ([]row, error) {
	const rows = 900
	r := row{what: "the longest exclusive lock while a sheet is taken in", size: fmt.Sprintf("%d rows", rows), unit: "ms", reach: "≤ 100 ms, or the board is told to wait by name"}
	for range b.rounds {
		dir, done, err := b.aside()
		if err != nil {
			return nil, err
		}
		held, took, err := b.takeIn(dir, rows)
		done()
		if err != nil {
			return nil, err
		}
		r.ours = append(r.ours, held)
		r.note = fmt.Sprintf("all of it %s ms", figure(took))
	}
	r.met = func(r row) bool { return median(r.ours) <= 100 }
	return []row{r}, nil
}

func (b bench) takeIn(dir string, rows int) (held, took float64, err error) {
	log := filepath.Join(dir, "paper.coolhold")
	var sheet strings.Builder
	sheet.WriteString("joint,operator,date,start,outcome\n")
	for i := range rows {
		chamber, leg := i/18, i%18
		fmt.Fprintf(&sheet, "C%d-%d%s,Ada Invented,2026-03-09,%02d:%02d,completed\n", chamber, leg/2+1, []string{"A", "B"}[leg%2], 6+i/60, i%60)
	}
	for name, text := range map[string]string{"plan.toml": planOf(0, rows+rows/9), "table.toml": tableText, "sheet.csv": sheet.String()} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			return 0, 0, err
		}
	}
	if _, err := b.runs(log, []int{0}, "coolhold", "site", "new", "--tag", tag, "--plan", filepath.Join(dir, "plan.toml"), "--table", filepath.Join(dir, "table.toml")); err != nil {
		return 0, 0, err
	}
	watch := watchLock(log)
	ran, err := b.runs(log, []int{0}, "coolhold", "transcribe", filepath.Join(dir, "sheet.csv"), "--by", hedda)
	return watch(), ran.ms, err
}
