package example_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/format"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"coolhold/cmd/coolhold/example"
	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

var monday = fusion.Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Offset: 3600, Boot: 5 * time.Hour, BootID: "boot-1", Machine: "laptop"}

// stored are the lines of the worked example, its first day signed with every open
// fail seen.
func stored(t *testing.T) [][]byte {
	t.Helper()
	m := crew.NewMemory(example.Tag)
	if err := example.Write(m, monday); err != nil {
		t.Fatal(err)
	}
	s := m.Book.Sites()[0]
	h := acts.Head{ID: "sign", At: monday.Add(time.Hour), By: "Hedda Roan", Site: s.ID}
	day := m.Book.Welds(s.ID)[0].Day()
	var seen []logbook.Judged
	for _, f := range audit.Run(m.Book, s.ID, h.At, fusion.Stamp{}).OpenFails(day) {
		seen = append(seen, f.Acks()...)
	}
	if _, err := m.Append(t.Context(), acts.SignDay(h, fusion.Stamp{}, day, seen)); err != nil {
		t.Fatal(err)
	}
	return m.Lines(t)
}

// A judgement is all that follows from a log and is no word.
type judgement struct {
	Verdicts []string // of each weld
	Findings []string // rule, subject, severity, digest, and whose acceptance stands
	Seen     []string // fails that a signature had seen and that are the same now
}

func judged(lines [][]byte) (j judgement, said string, err error) {
	book := logbook.NewBook(example.Tag, 1)
	for _, line := range lines {
		e, err := logbook.ReadEntry(line)
		if err != nil {
			return j, "", err
		}
		book.Add(e)
		said += logbook.TraceOf(&e).Line + "\n"
	}
	s := book.Sites()[0]
	s, _ = book.Site(s.ID)
	res := audit.Run(book, s.ID, monday.Add(2*time.Hour), fusion.Stamp{})
	for _, w := range book.Welds(s.ID) {
		j.Verdicts = append(j.Verdicts, fmt.Sprint(w.ID, " ", res.Verdict(w.ID)))
	}
	for _, f := range res.Findings {
		by := ""
		if f.Accepted != nil {
			by = f.Accepted.By
		}
		j.Findings = append(j.Findings, fmt.Sprint(f.Key, " ", int(f.Severity), " ", f.Judged().Digest, " ", by))
		said += f.Says + "\n"
		for _, d := range s.Signed {
			if slices.ContainsFunc(d.Acks, f.Judged().Same) {
				j.Seen = append(j.Seen, f.Key)
			}
		}
	}
	return j, said, nil
}

// A told is what the program in other words hands to the test.
type told struct {
	Lines  [][]byte
	Judged judgement
	Said   string
}

const childEnv = "COOLHOLD_WORDS_OF" // names a file with the lines to judge

// TestInOtherWords is the program in other words: it runs only as a child.
func TestInOtherWords(t *testing.T) {
	file := os.Getenv(childEnv)
	if file == "" {
		t.Skip("only for the test below")
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	out := told{Lines: stored(t)}
	if out.Judged, out.Said, err = judged(bytes.Split(data, []byte("\n"))); err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(out)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file+".told", text, 0o600); err != nil {
		t.Fatal(err)
	}
}

// Every word of a Line, of an option and of a rule is another: no stored byte, no
// verdict, no acceptance and nothing that a signature had seen differs.
func TestNoWordIsStored(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program once more")
	}
	dir := t.TempDir()
	overlay, changed := inOtherWords(t, dir)
	lines := stored(t)
	file := filepath.Join(dir, "lines")
	if err := os.WriteFile(file, bytes.Join(lines, []byte("\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("go", "test", "-vet=off", "-count=1", "-overlay", overlay, "-run", "^TestInOtherWords$", ".")
	cmd.Env = append(os.Environ(), childEnv+"="+file)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	data, err := os.ReadFile(file + ".told")
	if err != nil {
		t.Fatal(err)
	}
	var other told
	if err := json.Unmarshal(data, &other); err != nil {
		t.Fatal(err)
	}
	mine, said, err := judged(lines)
	if err != nil {
		t.Fatal(err)
	}
	for i := range max(len(lines), len(other.Lines)) {
		if i >= len(lines) || i >= len(other.Lines) || !bytes.Equal(lines[i], other.Lines[i]) {
			t.Fatalf("entry %d is stored as\n%s\nin other words as\n%s", i+1, lines[min(i, len(lines)-1)], other.Lines[min(i, len(other.Lines)-1)])
		}
	}
	for what, pair := range map[string][2][]string{
		"verdicts": {mine.Verdicts, other.Judged.Verdicts}, "findings": {mine.Findings, other.Judged.Findings}, "seen": {mine.Seen, other.Judged.Seen},
	} {
		if !slices.Equal(pair[0], pair[1]) || len(pair[0]) == 0 {
			t.Errorf("%s\n%q\nin other words\n%q", what, pair[0], pair[1])
		}
	}
	// The words were others indeed: nothing is told as it was.
	had := strings.Split(strings.TrimSpace(said), "\n")
	for i, line := range strings.Split(strings.TrimSpace(other.Said), "\n") {
		if i < len(had) && line == had[i] {
			t.Errorf("told in the same words: %q", line)
		}
	}
	if changed < 300 {
		t.Errorf("only %d words were changed", changed)
	}
}

// inOtherWords writes the sources of what has words, each word changed, and gives
// the file that puts them in the place of the others.
func inOtherWords(t *testing.T, dir string) (overlay string, changed int) {
	t.Helper()
	replace := map[string]string{}
	for _, pkg := range []string{"logbook", "logbook/audit", "fusion"} {
		files, err := filepath.Glob(filepath.Join("..", "..", "..", pkg, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %v", pkg, err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			fset := token.NewFileSet()
			f, err := parser.ParseFile(fset, name, nil, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			n := reword(f, pkg)
			if n == 0 {
				continue
			}
			var src bytes.Buffer
			if err := format.Node(&src, fset, f); err != nil {
				t.Fatal(err)
			}
			own, err := filepath.Abs(name)
			if err != nil {
				t.Fatal(err)
			}
			to := filepath.Join(dir, strings.ReplaceAll(pkg, "/", "-")+"-"+filepath.Base(name))
			if err := os.WriteFile(to, src.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
			replace[own], changed = to, changed+n
		}
	}
	text, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		t.Fatal(err)
	}
	overlay = filepath.Join(dir, "overlay.json")
	if err := os.WriteFile(overlay, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return overlay, changed
}

// saying are the functions that put something into words.
var saying = map[string]bool{"Line": true, "Says": true, "String": true, "why": true, "says": true}

// reword changes the words of a file. In the audit all that has a blank is words,
// constants left out: they name what others go by.
func reword(f *ast.File, pkg string) (n int) {
	all := pkg == "logbook/audit"
	change := func(lit *ast.BasicLit) {
		if text, err := strconv.Unquote(lit.Value); lit.Kind == token.STRING && err == nil && strings.ContainsFunc(text, letter) {
			lit.Value = strconv.Quote(text + "~")
			n++
		}
	}
	words := func(node ast.Node) {
		ast.Inspect(node, func(node ast.Node) bool {
			if lit, ok := node.(*ast.BasicLit); ok {
				change(lit)
			}
			return true
		})
	}
	ast.Inspect(f, func(node ast.Node) bool {
		switch x := node.(type) {
		case *ast.GenDecl:
			return x.Tok != token.CONST && x.Tok != token.IMPORT
		case *ast.Field:
			return false // its tag
		case *ast.FuncDecl:
			if saying[x.Name.Name] && x.Body != nil && pkg == "logbook" {
				words(x.Body)
				return false
			}
		case *ast.CallExpr:
			if id, ok := x.Fun.(*ast.Ident); ok && id.Name == "options" && len(x.Args) > 2 {
				for i := 2; i < len(x.Args); i += 2 {
					words(x.Args[i])
				}
				return false
			}
		case *ast.ValueSpec:
			if len(x.Names) == 1 && x.Names[0].Name == "doubts" {
				for _, v := range x.Values {
					words(v)
				}
				return false
			}
		case *ast.BasicLit:
			if all && strings.Contains(x.Value, " ") && x.Value[0] == '"' {
				change(x)
			}
		}
		return true
	})
	return n
}

func letter(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' }
