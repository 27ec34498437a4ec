package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// formerWord are the words that a fitter would not use, or that meant two things.
var formerWord = regexp.MustCompile(`(?i)\bhold to\b|\blast round\b|\bsisters\b|\bstr(uck|ike|ikes|iking) (it )?off\b|\blet in\b|\bresidual-current\b|\b(rotary|hand) tool\b|` +
	`\bnone seen\b|\bcold and firm\b|\bstill warm\b|\bstops this row\b|\bprints otherwise\b|\bmoment not said\b|\bon the bar\b|\bbar (from|to) ground\b|\bweight off the fitting\b|` +
	`\bcame to a day\b|\blast signature\b|\buntil when the qualification\b|\bpressure proof\b|\babandoned\b|\bport as welded\b|\bcoil batch\b|\bat the round\b`)

// stays is where such a word is read and never shown, or is a name in the log.
var stays = map[string]string{
	"rotary tool": "a former word", "hand tool": "a former word", "at the round": "a former word", "none seen": "a former word",
	"cold and firm": "a former word", "still warm": "a former word", "coil batch": "a former name", "port as welded": "a former name",
	"joint struck off": "a kind of entry", "walk abandoned": "a kind of entry", "resistance-unlike-sisters": "the slug of a rule",
}

// spans are names in code.
var spans = regexp.MustCompile("`[^`]*`")

// No text of the program and no page about it says a former word.
func TestNoFormerWordIsShown(t *testing.T) {
	root, literals := filepath.Join("..", ".."), 0
	check := func(at, text string) {
		if word := formerWord.FindString(text); word != "" && stays[text] == "" {
			t.Errorf("%s says %q: %q", at, word, text)
		}
	}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "testdata" || d.Name() == "crew" || strings.HasPrefix(d.Name(), ".") && path != root):
			return filepath.SkipDir
		case !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		files := token.NewFileSet()
		f, err := parser.ParseFile(files, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if lit, is := n.(*ast.BasicLit); is && lit.Kind == token.STRING {
				literals++
				text, _ := strconv.Unquote(lit.Value)
				check(files.Position(lit.Pos()).String(), text)
			}
			return true
		})
		return nil
	})
	if err != nil || literals < 2000 {
		t.Fatalf("%d texts were read: %v", literals, err)
	}
	for _, page := range []string{"README.md", "DEVELOPERS.md", "CHANGELOG.md"} {
		data, err := os.ReadFile(filepath.Join(root, page))
		if err != nil {
			t.Fatal(err)
		}
		for i, line := range strings.Split(string(data), "\n") {
			check(page+":"+strconv.Itoa(i+1), spans.ReplaceAllString(line, ""))
		}
	}
}
