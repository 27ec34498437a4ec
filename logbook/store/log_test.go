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
	boltErrors "go.etcd.io/bbolt/errors"
	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
)

func TestAppendThenRead(t *testing.T) {
	l := fresh(t)
	first := add(t, l, draft("a", logbook.SiteOpened{Name: "Meadow <invented> & more"}), draft("a", logbook.Note{Text: "line one\nline two\x00\u2028"}))
	second := add(t, l, draft("b", logbook.Note{Text: "not UTF-8: \xff"}))
	all := append(first, second...)
	for i, id := range []string{"a.0", "a.1", "b.0"} {
		if e := all[i]; e.Seq != uint64(i+1) || e.ID != id {
			t.Errorf("entry %d is %d %q", i+1, e.Seq, e.ID)
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
		if e, ok := r.Entry(2); !ok || !reflect.DeepEqual(e, all[1]) {
			t.Errorf("entry 2 is %+v, %v", e, ok)
		}
		if e, ok := r.Entry(4); ok {
			t.Errorf("entry 4 is %+v", e)
		}
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
		{"a key that is too long", these(draft("ok", logbook.Note{}), logbook.Draft{
			ID: "x", Site: strings.Repeat("s", 40000), Body: logbook.SiteOpened{Name: "?"}}), boltErrors.ErrKeyTooLarge},
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
	l := fresh(t)
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
		lines := strings.Split(strings.TrimSuffix(string(storedLines(t, l.path)), "\n"), "\n")
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

func TestIndexes(t *testing.T) {
	l := aDay(t)
	late := draft("later", logbook.FusionStarted{}) // says that it began on another day
	late.Joint, late.Weld, late.At = "C4A", "KM-0003", stamp(24*60*60)
	add(t, l, late)
	keys := func(name string) (out []string) {
		raw(t, l.path, func(b *bolt.Tx) error {
			return b.Bucket([]byte(name)).ForEach(func(k, v []byte) error {
				payload, ok := unsum(k, v)
				if !ok {
					t.Errorf("%s %q has a wrong checksum", name, k)
				}
				out = append(out, fmt.Sprintf("%s=%s", k, payload))
				return nil
			})
		})
		return out
	}
	for name, want := range map[string][]string{
		"open": {"meadow\x00\x07KM-0001=walking", "meadow\x00\x07KM-0002=fusing", "meadow\x00\x07KM-0003=holding"},
		"day": {"meadow\x002026-03-09\x00KM-0002=", "meadow\x002026-03-09\x00KM-0004=",
			"meadow\x002026-03-09\x00KM-0005=", "meadow\x002026-03-10\x00KM-0003="},
		"meta": {"format=1", "id=" + l.id, "next=6", fmt.Sprint("projections=", projections), "tag=KM"},
	} {
		if got := keys(name); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %q\nwant %q", name, got, want)
		}
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
		if n := len(r.Welds("meadow")); n != 4 || r.NextWeld() != 5 {
			t.Errorf("%d welds, next %d", n, r.NextWeld())
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

// Files of another log that take the log's place are noticed.
func TestAnotherLogInItsPlace(t *testing.T) {
	l := fresh(t)
	other, err := Create(filepath.Join(t.TempDir(), "other.log"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(other.path, l.path); err != nil {
		t.Fatal(err)
	}
	if _, err := l.Append(bg, saves("x", 1)); !errors.Is(err, ErrNoLog) {
		t.Errorf("append: %v", err)
	}
	if err := l.View(bg, func(logbook.Reader) error { return nil }); !errors.Is(err, ErrNoLog) {
		t.Errorf("view: %v", err)
	}
}
