package store

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coolhold/logbook"
)

// restored makes a log anew from a spoilt one and holds its lines against the
// journal; what stood there must stand there still.
func restored(t *testing.T, path string, o Options) Restored {
	t.Helper()
	before := map[string][]byte{}
	for _, name := range []string{path, path + ".journal"} {
		before[name], _ = os.ReadFile(name) // one may be missing
	}
	o.Rand = rand.NewChaCha8([32]byte{9})
	r, err := Restore(bg, path, path+".restored", o)
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range before {
		if now, _ := os.ReadFile(name); !bytes.Equal(now, data) {
			t.Errorf("%s was changed", name)
		}
	}
	v := holds(t, r.Path)
	if got := append(bytes.Join(v.Lines(), []byte("\n")), '\n'); !bytes.HasPrefix(before[path+".journal"], got) {
		t.Error("the lines are not those of the journal")
	}
	if v.ID != r.ID || v.Tag != r.Tag || v.Entries != r.Entries {
		t.Errorf("said %+v, verified %s %s, %d", r, v.ID, v.Tag, v.Entries)
	}
	return r
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
			r := restored(t, path, Options{})
			if r.ID != l.id || r.Tag != "KM" || !strings.HasPrefix(r.IDFrom, "the seal in entry") || r.Entries != want.Entries || len(r.OnlyInLog) > 0 {
				t.Errorf("got %+v", r)
			}
			if r.LogMissing != (name == "lost") {
				t.Errorf("missing: %v", r.LogMissing)
			}
			if got := holds(t, r.Path); got.Root != want.Root || len(got.Seals) != 2 {
				t.Errorf("root %s, %d seals", got.Root, len(got.Seals))
			}
			if _, err := Restore(bg, path, r.Path, Options{}); !errors.Is(err, ErrExists) {
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

// Without a seal the old file names id and tag, else the welds the tag.
func TestRestoreWithoutSeals(t *testing.T) {
	l := aDay(t)
	path := clone(t, l.path)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rewrite(t, path, spoilBytes(data, 40, pageSize+40))
	if r := restored(t, path, Options{}); r.ID != l.id || r.IDFrom != "the old file" || r.Tag != "KM" || r.TagFrom != "the old file" {
		t.Errorf("got %+v", r)
	}
	if _, err := Restore(bg, path, path+".2", Options{Tag: "ZZ"}); !errors.Is(err, ErrTag) {
		t.Errorf("another tag: %v", err)
	}
	path = clone(t, l.path)
	os.Remove(path)
	if r := restored(t, path, Options{}); r.ID == l.id || r.IDFrom != "" || r.Tag != "KM" || r.TagFrom != "weld KM-0001" {
		t.Errorf("got %+v", r)
	}
	path = filepath.Join(t.TempDir(), "notes.log")
	few := fresh(t)
	add(t, few, draft("n", logbook.Note{Text: "one"}))
	journal, _ := os.ReadFile(few.path + ".journal")
	rewrite(t, path+".journal", append(journal, `{"seq":2`...))
	if r := restored(t, path, Options{Tag: "QT"}); r.Tag != "QT" || r.TagFrom != "" || !r.Cut || r.Entries != 1 {
		t.Errorf("got %+v", r)
	}
}

// What the journal lacks and the old file still has is named, not guessed.
func TestRestoreNamesWhatTheJournalLacks(t *testing.T) {
	l := aSealedHour(t)
	path := clone(t, l.path)
	lines := holds(t, path).Lines()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rewrite(t, path, spoilBytes(data, 40, pageSize+40))
	rewrite(t, path+".journal", append(bytes.Join(lines[:len(lines)-2], []byte("\n")), '\n'))
	r := restored(t, path, Options{})
	if len(r.OnlyInLog) != 2 || r.OnlyInLog[0].Seq != uint64(len(lines)-1) || r.OnlyInLog[1].Kind != (logbook.Sealed{}).Kind() {
		t.Errorf("got %+v", r.OnlyInLog)
	}
}

// A journal that is not what was written stops it, with the line.
func TestRestoreStops(t *testing.T) {
	l := aSealedHour(t)
	lines := holds(t, l.path).Lines()
	journal := func(change func(lines []string) []string) []byte {
		var text []string
		for _, line := range lines {
			text = append(text, string(line))
		}
		return []byte(strings.Join(change(text), "\n") + "\n")
	}
	for name, c := range map[string]struct {
		journal []byte
		keep    bool // the old file, its heads spoilt
		want    string
	}{
		"no JSON":      {journal(func(l []string) []string { l[4] = l[4][1:]; return l }), false, "line 5: it cannot be read"},
		"no text":      {journal(func(l []string) []string { l[4] = strings.Replace(l[4], "Ada", "A\xffa", 1) + "\xff"; return l }), false, "line 5: it holds bytes that are no text"},
		"a line lost":  {journal(func(l []string) []string { return append(l[:2:2], l[3:]...) }), false, "line 3: it says that it is entry 4"},
		"no body":      {journal(func(l []string) []string { l[1] = `{"seq":2,"id":"x.0","kind":"note","v":1}`; return l }), false, "line 2: it lacks"},
		"not sealed":   {journal(func(l []string) []string { l[0] = strings.Replace(l[0], "meadow", "meedow", 1); return l }), false, "does not hold"},
		"not the file": {journal(func(l []string) []string { l[0] = strings.Replace(l[0], "meadow", "meedow", 1); return l }), true, "line 1: it is not the entry that the old file holds"},
	} {
		t.Run(name, func(t *testing.T) {
			path := clone(t, l.path)
			rewrite(t, path+".journal", c.journal)
			if c.keep {
				data, _ := os.ReadFile(path)
				rewrite(t, path, spoilBytes(data, 40, pageSize+40))
			} else {
				os.Remove(path)
			}
			_, err := Restore(bg, path, path+".restored", Options{})
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
	if _, err := Restore(bg, path, path+".restored", Options{}); !errors.Is(err, ErrSound) {
		t.Errorf("of a sound log: %v", err)
	}
	data, _ := os.ReadFile(path + ".journal")
	rewrite(t, path+".journal", bytes.Replace(data, []byte("meadow"), []byte("meedow"), 1))
	if _, err := Restore(bg, path, path+".restored", Options{}); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "line 1: it is not entry 1 of the log, which itself holds") {
		t.Errorf("beside a damaged journal: %v", err)
	}
	lone := filepath.Join(t.TempDir(), "lone.log")
	if _, err := Restore(bg, lone, lone+".restored", Options{}); !errors.Is(err, ErrNoJournal) {
		t.Errorf("without a journal: %v", err)
	}
	if n, ok := JournalBeside(lone); ok || n != 0 {
		t.Errorf("a journal of %d entries stands beside nothing", n)
	}
}
