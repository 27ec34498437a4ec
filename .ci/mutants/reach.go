package main

import (
	"bytes"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"
)

// An unchanged is what the tests of a package do with nothing changed: what
// they cost, and what they reach, also by the programs they start. A program
// that is killed does not tell what it reached.
type unchanged struct {
	cost   time.Duration
	blocks map[string][]block // by file, as the profile names it
}

// A block is a stretch of code without a branch.
type block struct {
	from, to place
	ran      bool
}

type place struct{ line, col int }

func (p place) before(q place) bool { return p.line < q.line || p.line == q.line && p.col < q.col }

// reach tells whether tests come to a mutant. What lies in no block, such as a
// constant or a variable of the package, is taken as reached.
func (u *unchanged) reach(m mutant) bool {
	met := false
	for _, b := range u.blocks[path.Join(m.code.path, filepath.Base(m.file))] {
		if m.begin.before(b.to) && b.from.before(m.end) {
			if b.ran {
				return true
			}
			met = true
		}
	}
	return !met
}

// look runs the tests of a package with nothing changed, once. What fails
// without a mutant says nothing.
func (r *runner) look(p string) (*unchanged, error) {
	if u, seen := r.seen[p]; seen {
		return u, nil
	}
	profile := filepath.Join(r.tmp, "profile")
	flags := []string{"-coverpkg=./...", "-coverprofile=" + profile}
	v, err := r.test([]string{p}, unchangedLimit, flags...)
	if err == nil && v.failed { // once may be a busy machine
		v, err = r.test([]string{p}, unchangedLimit, flags...)
	}
	if err == nil && v.failed {
		err = fmt.Errorf("%s %s fails with nothing changed: mend it first", v.path, v.test)
	}
	if err != nil {
		return nil, err
	}
	text, err := os.ReadFile(profile)
	if err != nil {
		return nil, err
	}
	u := &unchanged{cost: v.took}
	u.blocks, err = blocks(text)
	r.seen[p] = u
	return u, err
}

// blocks reads a profile: "mode: set", then lines such as
// "coolhold/fusion/band.go:12.34,15.2 3 1".
func blocks(profile []byte) (map[string][]block, error) {
	all := map[string][]block{}
	for line := range bytes.Lines(profile) {
		if bytes.HasPrefix(line, []byte("mode:")) {
			continue
		}
		file, rest, _ := strings.Cut(string(line), ":")
		var b block
		var statements, ran int
		if _, err := fmt.Sscanf(rest, "%d.%d,%d.%d %d %d", &b.from.line, &b.from.col, &b.to.line, &b.to.col, &statements, &ran); err != nil {
			return nil, fmt.Errorf("profile line %q: %w", line, err)
		}
		b.ran = ran > 0
		all[file] = append(all[file], b)
	}
	return all, nil
}
