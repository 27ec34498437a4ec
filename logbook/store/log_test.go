package store

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
)

func TestAppendThenRead(t *testing.T) {
	l := fresh(t)
	first := add(t, l, draft("a", logbook.SiteOpened{Name: "Meadow <invented> & more"}), draft("a", logbook.Note{Text: "line one\nline two\x00\u2028"}))
	second := add(t, l, draft("b", logbook.Note{Text: "not UTF-8: \xff"}))
	all := append(first, second...)
	for i, id := range []string{"a.0", "a.1", "b.0"} {
		if e := all[i]; e.Seq != uint64(i+1) || e.N != e.Seq || e.ID != id {
			t.Errorf("entry %d is %d, %d of its site, %q", i+1, e.Seq, e.N, e.ID)
		}
	}
	snap := readAll(t, l.Path())
	if !reflect.DeepEqual(snap.Entries, all) {
		t.Errorf("read back as\n%+v\nappended\n%+v", snap.Entries, all)
	}
	if snap.ID != l.ID() || snap.Tag != "KM" || l.Tag() != "KM" || len(l.ID()) != 32 {
		t.Errorf("ids %q %q, tags %q %q", snap.ID, l.ID(), snap.Tag, l.Tag())
	}
	err := l.View(bg, func(r logbook.Reader) error {
		if s, ok := r.Site("meadow"); !ok || s.Name != "Meadow <invented> & more" {
			t.Errorf("site is %+v, %v", s, ok)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

func TestAppendAllOrNothing(t *testing.T) {
	l := fresh(t)
	add(t, l, draft("a", logbook.SiteOpened{Name: "Meadow"}))
	before, err := os.ReadFile(l.path)
	if err != nil {
		t.Fatal(err)
	}
	mine := errors.New("the joint is taken")
	nul, long := draft("x", logbook.Note{}), draft("x", logbook.Note{})
	nul.Site, long.Weld = "mea\x00dow", strings.Repeat("9", 256)
	for _, c := range []struct {
		name   string
		decide func(logbook.Reader) ([]logbook.Draft, error)
		want   error
	}{
		{"an error of the decision", func(logbook.Reader) ([]logbook.Draft, error) {
			return []logbook.Draft{draft("x", logbook.Note{})}, mine
		}, mine},
		{"no id", these(draft("ok", logbook.Note{}), draft("", logbook.Note{})), errDraft},
		{"no body", these(draft("x", nil)), errDraft},
		{"a body nobody knows", these(draft("x", logbook.Unknown{Of: "later"})), errDraft},
		{"a zero byte in a site", these(nul), errDraft},
		{"a weld number without end", these(long), errDraft},
		{"nothing to write", these(), nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			entries, err := l.Append(bg, c.decide)
			if !errors.Is(err, c.want) || entries != nil {
				t.Errorf("got %v, %v; want %v", entries, err, c.want)
			}
			if c.want == mine && err != mine {
				t.Errorf("the decision's error was changed: %v", err)
			}
			if after, err := os.ReadFile(l.path); err != nil || string(after) != string(before) {
				t.Errorf("the file was changed (%v)", err)
			}
		})
	}
}

func TestPanicOfTheCaller(t *testing.T) {
	dir, err := os.MkdirTemp("", "coolhold-panic-*")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) }) // the map stays, and Windows removes no file that is mapped
	l := freshIn(t, dir)
	for _, c := range []struct {
		name string
		call func(func()) error
	}{
		{"Append", func(f func()) error {
			_, err := l.Append(bg, func(logbook.Reader) ([]logbook.Draft, error) { f(); return nil, nil })
			return err
		}},
		{"View", func(f func()) error { return l.View(bg, func(r logbook.Reader) error { r.Sites(); f(); return nil }) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			func() {
				defer func() {
					if r := recover(); r != "a mistake of the caller" {
						t.Errorf("recovered %v", r)
					}
				}()
				err := c.call(func() { panic("a mistake of the caller") })
				t.Errorf("went on with %v", err)
			}()
			if _, err := l.Append(bg, saves("after "+c.name, 1)); err != nil {
				t.Errorf("the lock was not let go: %v", err)
			}
		})
	}
}

// A save of which nobody knows whether it happened is repeated by its id.
func TestRepeatedSave(t *testing.T) {
	l := fresh(t)
	first, err := l.Append(bg, saves("once", 3))
	if err != nil {
		t.Fatal(err)
	}
	add(t, l, draft("once more", logbook.Note{Text: `a note that quotes "once.0"`}))
	again := func(want []logbook.Entry) {
		t.Helper()
		got, err := l.Append(bg, saves("once", 3))
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("repeated: %+v, %v\nwant %+v", got, err, want)
		}
	}
	again(first)
	if _, err := l.Append(bg, saves("many", 252)); err != nil { // entries 5 to 256
		t.Fatal(err)
	}
	again(first)
	if n := len(readAll(t, l.path).Entries); n != 256 {
		t.Errorf("%d entries, want 256", n)
	}
	add(t, l, draft("last", logbook.Note{}))
	got, err := l.Append(bg, saves("once", 1)) // the first is 257 back and is forgotten
	if err != nil || got[0].Seq != 258 {
		t.Errorf("got %+v, %v; want a new entry 258", got, err)
	}
}

func TestLocked(t *testing.T) {
	l := fresh(t)
	seen := another(t, l)
	if _, err := seen.Book(bg, ""); err != nil {
		t.Fatal(err)
	}
	hold := func(t *testing.T, readOnly bool) {
		db, err := bolt.Open(l.path, 0, &bolt.Options{ReadOnly: readOnly, Timeout: time.Second})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { db.Close() })
	}
	calls := map[string]func(context.Context) error{
		"append": func(ctx context.Context) error { _, err := l.Append(ctx, saves("x", 1)); return err },
		"view":   func(ctx context.Context) error { return l.View(ctx, func(logbook.Reader) error { return nil }) },
		"again":  func(ctx context.Context) error { _, err := seen.Book(ctx, ""); return err }, // of what was read already
		"copy":   func(ctx context.Context) error { return l.Copy(ctx, l.path+".twin") },
		"read":   func(ctx context.Context) error { _, err := ReadAll(ctx, l.path); return err },
	}
	try := func(t *testing.T, name string, want error) {
		t.Helper()
		ctx, cancel := context.WithTimeout(bg, 30*time.Millisecond)
		defer cancel()
		began := time.Now()
		if err := calls[name](ctx); !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", name, err, want)
		}
		if took := time.Since(began); want == ErrLocked && took > 900*time.Millisecond {
			t.Errorf("%s waited for %v", name, took)
		}
	}
	t.Run("exclusive", func(t *testing.T) {
		hold(t, false)
		for name := range calls {
			try(t, name, ErrLocked)
		}
	})
	t.Run("shared", func(t *testing.T) {
		hold(t, true)
		try(t, "append", ErrLocked)
		try(t, "view", nil)
		try(t, "read", nil)
	})
	t.Run("by ourselves", func(t *testing.T) {
		err := l.View(bg, func(logbook.Reader) error { try(t, "append", ErrLocked); return nil })
		if err != nil {
			t.Error(err)
		}
	})
	t.Run("cancelled", func(t *testing.T) {
		ctx, cancel := context.WithCancel(bg)
		cancel()
		for _, held := range []bool{false, true} {
			for name, call := range calls {
				if err := call(ctx); !errors.Is(err, context.Canceled) || errors.Is(err, ErrLocked) {
					t.Errorf("%s, held %v: %v", name, held, err)
				}
			}
			if !held {
				hold(t, false)
			}
		}
	})
	t.Run("the deadline is over but nobody has it", func(t *testing.T) {
		ctx, cancel := context.WithTimeout(bg, 0)
		defer cancel()
		if err := calls["append"](ctx); err != nil {
			t.Error(err)
		}
	})
}

// The tree is computed here a second time, straight from RFC 6962.
func TestHashTree(t *testing.T) {
	var root func(lines []string) tlog.Hash
	root = func(lines []string) tlog.Hash {
		if len(lines) == 1 {
			return sha256.Sum256(append([]byte{0}, lines[0]...))
		}
		k := 1
		for k*2 < len(lines) {
			k *= 2
		}
		a, b := root(lines[:k]), root(lines[k:])
		return sha256.Sum256(append(append([]byte{1}, a[:]...), b[:]...))
	}
	l := fresh(t)
	for i := range 13 {
		add(t, l, draft(fmt.Sprint(i), logbook.Note{Text: "n"}))
		var lines []string
		for _, line := range storedLines(t, l.path) {
			lines = append(lines, string(line))
		}
		raw(t, l.path, func(b *bolt.Tx) error {
			s := &session{path: l.path}
			tx := newTx(s, b)
			tx.bind()
			if got, err := tlog.TreeHash(int64(len(lines)), tx); err != nil || got != root(lines) {
				t.Errorf("%d entries: %v, %v; want %v", len(lines), got, err, root(lines))
			}
			return nil
		})
	}
}

func TestWeldsInTheOrderOfTheirNumbers(t *testing.T) {
	l := fresh(t)
	want := []string{"KM-9998", "KM-9999", "KM-10000", "KM-10001"}
	add(t, l, draft("site", logbook.SiteOpened{Name: "Meadow"}))
	for _, i := range []int{2, 0, 3, 1} {
		d := draft(want[i], logbook.WeldBegun{})
		d.Weld = want[i]
		add(t, l, d)
	}
	err := l.View(bg, func(r logbook.Reader) error {
		for i, w := range r.Welds("meadow") {
			if w.ID != want[i] {
				t.Errorf("weld %d is %s, want %s", i, w.ID, want[i])
			}
		}
		if n := len(r.Welds("meadow")); n != 4 || r.NextWeld() != 10002 {
			t.Errorf("%d welds, next %d", n, r.NextWeld())
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

// calls are all that is done with a log that is open.
func calls(l *Log) map[string]func() error {
	return map[string]func() error{
		"append": func() error { _, err := l.Append(bg, saves("x", 1)); return err },
		"view":   func() error { return l.View(bg, func(logbook.Reader) error { return nil }) },
		"book":   func() error { _, err := l.Book(bg, "meadow"); return err },
	}
}

// refused makes sure that nothing is saved or read, and no file changes.
func refused(t *testing.T, l *Log, want string) {
	t.Helper()
	log, journal := spoil(t, l.path), spoil(t, l.path+".journal")
	for name, call := range calls(l) {
		if err := call(); !errors.Is(err, ErrNoLog) || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v, want %q", name, err, want)
		}
	}
	if string(spoil(t, l.path)) != string(log) || string(spoil(t, l.path+".journal")) != string(journal) {
		t.Error("something was changed")
	}
}

// A file that takes the place of the log that was opened stops it: another log,
// or an older copy, put back with its journal or without.
func TestAnotherFileInItsPlace(t *testing.T) {
	put := func(t *testing.T, l *Log, log, journal []byte) {
		for end, data := range map[string][]byte{"": log, ".journal": journal} {
			rewrite(t, l.path+end+".new", data)
			if err := os.Rename(l.path+end+".new", l.path+end); err != nil {
				t.Fatal(err)
			}
		}
	}
	t.Run("another log", func(t *testing.T) {
		l := fresh(t)
		other, err := Create(filepath.Join(t.TempDir(), "other.log"), NewLog{})
		if err != nil {
			t.Fatal(err)
		}
		put(t, l, spoil(t, other.path), nil)
		refused(t, l, "another log stands in its place")
		os.Remove(l.path + ".journal")
	})
	// older is an open log that knows 9 entries, of which its place holds 5.
	older := func(t *testing.T) *Log {
		l := fresh(t)
		add(t, l, draft("site", logbook.SiteOpened{Name: "Meadow"}))
		for i := range 4 {
			add(t, l, draft(fmt.Sprint(i), logbook.Note{Text: "n"}))
		}
		log, journal := spoil(t, l.path), spoil(t, l.path+".journal")
		if _, err := l.Append(bg, saves("lost", 4)); err != nil {
			t.Fatal(err)
		}
		if _, err := l.Book(bg, "meadow"); err != nil {
			t.Fatal(err)
		}
		put(t, l, log, journal)
		return l
	}
	t.Run("an older copy", func(t *testing.T) {
		refused(t, older(t), "an older copy stands in its place: it ends at entry 5, 9 were there")
	})
	t.Run("an older copy that went on", func(t *testing.T) {
		l := older(t)
		o, err := Open(l.path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := o.Append(bg, saves("other", 6)); err != nil {
			t.Fatal(err)
		}
		refused(t, l, "an older copy stands in its place")
	})
}
