package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// arrows say which packages of ours each package may import, and which of the
// outside it must keep away from. A package that is not listed is a fault.
var arrows = map[string][]string{
	"coolhold/fusion":                    {},
	"coolhold/fusion/loop":               {"fusion"},
	"coolhold/logbook/whole":             {},
	"coolhold/logbook/fault":             {},
	"coolhold/logbook/toml":              {"logbook/fault"},
	"coolhold/logbook/fault/faulttest":   {"logbook/fault"},
	"coolhold/logbook/table":             {"fusion", "logbook/fault", "logbook/toml"},
	"coolhold/logbook/plan":              {"fusion", "logbook/toml"},
	"coolhold/logbook":                   {"fusion", "logbook/fault", "logbook/kit", "logbook/plan", "logbook/table"},
	"coolhold/logbook/ahead":             {"fusion", "fusion/loop", "logbook", "logbook/kit", "logbook/plan"},
	"coolhold/logbook/acts":              {"fusion", "logbook", "logbook/ahead", "logbook/audit", "logbook/fault", "logbook/kit", "logbook/plan", "logbook/table"},
	"coolhold/logbook/crew":              {"fusion", "logbook", "logbook/acts", "logbook/ahead", "logbook/plan"},
	"coolhold/logbook/audit":             {"fusion", "fusion/loop", "logbook", "logbook/ahead"},
	"coolhold/logbook/register":          {"fusion", "logbook", "logbook/ahead", "logbook/audit", "logbook/chart", "logbook/handover", "logbook/history", "logbook/plan", "logbook/recall", "logbook/seal"},
	"coolhold/logbook/handover":          {"fusion", "logbook", "logbook/ahead", "logbook/audit", "logbook/chart", "logbook/labels"},
	"coolhold/logbook/handover/a4":       {"logbook/chart", "logbook/handover", "logbook/paper/page"},
	"coolhold/logbook/handover/phone":    {"logbook", "logbook/handover"},
	"coolhold/logbook/seal":              {},
	"coolhold/logbook/store/soaktest":    {},
	"coolhold/logbook/store":             {"fusion", "logbook", "logbook/seal", "logbook/whole"},
	"coolhold/logbook/paper":             {"fusion", "logbook", "logbook/acts", "logbook/ahead", "logbook/fault", "logbook/paper/workbook"},
	"coolhold/logbook/paper/workbook":    {},
	"coolhold/logbook/paper/xlsx":        {"logbook", "logbook/paper"},
	"coolhold/logbook/paper/page":        {"logbook"},
	"coolhold/logbook/paper/a4":          {"logbook/paper", "logbook/paper/page"},
	"coolhold/logbook/labels":            {"fusion", "logbook", "logbook/ahead"},
	"coolhold/logbook/labels/a4":         {"logbook", "logbook/labels", "logbook/paper/page"},
	"coolhold/logbook/history":           {"fusion", "logbook", "logbook/ahead", "logbook/audit", "logbook/recall"},
	"coolhold/logbook/recall":            {"logbook"},
	"coolhold/logbook/photo":             {"logbook"},
	"coolhold/logbook/office":            {"fusion", "logbook", "logbook/audit", "logbook/recall", "logbook/register", "logbook/seal"},
	"coolhold/logbook/office/officetest": {"logbook", "logbook/office", "logbook/recall", "logbook/seal"},
	"coolhold/logbook/office/pg":         {"fusion", "logbook", "logbook/office", "logbook/recall", "logbook/seal"},
	"coolhold/logbook/office/pg/cluster": {},
	"coolhold/logbook/office/wire":       {"logbook/office", "logbook/recall"},
	"coolhold/logbook/chart":             {"logbook", "logbook/ahead", "logbook/audit", "logbook/plan"},
	"coolhold/logbook/kit":               {"fusion", "logbook/toml"},
	"coolhold/logbook/ready":             {"fusion", "logbook", "logbook/ahead", "logbook/kit"},
	"coolhold/tui/widget":                {},
	"coolhold/tui/shell":                 {"fusion", "logbook", "logbook/acts", "logbook/ahead", "logbook/audit", "logbook/handover", "tui/widget"},
	"coolhold/tui/speech":                {"tui/shell"},
	"coolhold/tui/form":                  {"fusion", "logbook", "logbook/acts", "tui/shell", "tui/widget"},
	"coolhold/tui/walk":                  {"fusion", "logbook", "logbook/acts", "logbook/ahead", "logbook/kit", "logbook/plan", "tui/form", "tui/shell", "tui/widget"},
	"coolhold/tui/desk":                  {"fusion", "fusion/loop", "logbook", "logbook/acts", "logbook/ahead", "logbook/audit", "logbook/history", "tui/form", "tui/shell", "tui/walk", "tui/widget"},
	"coolhold/tui":                       {"fusion", "logbook", "logbook/acts", "logbook/ahead", "logbook/audit", "logbook/chart", "logbook/fault", "logbook/kit", "logbook/labels", "logbook/plan", "logbook/ready", "logbook/register", "logbook/table", "tui/desk", "tui/form", "tui/shell", "tui/speech", "tui/walk", "tui/widget"},
	"coolhold/cmd/coolhold/early":        {},
	"coolhold/cmd/coolhold/example":      {"fusion", "logbook", "logbook/acts", "logbook/ahead", "logbook/audit"},

	"coolhold/logbook/register/account": {"fusion", "logbook", "logbook/ahead", "logbook/audit", "logbook/chart", "logbook/handover", "logbook/plan", "logbook/register"},
	"coolhold/logbook/register/pdf":     {"logbook", "logbook/audit", "logbook/chart", "logbook/handover", "logbook/paper/page", "logbook/register", "logbook/register/account"},
	"coolhold/logbook/register/html":    {"logbook", "logbook/audit", "logbook/chart", "logbook/register", "logbook/register/account"},
	"coolhold/logbook/register/xlsx":    {"logbook", "logbook/audit", "logbook/register", "logbook/register/account"},
	"coolhold/logbook/proof":            {"fusion", "logbook", "logbook/audit", "logbook/register", "logbook/seal"},
}

// keepOut are imports that belong to a few packages only.
var keepOut = map[string]func(pkg string) bool{
	"github.com/charmbracelet/bubbletea": func(p string) bool { return strings.HasPrefix(p, "coolhold/tui") },
	"codeberg.org/go-pdf/fpdf": func(p string) bool {
		return p == "coolhold/logbook/register/pdf" || p == "coolhold/logbook/paper/page"
	},
	"github.com/bep/imagemeta": func(p string) bool { return p == "coolhold/logbook/photo" },
	"github.com/xuri/excelize/v2": func(p string) bool {
		return p == "coolhold/logbook/register/xlsx" || p == "coolhold/logbook/paper/xlsx"
	},
	"go.etcd.io/bbolt": func(p string) bool { return p == "coolhold/logbook/store" },
	"os": func(p string) bool {
		return strings.HasPrefix(p, "coolhold/cmd") || p == "coolhold/logbook/store" || p == "coolhold/logbook/whole" || p == "coolhold/tui" || p == "coolhold/logbook/office/pg/cluster" || forTests(p)
	},
	// For tests only.
	"coolhold/logbook/crew":              func(string) bool { return false },
	"coolhold/logbook/fault/faulttest":   func(string) bool { return false },
	"coolhold/logbook/store/soaktest":    func(string) bool { return false },
	"coolhold/logbook/office/officetest": func(string) bool { return false },
	// The office.
	"net":                                func(p string) bool { return p == "coolhold/logbook/office/wire" },
	"net/http":                           func(p string) bool { return p == "coolhold/logbook/office/wire" },
	"github.com/jackc/pgx/v5":            func(p string) bool { return officeDatabase(p) || p == "coolhold/cmd/coolhold" },
	"github.com/jackc/pgx/v5/pgxpool":    officeDatabase,
	"github.com/klauspost/compress/zstd": func(p string) bool { return p == "coolhold/logbook/office" },
}

// officeDatabase is where the office's database is known.
func officeDatabase(p string) bool { return strings.HasPrefix(p, "coolhold/logbook/office/pg") }

func forTests(p string) bool {
	return p == "coolhold/logbook/fault/faulttest" || p == "coolhold/logbook/store/soaktest"
}

type listed struct {
	ImportPath string
	Imports    []string
}

func packages(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", "./...")
	cmd.Dir = "../.."
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

func TestArrows(t *testing.T) {
	used := map[string]bool{}
	for _, p := range packages(t) {
		may, known := arrows[p.ImportPath]
		if !known && p.ImportPath != "coolhold/cmd/coolhold" {
			t.Errorf("%s is not in the table of arrows", p.ImportPath)
		}
		for _, i := range p.Imports {
			ours, is := strings.CutPrefix(i, "coolhold/")
			if is && p.ImportPath != "coolhold/cmd/coolhold" && !slices.Contains(may, ours) {
				t.Errorf("%s must not import %s", p.ImportPath, i)
			}
			used[p.ImportPath+" "+ours] = true
			if may, guarded := keepOut[i]; guarded && !may(p.ImportPath) {
				t.Errorf("%s must not import %s", p.ImportPath, i)
			}
		}
		for _, ours := range may {
			if !used[p.ImportPath+" "+ours] {
				t.Errorf("%s may import %s and does not: take the arrow out", p.ImportPath, ours)
			}
		}
	}
}

// onlyIn checks that a pattern of the code stands in one file alone, tests left out
// and what checks the program, which is not the program.
func onlyIn(t *testing.T, file, pattern string, where ...string) {
	t.Helper()
	cmd := exec.Command("git", append([]string{"grep", "-n", "-E", pattern, "--", ":!*_test.go", ":!.ci"}, where...)...)
	cmd.Dir = "../.."
	out, err := cmd.Output()
	if err != nil {
		t.Skipf("not a git checkout: %v", err)
	}
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		if !strings.HasPrefix(line, file+":") {
			t.Errorf("%s stands at %s", pattern, line)
		}
	}
}

// The time is asked for in one place, the clock files of this package.
func TestTheTimeEntersInOnePlace(t *testing.T) {
	onlyIn(t, "cmd/coolhold/clock.go", `time\.Now\(\)`, "*.go")
}

// What the verbs write goes one way, on which acts are decided and refused.
func TestTheVerbsWriteInOnePlace(t *testing.T) {
	onlyIn(t, "cmd/coolhold/write.go", `\.Append\(`, "cmd/coolhold/*.go", ":!cmd/coolhold/example")
}
