package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
)

// restored makes a log anew from a spoilt one and holds its lines against the
// journal; what stood there must stand there still.
func restored(t *testing.T, path string) Restored {
	t.Helper()
	before := map[string][]byte{}
	for _, name := range []string{path, path + ".journal"} {
		before[name], _ = os.ReadFile(name) // one may be missing
	}
	r, err := Restore(bg, path, path+".restored", stamp(900))
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range before {
		if now, _ := os.ReadFile(name); !bytes.Equal(now, data) {
			t.Errorf("%s was changed", name)
		}
	}
	v := holds(t, r.Path)
	text := lineInJournal(fmt.Sprintf(`{"journal":1,"log":"%s","tag":"%s"}`, r.ID, r.Tag))
	for _, line := range linesIn(t, r.Path)[:r.Entries] {
		text += lineInJournal(string(line))
	}
	if !strings.HasPrefix(string(before[path+".journal"]), text) {
		t.Error("the lines are not those of the journal")
	}
	if v.ID != r.ID || v.Tag != r.Tag || v.Entries != r.Entries+1 {
		t.Errorf("said %+v, verified %s %s, %d", r, v.ID, v.Tag, v.Entries)
	}
	saysRestored(t, r.Path, r.Entries)
	return r
}

// saysRestored makes sure that a log's last entry says that it was made anew,
// from what, and how far it is what it was.
func saysRestored(t *testing.T, path string, from int64) {
	t.Helper()
	v := holds(t, path)
	root, err := tlog.TreeHash(from, v)
	if err != nil {
		t.Fatal(err)
	}
	entries := readAll(t, path).Entries
	last := entries[len(entries)-1]
	want := logbook.LogRestored{From: "journal", Last: uint64(from), Root: root.String()}
	if last.Kind != "log restored" || last.Open() != want || last.Seq != uint64(from)+1 || last.At != stamp(900) || last.Site != "" || last.N != 0 || last.ID == ".0" {
		t.Errorf("the last entry is %+v, should say %+v", last, want)
	}
	l, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	add(t, l, draft("after", logbook.Note{Text: "it goes on"}))
	sound(t, path)
}

func TestRestore(t *testing.T) {
	l := aSealedHour(t)
	want := holds(t, l.path)
	whole, err := os.ReadFile(l.path)
	if err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(path string) error{
		"lost":       os.Remove,
		"empty":      func(path string) error { return os.WriteFile(path, nil, 0o666) },
		"cut short":  func(path string) error { return os.Truncate(path, 2*pageSize) },
		"heads gone": func(path string) error { return os.WriteFile(path, spoilBytes(whole, 40, pageSize+40), 0o666) },
		"one byte flip": func(path string) error {
			return os.WriteFile(path, spoilBytes(whole, occurrences(whole, []byte(`{"seq":3,`), 20)...), 0o666)
		},
	} {
		t.Run(name, func(t *testing.T) {
			path := clone(t, l.path)
			if err := spoil(path); err != nil {
				t.Fatal(err)
			}
			r := restored(t, path)
			if r.ID != l.id || r.Tag != "KM" || r.Entries != want.Entries || len(r.OnlyInLog) > 0 {
				t.Errorf("got %+v", r)
			}
			if r.LogMissing != (name == "lost") {
				t.Errorf("missing: %v", r.LogMissing)
			}
			got := holds(t, r.Path)
			if root, err := tlog.TreeHash(want.Entries, got); err != nil || root != want.Root || len(got.Seals) != 2 {
				t.Errorf("root %s, %d seals (%v)", root, len(got.Seals), err)
			}
			if _, err := Restore(bg, path, r.Path, stamp(900)); !errors.Is(err, ErrExists) {
				t.Errorf("a second time: %v", err)
			}
			if n, ok := JournalBeside(path); !ok || int64(n) != want.Entries {
				t.Errorf("the journal beside it has %d entries, %v", n, ok)
			}
		})
	}
}

func spoilBytes(data []byte, at ...int) []byte {
	data = bytes.Clone(data)
	for _, i := range at {
		data[i] ^= 1
	}
	return data
}

// Without a seal, and without the old file, the journal alone names the log.
func TestRestoreFromTheJournalAlone(t *testing.T) {
	l := aDay(t)
	path := clone(t, l.path)
	data := spoil(t, path)
	rewrite(t, path, spoilBytes(data, 40, pageSize+40))
	if r := restored(t, path); r.ID != l.id || r.Tag != "KM" || r.LogMissing {
		t.Errorf("got %+v", r)
	}
	path = clone(t, l.path)
	os.Remove(path)
	if r := restored(t, path); r.ID != l.id || r.Tag != "KM" || !r.LogMissing {
		t.Errorf("got %+v", r)
	}
	again := clone(t, path+".restored") // one that was restored before
	os.Remove(again)
	if r := restored(t, again); r.ID != l.id || r.Tag != "KM" {
		t.Errorf("got %+v", r)
	}
	path = filepath.Join(t.TempDir(), "notes.log")
	few := fresh(t)
	add(t, few, draft("n", logbook.Note{Text: "one"}))
	journal, _ := os.ReadFile(few.path + ".journal")
	rewrite(t, path+".journal", append(journal, `{"seq":2`...))
	if r := restored(t, path); r.ID != few.id || !r.Cut || r.Entries != 1 {
		t.Errorf("got %+v", r)
	}
}

// A journal whose seals were cut off, and what came after, is restored as what it is: a
// log made anew up to there. The entry says how far, and each later check repeats it.
func TestRestoreOfAJournalThatWasCutOff(t *testing.T) {
	l := aSealedHour(t)
	path := clone(t, l.path)
	kept := bytes.SplitAfter(journalText(t, path), []byte("\n"))
	kept = kept[:slices.IndexFunc(kept, func(line []byte) bool { return bytes.Contains(line, []byte(`"kind":"sealed"`)) })]
	rewrite(t, path+".journal", bytes.Join(kept, nil))
	os.Remove(path)
	r := restored(t, path) // which looks at the entry
	if v := holds(t, r.Path); r.ID != l.id || len(v.Seals) > 0 || r.Entries != int64(len(kept)-1) {
		t.Errorf("got %+v with %d seals", r, len(v.Seals))
	}
	v := holds(t, r.Path)
	want := fmt.Sprintf("entry %d: log made anew from its journal, up to entry %d, ", len(kept), len(kept)-1)
	if !slices.ContainsFunc(v.Remarks, func(line string) bool { return strings.HasPrefix(line, want) }) {
		t.Errorf("the check says %q", v.Remarks)
	}
}

// What the journal lacks and the old file still has is named, not guessed.
func TestRestoreNamesWhatTheJournalLacks(t *testing.T) {
	l := aSealedHour(t)
	path := clone(t, l.path)
	lines := linesIn(t, path)
	journal := bytes.SplitAfter(journalText(t, path), []byte("\n"))
	rewrite(t, path, spoilBytes(spoil(t, path), 40, pageSize+40))
	rewrite(t, path+".journal", bytes.Join(journal[:len(lines)-1], nil))
	r := restored(t, path)
	if len(r.OnlyInLog) != 2 || r.OnlyInLog[0].Seq != uint64(len(lines)-1) || r.OnlyInLog[1].Kind != (logbook.Sealed{}).Kind() {
		t.Errorf("got %+v", r.OnlyInLog)
	}
}

// A journal that is not what was written stops it, with the line. Line 1 names
// the log.
func TestRestoreStops(t *testing.T) {
	l := aSealedHour(t)
	bare := []string{string(headOf(l.id, l.tag))}
	for _, line := range linesIn(t, l.path) {
		bare = append(bare, string(line))
	}
	// journal makes the checksums anew after a change: a forger would.
	journal := func(change func(l []string) []string) (text string) {
		for _, line := range change(slices.Clone(bare)) {
			text += lineInJournal(line)
		}
		return text
	}
	line := func(n int, old, new string) func(l []string) []string {
		return func(l []string) []string { l[n] = strings.Replace(l[n], old, new, 1); return l }
	}
	as := func(l []string) []string { return l }
	whole := journal(as)
	other := strings.Repeat("0", 32)
	for name, c := range map[string]struct {
		journal string
		keep    bool // the old file, its heads spoilt
		want    string
	}{
		"no JSON":          {journal(func(l []string) []string { l[4] = l[4][1:]; return l }), false, "line 5: it cannot be read"},
		"no text":          {journal(func(l []string) []string { l[4] += "\xff"; return l }), false, "line 5: it holds bytes that are no text"},
		"a line lost":      {journal(func(l []string) []string { return append(l[:3:3], l[4:]...) }), false, "line 4: it says that it is entry 4"},
		"no body":          {journal(func(l []string) []string { l[2] = `{"seq":2,"id":"x.0","kind":"note","v":1}`; return l }), false, "line 3: it lacks"},
		"not sealed":       {journal(line(1, "d meadow", "d meedow")), false, "does not hold"},
		"wrongly numbered": {journal(line(2, `"n":2`, `"n":3`)), false, "entry 2 says that it is entry 3 of its site"},
		"not the file":     {journal(line(1, "meadow", "meedow")), true, "line 2: it is not the entry that the old file holds"},
		"a wrong checksum": {strings.Replace(whole, "Ada", "Ida", 1), false, "line 2: it does not match its checksum"},
		"no checksums":     {strings.Join(bare, "\n") + "\n", false, "line 1: it does not match its checksum"},
		"without a line 1": {journal(func(l []string) []string { return l[1:] }), false, "line 1: it is not the line that a journal begins with"},
		"a newer journal":  {journal(line(0, `"journal":1`, `"journal":2`)), false, "line 1: the journal was written by a newer coolhold"},
		"no id in line 1":  {journal(line(0, l.id, "")), false, "another log than its first line"},
		"seals of another": {journal(line(0, l.id, other)), false, "its seals are of another log than its first line"},
		"a file of another": {journal(func(l []string) []string {
			return append([]string{strings.Replace(l[0], bare[0][20:52], other, 1)}, l[1:3]...)
		}), true, "it is the journal of another log than the file beside it"},
	} {
		t.Run(name, func(t *testing.T) {
			path := clone(t, l.path)
			rewrite(t, path+".journal", []byte(c.journal))
			if c.keep {
				rewrite(t, path, spoilBytes(spoil(t, path), 40, pageSize+40))
			} else {
				os.Remove(path)
			}
			_, err := Restore(bg, path, path+".restored", stamp(900))
			if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("got %v", err)
			}
			if left, _ := filepath.Glob(path + ".restored*"); len(left) > 0 {
				t.Errorf("left %v", left)
			}
		})
	}
}

func TestNothingToRestore(t *testing.T) {
	l := aSealedHour(t)
	path := clone(t, l.path)
	if _, err := Restore(bg, path, path+".restored", stamp(900)); !errors.Is(err, ErrSound) {
		t.Errorf("of a sound log: %v", err)
	}
	good := spoil(t, l.path+".journal")
	for want, bad := range map[string][]byte{
		"(line 1 is not the one that a journal of this log begins with)": spoilBytes(good, 20),
		"(line 2 is not entry 1)":         spoilBytes(good, len(headOf(l.id, l.tag))+40),
		"(the last line is not an entry)": append(bytes.Clone(good), '\n'),
		"(line 2 is not entry 1) ":        append(append(bytes.Clone(headLine(l)), "?\n"...), good[len(headLine(l)):]...),
	} {
		rewrite(t, path+".journal", bad)
		r, err := Restore(bg, path, path+".restored", stamp(900))
		if err != nil || !strings.Contains(r.Journal, strings.TrimSpace(want)) || r.Path != "" {
			t.Errorf("beside a damaged journal: %+v, %v, want %q", r, err, want)
		}
		inStep(t, path)
		if _, err := os.Stat(path + ".restored"); err == nil {
			t.Error("a log was written")
		}
	}
	lone := filepath.Join(t.TempDir(), "lone.log")
	if _, err := Restore(bg, lone, lone+".restored", stamp(900)); !errors.Is(err, ErrNoJournal) {
		t.Errorf("without a journal: %v", err)
	}
	if n, ok := JournalBeside(lone); ok || n != 0 {
		t.Errorf("a journal of %d entries stands beside nothing", n)
	}
}

func headLine(l *Log) []byte { return journalLine(headOf(l.id, l.tag)) }

// A journal with one entry is one, and that of an empty log is none.
func TestAJournalBesideALog(t *testing.T) {
	l := fresh(t)
	if _, ok := JournalBeside(l.path); ok {
		t.Error("the journal of an empty log counts")
	}
	add(t, l, draft("one", logbook.Note{}))
	if n, ok := JournalBeside(l.path); !ok || n != 1 {
		t.Errorf("%d entries, %v", n, ok)
	}
}

// A log is made anew a few lines at a time: what a line costs does not grow with those
// before it.
func TestManyLinesAreRestored(t *testing.T) {
	l := benchLog(t)
	lines := linesIn(t, l.path)
	part := filepath.Join(t.TempDir(), "part")
	n := newLog(part, steps)
	n.id, n.tag = l.id, l.tag
	if err := errors.Join(n.make(part), n.fill(part, logbook.FromJournal, lines, stamp(900))); err != nil {
		t.Fatal(err)
	}
	if len(lines) < 2*fillAtOnce || n.filled == 0 || n.filled > 1000 {
		t.Errorf("%d of %d lines were stored in one transaction", n.filled, len(lines))
	}
	if v := holds(t, part); v.Entries != int64(len(lines))+1 || !slices.EqualFunc(linesIn(t, part)[:len(lines)], lines, bytes.Equal) {
		t.Errorf("of %d lines %d entries were made", len(lines), v.Entries)
	}
}
