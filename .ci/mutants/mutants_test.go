package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// shop is a module that is made up: its mutants end in every way there is.
func shop() given {
	return given{dir: "testdata/shop", seed: 1, most: 99, last: "./cmd", through: stages, least: 2 * time.Second, patterns: []string{"./price"}}
}

var took = regexp.MustCompile(`(?m)^\d+ |, \d+\.\d s$|\ntook .*`)

// run gives what is printed, without what differs from run to run.
func run(t *testing.T, g given) []string {
	t.Helper()
	var out bytes.Buffer
	if err := g.run(t.Context(), &out); err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSpace(took.ReplaceAllString(out.String(), "")), "\n")
}

func TestEveryMutantOfTheShop(t *testing.T) {
	before := files(t)
	got := run(t, shop())
	i := slices.Index(got, "")
	slices.Sort(got[:i]) // by line, not as drawn
	want, err := os.ReadFile("testdata/shop.golden")
	if err != nil {
		t.Fatal(err)
	}
	if text := strings.Join(got, "\n") + "\n"; text != string(want) {
		t.Errorf("got\n%s\nwant\n%s", text, want)
	}
	if after := files(t); after != before {
		t.Errorf("the tree was changed: %s, before %s", after, before)
	}
}

// files are all files of the shop with their text.
func files(t *testing.T) string {
	t.Helper()
	var all strings.Builder
	err := filepath.WalkDir("testdata/shop", func(name string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(name)
		all.WriteString(name + "\n" + string(text))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all.String()
}

func TestTheSeedDrawsTheSample(t *testing.T) {
	g := shop()
	g.list, g.most = true, 4
	first := run(t, g)
	if again := run(t, g); !slices.Equal(first, again) {
		t.Errorf("one seed drew\n%q and\n%q", first, again)
	}
	if n := slices.Index(first, ""); n != 4 {
		t.Errorf("%d mutants instead of 4", n)
	}
	g.seed = 2
	if other := run(t, g); slices.Equal(first, other) {
		t.Errorf("two seeds drew %q", other)
	}
}

func TestALineAlone(t *testing.T) {
	g := shop()
	g.list, g.at = true, "price/price.go:11"
	got := run(t, g)
	want := []string{"price/price.go:11 >= becomes >: n >= 10", "price/price.go:11 10 becomes 11: if n >= 10 {", "price/price.go:11 not: n >= 10"}
	slices.Sort(want)
	slices.Sort(got[:3])
	if !slices.Equal(got[:3], want) || got[3] != "" {
		t.Errorf("%q, want %q", got[:4], want)
	}
	g.at = "price/price.go:1"
	if err := g.run(t.Context(), os.Stdout); err == nil {
		t.Error("a line without code has mutants")
	}
}

// What only tests import is left alone.
func TestAPackageForTests(t *testing.T) {
	g := shop()
	g.list, g.at, g.patterns = true, "logbook/crew/crew.go:5", []string{"./logbook/crew"}
	if err := g.run(t.Context(), os.Stdout); err == nil || !strings.Contains(err.Error(), "nothing to change there") {
		t.Errorf("got %v", err)
	}
}

func TestWhatDoesNotEnd(t *testing.T) {
	g := shop()
	g.at = "price/price.go:20"
	got := run(t, g)
	const want = "price/price.go:20 dropped: n /= 2: killed, not ended in time: shop/price"
	if !slices.Contains(got, want) || !strings.HasSuffix(got[len(got)-1], "of the killed 1 did not end in time") {
		t.Errorf("%q has not %q", got, want)
	}
}

func TestTestsThatFailAnyhowStopIt(t *testing.T) {
	g := shop()
	g.dir, g.patterns = t.TempDir(), []string{"./..."}
	for name, text := range map[string]string{
		"go.mod": "module broken\n\ngo 1.26.0\n", "a.go": "package broken\n\nfunc A() int { return 1 }\n",
		"a_test.go": "package broken\n\nimport \"testing\"\n\nfunc TestA(t *testing.T) { _ = A(); t.Error(\"always\") }\n",
	} {
		if err := os.WriteFile(filepath.Join(g.dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	err := g.run(context.Background(), &bytes.Buffer{})
	if err == nil || !strings.Contains(err.Error(), "TestA fails with nothing changed") {
		t.Errorf("got %v", err)
	}
}
