package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// A goPackage is a package as the go command lists it.
type goPackage struct {
	ImportPath, Dir, Export, ForTest   string
	GoFiles, TestGoFiles, XTestGoFiles []string
	TestImports, XTestImports, Deps    []string
}

// A tree is a module with what the go command and the compiler know of it.
type tree struct {
	dir      string
	fset     *token.FileSet
	exported types.Importer
	module   string
	packages []*code              // whose code is changed
	tests    map[string]goPackage // packages with tests, by import path
	builtOf  map[string][]string  // of a package with tests: all that they are built from
	last     string
}

// code is the production code of one package, parsed and with its types.
type code struct {
	tree  *tree
	path  string
	files []*ast.File
	names []string          // of the files, absolute
	text  map[string][]byte // by name
	info  *types.Info
	types *types.Package
}

func load(ctx context.Context, g given) (*tree, error) {
	dir, err := filepath.Abs(g.dir)
	if err != nil {
		return nil, err
	}
	t := &tree{dir: dir, fset: token.NewFileSet(), tests: map[string]goPackage{}, builtOf: map[string][]string{}}
	if t.module, err = t.modulePath(ctx); err != nil {
		return nil, err
	}
	asked, err := goList(ctx, dir, g.patterns...)
	if err != nil {
		return nil, err
	}
	if err := t.loadExports(ctx); err != nil {
		return nil, err
	}
	if err := t.loadTests(ctx, g.last); err != nil {
		return nil, err
	}
	for _, p := range asked {
		if isForTests(p.ImportPath) {
			continue
		}
		c, err := t.parse(p)
		if err != nil {
			return nil, err
		}
		t.packages = append(t.packages, c)
	}
	return t, nil
}

func (t *tree) modulePath(ctx context.Context) (string, error) {
	cmd := exec.CommandContext(ctx, "go", "list", "-m")
	cmd.Dir = t.dir
	out, err := cmd.Output()
	return strings.TrimSpace(string(out)), err
}

func goList(ctx context.Context, dir string, args ...string) ([]goPackage, error) {
	cmd := exec.CommandContext(ctx, "go", append([]string{"list", "-json"}, args...)...)
	cmd.Dir = dir
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list %s: %w\n%s", strings.Join(args, " "), err, said.Bytes())
	}
	var all []goPackage
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p goPackage
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all, nil
		} else if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
}

// loadExports finds what the compiler wrote of every package, so that a mutant
// is checked against its imports without compiling anything.
func (t *tree) loadExports(ctx context.Context) error {
	built, err := goList(ctx, t.dir, "-export", "-deps", "./...")
	if err != nil {
		return err
	}
	file := map[string]string{}
	for _, p := range built {
		file[p.ImportPath] = p.Export
	}
	t.exported = importer.ForCompiler(t.fset, "gc", func(path string) (io.ReadCloser, error) { return os.Open(file[path]) })
	return nil
}

func (t *tree) loadTests(ctx context.Context, last string) error {
	all, err := goList(ctx, t.dir, "-test", "./...")
	if err != nil {
		return err
	}
	for _, p := range all {
		if path, isTest := strings.CutSuffix(p.ImportPath, ".test"); isTest {
			t.builtOf[path] = slices.Clone(p.Deps)
			for i, d := range p.Deps {
				t.builtOf[path][i], _, _ = strings.Cut(d, " [") // as built for a test
			}
		} else if p.ForTest == "" && len(p.TestGoFiles)+len(p.XTestGoFiles) > 0 {
			t.tests[p.ImportPath] = p
		}
		if last != "" && p.ForTest == "" && p.Dir == filepath.Join(t.dir, last) && !strings.HasSuffix(p.ImportPath, ".test") {
			t.last = p.ImportPath
		}
	}
	return nil
}

func (t *tree) parse(p goPackage) (*code, error) {
	c := &code{tree: t, path: p.ImportPath, text: map[string][]byte{}}
	for _, base := range p.GoFiles {
		name := filepath.Join(p.Dir, base)
		text, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		f, err := parser.ParseFile(t.fset, name, text, parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		c.files, c.names, c.text[name] = append(c.files, f), append(c.names, name), text
	}
	c.info = &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}}
	var err error
	c.types, err = t.check(c, c.files, c.info)
	return c, err
}

func (t *tree) check(c *code, files []*ast.File, info *types.Info) (*types.Package, error) {
	conf := types.Config{Importer: t.exported}
	return conf.Check(c.path, t.fset, files, info)
}

// compiles tells whether the package is still Go with the mutant in it.
func (t *tree) compiles(m mutant) bool {
	files := slices.Clone(m.code.files)
	i := slices.Index(m.code.names, m.file)
	// The same file set grows by a file a mutant: some hundred at most.
	f, err := parser.ParseFile(t.fset, m.file, m.changed(), parser.SkipObjectResolution)
	if err != nil {
		return false
	}
	files[i] = f
	_, err = t.check(m.code, files, nil)
	return err == nil
}

const stages = 3

// stages are the packages whose tests are built from a package: itself, its
// importers, and the last.
func (t *tree) stages(path string) [][]string {
	all := make([][]string, stages)
	for p := range t.tests {
		switch {
		case p == path:
			all[0] = append(all[0], p)
		case !slices.Contains(t.builtOf[p], path):
		case p == t.last:
			all[2] = append(all[2], p)
		default:
			all[1] = append(all[1], p)
		}
	}
	slices.Sort(all[1])
	return all
}

// draws tells whether tests draw at random.
func (t *tree) draws(path string) bool {
	p := t.tests[path]
	return slices.Contains(slices.Concat(p.TestImports, p.XTestImports), "pgregory.net/rapid")
}

// command is what runs the tests of packages that are alike.
func (t *tree) command(paths []string, limit time.Duration, flags []string) []string {
	cmd := []string{"go", "test", "-json", "-short", "-failfast", "-vet=off", "-count=1", "-p=2", "-timeout=" + limit.String()}
	cmd = append(cmd, "-gcflags="+t.module+"/...=-l") // nothing inlined: it compiles in half the time
	cmd = slices.Concat(cmd, flags, paths)
	if t.draws(paths[0]) {
		cmd = append(cmd, "-rapid.seed=1", "-rapid.nofailfile")
	}
	return cmd
}
