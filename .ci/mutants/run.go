package main

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"time"
)

// how a mutant ended.
type how int

const (
	survived how = iota
	killedOwn
	killedByImporter
	unbuilt // it does not compile with the tests, or where it is imported: no mutant
)

// An outcome is a mutant with what the tests made of it.
type outcome struct {
	mutant
	how  how
	by   string // package and test
	hung bool
	ran  []string
}

func (o outcome) words() string {
	switch {
	case o.how == survived && len(o.ran) == 0:
		return "SURVIVED, no test reaches it"
	case o.how == survived:
		return "SURVIVED"
	case o.hung:
		return "killed, not ended in time: " + o.by
	}
	return "killed by " + o.by
}

// A runner runs tests over one changed file.
type runner struct {
	ctx  context.Context
	tree *tree
	tmp  string
	seen map[string]*unchanged
	given
}

func newRunner(ctx context.Context, t *tree, g given) (*runner, error) {
	tmp, err := os.MkdirTemp("", "mutants")
	return &runner{ctx: ctx, tree: t, tmp: tmp, seen: map[string]*unchanged{}, given: g}, err
}

func (r *runner) remove() { _ = os.RemoveAll(r.tmp) }

// outcome takes a mutant through the tests that reach it, until one fails.
func (r *runner) outcome(m mutant) (outcome, error) {
	o := outcome{mutant: m}
	overlay, err := r.overlay(m)
	if err != nil {
		return o, err
	}
	for i, stage := range r.tree.stages(m.code.path)[:r.through] {
		reaching, err := r.reaching(stage, m)
		if err != nil {
			return o, err
		}
		for _, group := range r.alike(reaching) {
			v, err := r.judge(group, overlay, i == 0)
			if err != nil {
				return o, err
			}
			o.ran = append(o.ran, group...)
			if v.failed {
				o.end(v, i == 0)
				return o, nil
			}
		}
	}
	return o, nil
}

// judge runs tests over a changed file. A test of another package must fail
// twice: one that hangs on the speed of a busy machine kills no mutant.
func (r *runner) judge(paths []string, overlay string, own bool) (verdict, error) {
	overlay = "-overlay=" + overlay
	v, err := r.test(paths, r.limit(paths), overlay)
	if err != nil || !v.failed || own || v.test == "" {
		return v, err
	}
	second, err := r.test([]string{v.path}, r.limit([]string{v.path}), overlay, "-run="+alone(v.test))
	if err != nil || second.failed {
		return v, err
	}
	return r.test(paths, r.limit(paths), overlay)
}

// alone is the pattern of one test, of its name "TestA/part".
func alone(test string) string {
	parts := strings.Split(test, "/")
	for i, p := range parts {
		parts[i] = "^" + regexp.QuoteMeta(p) + "$"
	}
	return strings.Join(parts, "/")
}

func (o *outcome) end(v verdict, own bool) {
	o.by, o.hung = strings.TrimSpace(v.path+" "+v.test), v.hung
	switch {
	case v.unbuilt:
		o.how = unbuilt
	case own:
		o.how = killedOwn
	default:
		o.how = killedByImporter
	}
}

// overlay tells the go command to read the changed text in place of the file.
func (r *runner) overlay(m mutant) (string, error) {
	changed, overlay := filepath.Join(r.tmp, "mutant.go"), filepath.Join(r.tmp, "overlay.json")
	if err := os.WriteFile(changed, m.changed(), 0o600); err != nil {
		return "", err
	}
	text, err := json.Marshal(map[string]map[string]string{"Replace": {m.file: changed}})
	if err != nil {
		return "", err
	}
	return overlay, os.WriteFile(overlay, text, 0o600)
}

// reaching are the packages whose tests come to a mutant, the cheap ones first.
func (r *runner) reaching(paths []string, m mutant) ([]string, error) {
	var reaching []string
	for _, p := range paths {
		u, err := r.look(p)
		if err != nil {
			return nil, err
		}
		if u.reach(m) {
			reaching = append(reaching, p)
		}
	}
	slices.SortStableFunc(reaching, func(a, b string) int { return cmp.Compare(r.seen[a].cost, r.seen[b].cost) })
	return reaching, nil
}

// alike parts packages into those without and with property tests, which take
// flags of their own.
func (r *runner) alike(paths []string) [][]string {
	var groups [2][]string
	for _, p := range paths {
		i := 0
		if r.tree.draws(p) {
			i = 1
		}
		groups[i] = append(groups[i], p)
	}
	return slices.DeleteFunc(groups[:], func(g []string) bool { return len(g) == 0 })
}

const (
	unchangedLimit = 10 * time.Minute
	slower         = 4 // times what it took unchanged
	buildLimit     = 10 * time.Minute
)

func (r *runner) limit(paths []string) time.Duration {
	longest := time.Duration(0)
	for _, p := range paths {
		longest = max(longest, r.seen[p].cost)
	}
	return r.least + slower*longest
}

// A verdict is what one run of tests said.
type verdict struct {
	failed, hung, unbuilt bool
	path, test            string        // what failed
	took                  time.Duration // the tests of the last package, without building
}

// test runs the tests of some packages until the first fails. What they leave
// behind, killed or not, goes with a folder of their own.
func (r *runner) test(paths []string, limit time.Duration, flags ...string) (verdict, error) {
	tmp, err := os.MkdirTemp(r.tmp, "run")
	if err != nil {
		return verdict{}, err
	}
	defer os.RemoveAll(tmp)
	ctx, cancel := context.WithTimeout(r.ctx, buildLimit+time.Duration(len(paths))*limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, "sh", slices.Concat(roomy, r.tree.command(paths, limit, flags))...)
	cmd.Dir, cmd.Env = r.tree.dir, append(os.Environ(), "TMPDIR="+tmp, "GOTMPDIR="+tmp)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.StdoutPipe()
	if err != nil {
		return verdict{}, err
	}
	if err := cmd.Start(); err != nil {
		return verdict{}, err
	}
	v := listen(out)
	if v.failed {
		_ = cmd.Cancel() // the rest need not be run
	}
	err = cmd.Wait()
	_ = cmd.Cancel() // what the tests left running; mostly there is nothing
	switch {
	case v.failed:
		return v, nil
	case r.ctx.Err() != nil:
		return v, r.ctx.Err()
	case ctx.Err() != nil:
		return verdict{failed: true, hung: true, path: strings.Join(paths, " ")}, nil
	case err != nil:
		return v, fmt.Errorf("go test %s: %w\n%s", strings.Join(paths, " "), err, said.Bytes())
	}
	return v, nil
}

// roomy starts a command with 8 GiB of address space, where that can be set: a
// mutant that grows without end must not take the machine with it.
var roomy = []string{"-c", `ulimit -v 8388608 2>/dev/null; exec "$@"`, "sh"}

// An event is a line of go test -json.
type event struct {
	Action, Package, ImportPath, Test, Output string
	Elapsed                                   float64
}

// listen reads events up to the first failure.
func listen(out io.Reader) verdict {
	var v verdict
	lines := bufio.NewReader(out)
	for {
		line, err := lines.ReadBytes('\n')
		var e event
		if json.Unmarshal(line, &e) == nil {
			v.hears(e)
		}
		if v.failed || err != nil {
			return v
		}
	}
}

func (v *verdict) hears(e event) {
	switch {
	case strings.HasPrefix(e.Output, "panic: test timed out after"):
		v.hung = true
	case e.Action == "build-fail":
		v.failed, v.unbuilt, v.path = true, true, e.ImportPath
	case e.Action == "fail":
		v.failed, v.path, v.test = true, e.Package, e.Test
	case e.Action == "pass" && e.Test == "":
		v.took = time.Duration(e.Elapsed * float64(time.Second))
	}
}
