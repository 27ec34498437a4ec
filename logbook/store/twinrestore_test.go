package store

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coolhold/logbook"
)

// A ruin is a log, its journal and its twin, of which each can be made what it might
// be after an accident.
type ruin struct {
	t     *testing.T
	path  string
	twin  string
	lines [][]byte // of the journal; line 0 names the log
}

// ruined is a sealed log with a twin, nothing wrong yet.
func ruined(t *testing.T) *ruin {
	l := aSealedHour(t)
	path := clone(t, l.path)
	lines := bytes.SplitAfter(journalText(t, path), []byte("\n"))
	r := &ruin{t, path, filepath.Join(t.TempDir(), "KM-00000000.twin"), lines[:len(lines)-1]}
	rewrite(t, r.twin, bytes.Join(r.lines, nil))
	return r
}

// has gives a file so many entries.
func (r *ruin) has(name string, entries int) {
	r.t.Helper()
	rewrite(r.t, name, bytes.Join(r.lines[:entries+1], nil))
}

// bad spoils a line of a file.
func (r *ruin) bad(name string, line int) {
	r.t.Helper()
	lines := bytes.SplitAfter(spoil(r.t, name), []byte("\n"))
	lines[line] = spoilBytes(lines[line], 9)
	rewrite(r.t, name, bytes.Join(lines, nil))
}

// other makes a line of a file another, with a checksum that is right.
func (r *ruin) other(name string, line int) {
	r.t.Helper()
	lines := bytes.SplitAfter(spoil(r.t, name), []byte("\n"))
	lines[line] = []byte(lineInJournal(strings.Replace(string(lines[line][:len(lines[line])-10]), "Ada", "Ida", 1)))
	rewrite(r.t, name, bytes.Join(lines, nil))
}

// heads makes the log a file that cannot be read through.
func (r *ruin) heads() {
	r.t.Helper()
	rewrite(r.t, r.path, spoilBytes(spoil(r.t, r.path), 40, pageSize+40))
}

// The longest of file, journal and twin is taken where they agree, and said; where they
// do not nothing is written.
func TestRestoreTakesTheLongest(t *testing.T) {
	n := len(ruined(t).lines) - 1
	for _, c := range []struct {
		name string
		ruin func(r *ruin)
		from string // "": refused
		want string // of the error
		has  int
	}{
		{"the twin is longer", func(r *ruin) { r.heads(); r.has(r.path+".journal", n-3) }, "twin", "", n},
		{"the twin alone", func(r *ruin) { os.Remove(r.path); os.Remove(r.path + ".journal") }, "twin", "", n},
		{"the twin and the file", func(r *ruin) { r.heads(); os.Remove(r.path + ".journal") }, "twin", "", n},
		{"the journal is longer", func(r *ruin) { os.Remove(r.path); r.has(r.twin, 2) }, "journal", "", n},
		{"as long as each other", func(r *ruin) { os.Remove(r.path) }, "journal", "", n},
		{"no twin after all", func(r *ruin) { os.Remove(r.path); os.Remove(r.twin) }, "journal", "", n},
		{"the journal has a bad line", func(r *ruin) { r.heads(); r.bad(r.path+".journal", 3) }, "twin", "", n},
		{"a bad line that a short twin has", func(r *ruin) { os.Remove(r.path); r.bad(r.path+".journal", 3); r.has(r.twin, 4) }, "twin", "", n},
		{"its last line bad, the twin as long without", func(r *ruin) { os.Remove(r.path); r.bad(r.path+".journal", n); r.has(r.twin, n-1) }, "twin", "", n - 1},
		{"the journal does not name its log", func(r *ruin) { r.heads(); r.bad(r.path+".journal", 0) }, "twin", "", n},
		{"the twin has a bad line", func(r *ruin) { r.heads(); r.bad(r.twin, 4) }, "journal", "", n},
		{"a bad line that nobody has", func(r *ruin) { os.Remove(r.path); r.bad(r.path+".journal", 5); r.has(r.twin, 2) }, "", "line 6: it does not match its checksum", 0},
		{"both bad", func(r *ruin) { os.Remove(r.path); r.bad(r.path+".journal", 5); r.bad(r.twin, 3) }, "", "line 6: it does not match its checksum", 0},
		{"unlike each other", func(r *ruin) { os.Remove(r.path); r.other(r.twin, 2) }, "", "entry 2 is another than in", 0},
		{"unlike behind a bad line", func(r *ruin) { os.Remove(r.path); r.bad(r.path+".journal", 3); r.other(r.path+".journal", 5) }, "", "entry 5 is another than in", 0},
		{"the twin unlike the file", func(r *ruin) { r.heads(); os.Remove(r.path + ".journal"); r.other(r.twin, 2) }, "", "line 3: it is not the entry that the old file holds", 0},
		{"of another log", func(r *ruin) {
			r.heads()
			rewrite(r.t, r.twin, []byte(lineInJournal(`{"journal":1,"log":"00000000000000000000000000000000","tag":"KM"}`)+string(r.lines[1])))
		}, "", "it is of another log than", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := ruined(t)
			c.ruin(r)
			got, err := RestoreWith(bg, r.path, r.twin, r.path+".restored", stamp(900))
			if c.from == "" {
				if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
					t.Errorf("got %v", err)
				}
				if left, _ := filepath.Glob(r.path + ".restored*"); len(left) > 0 {
					t.Errorf("left %v", left)
				}
				return
			}
			if err != nil || got.From != c.from || got.Entries != int64(c.has) {
				t.Fatalf("%+v, %v", got, err)
			}
			for i, line := range linesIn(t, got.Path)[:c.has] {
				if lineInJournal(string(line)) != string(r.lines[i+1]) {
					t.Fatalf("entry %d is another", i+1)
				}
			}
			entries := readAll(t, got.Path).Entries
			if b, ok := entries[c.has].Open().(logbook.LogRestored); !ok || len(entries) != c.has+1 || b.From != c.from || b.Last != uint64(c.has) {
				t.Errorf("the last entry is %+v", entries[len(entries)-1])
			}
		})
	}
}

// A log that holds, with a journal that does, has something to restore where its twin
// holds more: it was put back.
func TestRestoreOfALogThatWasPutBack(t *testing.T) {
	l, twin := rolledBack(t)
	out := l.path + ".restored"
	if _, err := Restore(bg, l.path, out, stamp(900)); !errors.Is(err, ErrSound) {
		t.Errorf("without the twin: %v", err)
	}
	r, err := RestoreWith(bg, l.path, twin.path, out, stamp(900))
	if err != nil || r.From != logbook.FromTwin || r.Source != twin.path || r.Entries != 7 || r.ID != l.id {
		t.Fatalf("%+v, %v", r, err)
	}
	// It takes the place of the log, and the twin goes on with it.
	for _, end := range []string{"", ".journal"} {
		if err := os.Rename(l.path+end, l.path+".old"+end); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Rename(out, l.path); err != nil {
		t.Fatal(err)
	}
	os.Remove(out + ".journal")
	follows(t, again(t, twin), 1)
	note(t, again(t, twin).log, "on it goes")
	if _, err := RestoreWith(bg, l.path, twin.path, out, stamp(900)); !errors.Is(err, ErrSound) {
		t.Errorf("a twin that is behind: %v", err)
	}
	l, twin = rolledBack(t)
	note(t, l, "another")
	if _, err := RestoreWith(bg, l.path, twin.path, l.path+".restored", stamp(900)); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "entry 6 is another than in") {
		t.Errorf("unlike: %v", err)
	}
}

// What is committed in a file that is damaged elsewhere goes on behind the journal;
// what no head of it leads to is only named (TestRestoreNamesWhatTheJournalLacks).
func TestRestoreGoesOnWithTheFile(t *testing.T) {
	r := ruined(t)
	n := len(r.lines) - 1
	data := spoil(t, r.path)
	at := bytes.LastIndex(data, []byte(`"uid":"`)) // a row of the index
	rewrite(t, r.path, spoilBytes(data, at+8))
	r.has(r.path+".journal", n-2)
	r.has(r.twin, n-4)
	got, err := RestoreWith(bg, r.path, r.twin, r.path+".restored", stamp(900))
	if err != nil || got.From != logbook.FromFile || got.Source != r.path || got.Entries != int64(n) || len(got.OnlyInLog) > 0 {
		t.Fatalf("%+v, %v", got, err)
	}
	if all := linesIn(t, got.Path); lineInJournal(string(all[n-1])) != string(r.lines[n]) {
		t.Error("the last entry is another")
	}
}

func TestFindTwin(t *testing.T) {
	l, twin := twinned(t)
	dir := filepath.Dir(twin.path)
	wants := func(where, name string, gone bool, text string) {
		t.Helper()
		got, away, err := FindTwin(l.path, where)
		if err == nil && (got != name || away != gone || text != "") || err != nil && (text == "" || !strings.Contains(err.Error(), text)) {
			t.Errorf("%s: %q, %v, %v", where, got, away, err)
		}
	}
	rewrite(t, filepath.Join(dir, "QT-12345678.twin"), nil)
	wants(dir, twin.path, false, "")
	wants(twin.path, twin.path, false, "")
	wants(filepath.Join(dir, "none"), "", true, "")
	os.Remove(l.path + ".journal") // what is left of the file names it
	wants(dir, twin.path, false, "")
	rewrite(t, l.path, spoilBytes(spoil(t, l.path), 40, pageSize+40))
	wants(dir, twin.path, false, "")
	os.Remove(l.path)
	wants(dir, "", false, "the twins of several logs are there (KM-")
	os.Remove(filepath.Join(dir, "QT-12345678.twin"))
	wants(dir, twin.path, false, "")
	os.Remove(twin.path)
	wants(dir, "", true, "")
}
