package store

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/plan"
)

// benchLog is a log of 2,000 entries.
func benchLog(b testing.TB) *Log {
	l := aDay(b)
	for i := range 8 {
		if _, err := l.Append(bg, saves(fmt.Sprint("fill ", i), 250)); err != nil {
			b.Fatal(err)
		}
	}
	return l
}

// largeEnv lets the benchmarks make a log of 100,000 welds too: minutes, and two
// gigabytes.
const largeEnv = "COOLHOLD_STORE_BENCH_LARGE"

// benchDir keeps the logs of the benchmarks while the program runs.
var benchDir string

// crewLog is a log of so many welds in sites of so many, each weld 15 entries in
// one save. It is made once and copied.
func crewLog(b *testing.B, welds, each int) *Log {
	b.Helper()
	if benchDir == "" {
		dir, err := os.MkdirTemp("", "coolhold-bench-*")
		if err != nil {
			b.Fatal(err)
		}
		benchDir = dir
	}
	made := filepath.Join(benchDir, fmt.Sprintf("%d-%d.log", welds, each))
	if _, err := os.Stat(made); err != nil {
		makeCrewLog(b, made, welds, each)
	}
	path := filepath.Join(b.TempDir(), "site.log")
	for _, end := range []string{"", ".journal"} {
		if err := copyFile(made+end, path+end); err != nil {
			b.Fatal(err)
		}
	}
	l, err := Open(path)
	if err != nil {
		b.Fatal(err)
	}
	return l
}

func makeCrewLog(b *testing.B, path string, welds, each int) {
	l, err := Create(path, NewLog{Tag: "KM"})
	if err != nil {
		b.Fatal(err)
	}
	atATime := 1 + welds/5000*10 // welds a save: the large log is to be made in minutes
	var drafts []logbook.Draft
	for n := 1; n <= welds; n++ {
		site := siteName((n - 1) / each)
		if (n-1)%each == 0 {
			drafts = append(drafts, logbook.Draft{ID: "open " + site, At: stamp(n), Site: site, Body: logbook.SiteOpened{Name: "Invented " + site}},
				logbook.Draft{ID: "table " + site, At: stamp(n), Site: site, Body: logbook.TableTaken{Hash: "0123", Title: "invented", Text: benchTable}})
		}
		drafts = append(drafts, benchWeld(site, n)...)
		if n%atATime == 0 || n == welds {
			benchSave(b, l, drafts...)
			drafts = nil
		}
	}
}

func siteName(i int) string { return fmt.Sprintf("site-%03d", i) }

func benchSave(b *testing.B, l *Log, drafts ...logbook.Draft) {
	if _, err := l.Append(bg, these(drafts...)); err != nil {
		b.Fatal(err)
	}
}

// benchTable is as long as a table of thirty fittings; its figures are invented.
var benchTable = "title = \"invented\"\nsource = \"invented\"\nbands = [[-5, 4], [5, 14]]\n" + strings.Repeat(
	"[[fitting]]\nname = \"coupler\"\nkind = \"coupler\"\nsizes_mm = [1]\nsdr = [1]\nvolts = 1\nseconds = [2, 1]\ncooling_min = 1\n", 30)

// benchWeld are the 15 entries of a weld; their figures are invented.
func benchWeld(site string, n int) (drafts []logbook.Draft) {
	label, id := fmt.Sprintf("C%dA", n), logbook.WeldNumber("KM", n)
	done := func(items ...string) (out []logbook.Answer) {
		for _, item := range items {
			out = append(out, logbook.Answer{Item: item, V: logbook.Done, How: logbook.Typed})
		}
		return out
	}
	for i, body := range []logbook.Body{
		logbook.JointPlanned{Joint: plan.Joint{Label: label, Chamber: "A", Fitting: "coupler", OdMM: 1, SDR: 1, LengthM: 1, Pipe: label}},
		logbook.WeldBegun{Operator: "Ada Invented", Unit: "CU-1"},
		logbook.StepAnswered{Step: "fitting", Answers: []logbook.Answer{{Item: "fitting", V: "coupler", How: logbook.Scanned}, {Item: "batch", V: "B-0001", How: logbook.Scanned}}},
		logbook.BagRead{Fitting: "coupler", Batch: "B-0001", Matches: true, Table: "0123"},
		logbook.StepAnswered{Step: logbook.StepPrep, Answers: done("cut square", "scraped", "cleaned", "marked", "clamped")},
		logbook.AmbientRead{C: 100},
		logbook.StepAnswered{Step: "depth", Answers: done("depth seen")},
		logbook.SettingsKeyed{SecondsShown: 2, CoolingMin: 1},
		logbook.ResistanceRead{},
		logbook.FusionStarted{}, logbook.FusionEnded{Outcome: logbook.Completed}, logbook.RunRead{}, logbook.IndicatorsRead{},
		logbook.Released{}, logbook.Note{Text: "nothing to say of " + id},
	} {
		drafts = append(drafts, logbook.Draft{
			ID: fmt.Sprintf("%s-%x-%02d", site, n*7919, i), At: stamp(60*n + 4*i), By: "Ada Invented",
			Site: site, Shift: "s1", Weld: id, Joint: label, Body: body,
		})
		if i == 0 {
			drafts[0].Weld = ""
		}
	}
	return drafts
}

// written is how many bytes this process has written, where that is told. What
// the system makes of them on its disk is more, by its own blocks.
func written() int64 {
	data, _ := os.ReadFile("/proc/self/io")
	_, rest, _ := bytes.Cut(data, []byte("\nwchar: "))
	line, _, _ := bytes.Cut(rest, []byte("\n"))
	n, _ := strconv.ParseInt(string(line), 10, 64)
	return n
}

// sizes reports what a log takes on disk for each byte of its journal: its pages
// up to the last that was ever used. The file itself is longer, up to the next
// power of two or 16 MiB, of which nothing is written.
func sizes(b *testing.B, l *Log, welds int) {
	f, err := os.Open(l.path)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	journal, err := os.Stat(l.path + ".journal")
	if err != nil {
		b.Fatal(err)
	}
	used := float64(newest(f).pages) * pageSize
	b.ReportMetric(used/float64(journal.Size()), "log/journal")
	b.ReportMetric(used/float64(welds), "B/weld")
}

// appends stores one entry of a weld after the other, and lets after follow each.
func appends(b *testing.B, l *Log, welds int, after func()) {
	n, left := welds, []logbook.Draft(nil)
	site := siteName(0)
	before, count := written(), 0
	for b.Loop() {
		if len(left) == 0 {
			n++
			left = benchWeld(site, n)
		}
		benchSave(b, l, left[0])
		left = left[1:]
		after()
		count++
	}
	if now := written(); now > 0 {
		b.ReportMetric(float64(now-before)/float64(count), "written-B/op")
	}
	sizes(b, l, n)
}

var benchSizes = []int{50, 500, 2000}

// A save of one entry, at sites of some welds.
func BenchmarkAppend(b *testing.B) {
	for _, welds := range benchSizes {
		b.Run(fmt.Sprint("welds=", welds), func(b *testing.B) {
			l := crewLog(b, welds, welds)
			if _, err := l.Book(bg, siteName(0)); err != nil {
				b.Fatal(err)
			}
			appends(b, l, welds, func() {})
		})
	}
}

// A save with the book read back after it, as the screens do.
func BenchmarkAppendAndBook(b *testing.B) {
	for _, welds := range benchSizes {
		b.Run(fmt.Sprint("welds=", welds), func(b *testing.B) {
			l := crewLog(b, welds, welds)
			appends(b, l, welds, func() {
				book, err := l.Book(bg, siteName(0))
				if err != nil {
					b.Fatal(err)
				}
				if w, _ := book.Weld(siteName(0), logbook.WeldNumber("KM", welds)); w.Released == nil {
					b.Fatal("the book is not that of the site")
				}
			})
		})
	}
}

// A site of 500 welds is opened, in logs of some such sites.
func BenchmarkOpenSite(b *testing.B) {
	logs := []int{500, 3000}
	if os.Getenv(largeEnv) != "" {
		logs = append(logs, 100000)
	}
	for _, welds := range logs {
		b.Run(fmt.Sprint("welds=", welds), func(b *testing.B) {
			path := crewLog(b, welds, 500).path
			for b.Loop() {
				l, err := Open(path)
				if err != nil {
					b.Fatal(err)
				}
				if book, err := l.Book(bg, siteName(0)); err != nil || len(book.Welds(siteName(0))) != 500 {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkReadAll(b *testing.B) {
	l := crewLog(b, 500, 500)
	for b.Loop() {
		if n := len(readAll(b, l.path).Entries); n < 7500 {
			b.Fatalf("%d entries", n)
		}
	}
}

func BenchmarkVerify(b *testing.B) {
	l := crewLog(b, 500, 500)
	for b.Loop() {
		if r, err := Verify(bg, l.path, true); err != nil || len(r.Faults) > 0 {
			b.Fatal(r.Faults, err)
		}
	}
}
