package store

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/plan"
)

// All people, sites and figures in these tests are invented.

// childEnv makes the test binary a writer on the log it names: the real thing
// to kill, and a second program at the same log.
const childEnv = "COOLHOLD_STORE_TEST_WRITER"

// programs are what else the test binary can be, by the variable that names its
// log; some are of one system only.
var programs = map[string]func(path string) error{}

func TestMain(m *testing.M) {
	if path := os.Getenv(migrateEnv); path != "" {
		os.Exit(migrateAndDie(path))
	}
	if path := os.Getenv(childEnv); path != "" {
		if err := write(path); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	for env, program := range programs {
		if path := os.Getenv(env); path != "" {
			if err := program(path); err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(1)
			}
			os.Exit(0)
		}
	}
	if path := os.Getenv(judgeEnv); path != "" {
		judge(path)
		os.Exit(0)
	}
	debug.SetGCPercent(400) // much is made and little kept
	code := m.Run()
	os.RemoveAll(benchDir) // nothing, where no benchmark ran
	os.Exit(code)
}

// write stores saves of one to three entries until its count is reached or it
// is killed, and says each seq once Append has acknowledged it.
func write(path string) error {
	l, err := Open(path)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(os.Stdout)
	for i := range 40 {
		entries, err := l.Append(within(10*time.Second), saves(fmt.Sprintf("p%d-%d", os.Getpid(), i), 1+i%3))
		if err != nil {
			return err
		}
		fmt.Fprintln(out, entries[len(entries)-1].Seq)
		if err := out.Flush(); err != nil {
			return err
		}
	}
	return nil
}

// within is a context with that deadline; the tests end long before it.
func within(d time.Duration) context.Context {
	ctx, cancel := context.WithTimeout(context.Background(), d)
	context.AfterFunc(ctx, cancel)
	return ctx
}

var (
	bg   = context.Background()
	noon = time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC)
)

func stamp(s int) fusion.Stamp {
	d := time.Duration(s) * time.Second
	return fusion.Stamp{Wall: noon.Add(d), Offset: 3600, Boot: time.Hour + d, BootID: "0f8c3b52-1e0d-4a7b-9a57-2d1f0b6c1e11", Machine: "laptop"}
}

func draft(id string, body logbook.Body) logbook.Draft {
	return logbook.Draft{ID: id, At: stamp(0), By: "Ada Invented", Site: "meadow", Body: body}
}

// saves decides on n notes under one id.
func saves(id string, n int) func(logbook.Reader) ([]logbook.Draft, error) {
	var drafts []logbook.Draft
	for i := range n {
		drafts = append(drafts, draft(id, logbook.Note{Text: fmt.Sprintf("note %s, %d of %d", id, i+1, n)}))
	}
	return these(drafts...)
}

func these(drafts ...logbook.Draft) func(logbook.Reader) ([]logbook.Draft, error) {
	return func(logbook.Reader) ([]logbook.Draft, error) { return drafts, nil }
}

// fresh makes a log that is checked by bbolt and opened once more when the
// test ends.
func fresh(t testing.TB) *Log { t.Helper(); return freshIn(t, t.TempDir()) }

func freshIn(t testing.TB, dir string) *Log {
	t.Helper()
	l, err := Create(filepath.Join(dir, "site.log"), NewLog{Tag: "KM", Rand: rand.NewChaCha8([32]byte{1})})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { sound(t, l.path) })
	return l
}

// sound runs bbolt's own check, opens the log and holds journal, hashes and
// index against the entries, by hand and by Verify.
func sound(t testing.TB, path string) {
	t.Helper()
	db, err := bolt.Open(path, 0, &bolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	err = db.View(func(raw *bolt.Tx) error {
		for err := range raw.Check() {
			t.Errorf("bbolt's check: %v", err)
		}
		return nil
	})
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(path); err != nil {
		t.Fatalf("not opened again: %v", err)
	}
	inStep(t, path)
	r, err := Verify(bg, path, true)
	r.Remarks = slices.DeleteFunc(r.Remarks, func(line string) bool {
		return strings.Contains(line, ": log made anew from its journal, ") || strings.Contains(line, "not read here")
	}) // both are so
	if err != nil || len(r.Faults) > 0 || len(r.Remarks) > 0 || !r.Deep {
		t.Errorf("the check of the whole: %v, %v, %v", err, r.Faults, r.Remarks)
	}
}

// inStep makes sure that the journal holds its first line, the stored lines and
// nothing else.
func inStep(t testing.TB, path string) {
	t.Helper()
	has, err := os.ReadFile(path + ".journal")
	if err != nil {
		t.Fatal(err)
	}
	if want := journalText(t, path); !bytes.Equal(has, want) {
		t.Errorf("the journal has %d bytes, should have %d:\n%s\n%s", len(has), len(want), has, want)
	}
}

// journalText is what the journal of a log should be, by the format's words.
func journalText(t testing.TB, path string) []byte {
	t.Helper()
	var id, tag []byte
	raw(t, path, func(tx *bolt.Tx) error {
		meta := tx.Bucket([]byte("meta"))
		id, tag = bytes.Clone(meta.Get([]byte("id"))), bytes.Clone(meta.Get([]byte("tag")))
		return nil
	})
	text := lineInJournal(fmt.Sprintf(`{"journal":1,"log":"%s","tag":"%s"}`, id[:32], tag[:2]))
	for _, line := range storedLines(t, path) {
		text += lineInJournal(string(line))
	}
	return []byte(text)
}

// lineInJournal is a line with TAB, checksum and line feed.
func lineInJournal(line string) string {
	return fmt.Sprintf("%s\t%08x\n", line, crc32.Checksum([]byte(line), crc32.MakeTable(crc32.Castagnoli)))
}

// storedLines reads the lines of all entries by bbolt alone.
func storedLines(t testing.TB, path string) (lines [][]byte) {
	t.Helper()
	raw(t, path, func(tx *bolt.Tx) error {
		return tx.Bucket([]byte("entry")).ForEach(func(_, v []byte) error {
			lines = append(lines, bytes.Clone(v[:len(v)-4]))
			return nil
		})
	})
	return lines
}

// raw lets f work on the file behind the back of the package.
func raw(t testing.TB, path string, f func(*bolt.Tx) error) {
	t.Helper()
	db, err := bolt.Open(path, 0, &bolt.Options{Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(db.Update(f), db.Close()); err != nil {
		t.Fatal(err)
	}
}

func add(t testing.TB, l *Log, drafts ...logbook.Draft) []logbook.Entry {
	t.Helper()
	entries, err := l.Append(bg, these(drafts...))
	if err != nil {
		t.Fatal(err)
	}
	return entries
}

func readAll(t testing.TB, path string) Snapshot {
	t.Helper()
	snap, err := ReadAll(bg, path)
	if err != nil {
		t.Fatal(err)
	}
	return snap
}

// dump is everything a reader shows, as text. It asks for every site.
func dump(t testing.TB, r logbook.Reader) string {
	t.Helper()
	type siteDump struct {
		Site   logbook.Site
		Joints []logbook.Joint
		Welds  []logbook.Weld
		Shifts []logbook.Shift
	}
	all := struct {
		Tag   string
		Next  int
		Sites []siteDump
	}{Tag: r.Tag(), Next: r.NextWeld()}
	for _, s := range r.Sites() {
		s, _ = r.Site(s.ID)
		d := siteDump{Site: s, Joints: r.Joints(s.ID), Welds: r.Welds(s.ID)}
		for _, id := range s.Shifts {
			shift, _ := r.Shift(s.ID, id)
			d.Shifts = append(d.Shifts, shift)
		}
		all.Sites = append(all.Sites, d)
	}
	text, err := json.MarshalIndent(all, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func dumpLog(t testing.TB, l *Log) (text string) {
	t.Helper()
	if err := l.View(bg, func(r logbook.Reader) error { text = dump(t, r); return nil }); err != nil {
		t.Fatal(err)
	}
	return text
}

// clone is a copy of the file and its journal under another name, to be spoilt.
func clone(t testing.TB, path string) string {
	t.Helper()
	to := filepath.Join(t.TempDir(), "spoilt.log")
	for _, end := range []string{"", ".journal"} {
		data, err := os.ReadFile(path + end)
		if err != nil {
			t.Fatal(err)
		}
		rewrite(t, to+end, data)
	}
	return to
}

func rewrite(t testing.TB, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o666); err != nil {
		t.Fatal(err)
	}
}

// uids are those of the invented sites; hill was opened without one.
var uids = map[string]string{"meadow": "00000000000000a1"}

// aDay is a log with two sites, joints, a shift and welds in every state.
func aDay(t testing.TB) *Log {
	t.Helper()
	l := fresh(t)
	for _, site := range []string{"meadow", "hill"} {
		add(t, l, logbook.Draft{ID: "open " + site, At: stamp(0), Site: site, Body: logbook.SiteOpened{UID: uids[site], Name: "Invented " + site}})
	}
	started := draft("shift", logbook.ShiftStarted{Day: "2026-03-09", Operators: []logbook.Operator{{Name: "Ada Invented", Mark: "AI"}}})
	started.Shift = "s1"
	add(t, l, started)
	for i := range 6 {
		label := fmt.Sprintf("C%dA", i+1)
		planned := draft("joint "+label, logbook.JointPlanned{Joint: plan.Joint{Label: label, Fitting: "invented coupler"}})
		planned.Joint = label
		add(t, l, planned)
		weldTo(t, l, label, i)
	}
	return l
}

// weldTo begins a weld and takes it so many states on.
func weldTo(t testing.TB, l *Log, label string, states int) {
	t.Helper()
	bodies := []logbook.Body{
		logbook.WeldBegun{Operator: "Ada Invented", Unit: "U-1"}, logbook.FusionStarted{},
		logbook.FusionEnded{Outcome: logbook.Completed}, logbook.Released{}, logbook.CutOut{Why: "invented"},
	}
	id := ""
	for i, body := range bodies[:min(states, len(bodies))] {
		_, err := l.Append(bg, func(r logbook.Reader) ([]logbook.Draft, error) {
			if i == 0 {
				id = logbook.WeldNumber(r.Tag(), r.NextWeld())
			}
			d := draft(fmt.Sprintf("%s %d", label, i), body)
			d.Joint, d.Weld, d.Shift, d.At = label, id, "s1", stamp(60*i)
			return []logbook.Draft{d}, nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// wantLine makes sure that an error is that one, and one line.
func wantLine(t testing.TB, err, want error, text string) {
	t.Helper()
	if !errors.Is(err, want) || !strings.Contains(err.Error(), text) || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %v, want %v with %q in one line", err, want, text)
	}
}
