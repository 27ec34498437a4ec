package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	bolt "go.etcd.io/bbolt"

	"coolhold/logbook"
)

// journalled is a log of five entries with its journal, to be spoilt.
func journalled(t *testing.T) (path string, journal []byte, lines [][]byte) {
	t.Helper()
	l := fresh(t)
	for i := range 5 {
		add(t, l, draft(fmt.Sprint(i), logbook.Note{Text: strings.Repeat("n", 3000*i)})) // also lines longer than one read
	}
	path = clone(t, l.path)
	journal, err := os.ReadFile(path + ".journal")
	if err != nil {
		t.Fatal(err)
	}
	return path, journal, bytes.SplitAfter(journal, []byte("\n"))[:5]
}

func TestJournalBehind(t *testing.T) {
	path, journal, lines := journalled(t)
	cases := map[string][]byte{
		"missing":          nil,
		"empty":            {},
		"one entry behind": bytes.Join(lines[:4], nil),
		"only the first":   lines[0],
		"torn at once":     journal[:1],
		"one byte torn":    journal[:len(journal)-1],
		"torn in the last": journal[:len(journal)-5000],
		"torn in between":  journal[:len(lines[0])+len(lines[1])+7],
		"torn garbage":     append(bytes.Clone(journal), 0, 0, 0, 0),
		"torn next entry":  append(bytes.Clone(journal), `{"seq":6,"id":"x`...),
	}
	check := func(t *testing.T, content []byte, act func() error) {
		os.Remove(path + ".journal")
		if content != nil {
			rewrite(t, path+".journal", content)
		}
		if err := act(); err != nil {
			t.Fatal(err)
		}
		inStep(t, path)
	}
	for name, content := range cases {
		t.Run(name, func(t *testing.T) {
			check(t, content, func() error { _, err := Open(path); return err })
		})
	}
	l, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Run("found by a save", func(t *testing.T) {
		check(t, lines[0], func() error { _, err := l.Append(bg, saves("more", 2)); return err })
		if n := len(readAll(t, path).Entries); n != 7 {
			t.Errorf("%d entries", n)
		}
	})
	t.Run("found by a repeated save", func(t *testing.T) {
		check(t, lines[0], func() error { _, err := l.Append(bg, saves("more", 2)); return err })
		if n := len(readAll(t, path).Entries); n != 7 {
			t.Errorf("%d entries", n)
		}
	})
}

func TestJournalAhead(t *testing.T) {
	path, journal, lines := journalled(t)
	old, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	l, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	add(t, l, draft("lost", logbook.Note{}))
	rewrite(t, path, old) // the log loses entry 6
	six, _ := os.ReadFile(path + ".journal")
	other := bytes.Replace(lines[4], []byte("Ada"), []byte("Ida"), 1)
	for _, c := range []struct {
		name    string
		journal []byte
		want    error
		text    string
	}{
		{"one more", six, ErrJournalAhead, "entry 6; nothing was changed"},
		{"two more", append(bytes.Clone(six), `{"seq":7}`+"\n"...), ErrJournalAhead, "entries 6 to 7; nothing was changed"},
		{"two more and a torn one", append(bytes.Clone(six), `{"seq":7}`+"\n"+`{"s`...), ErrJournalAhead, "entries 6 to 7"},
		{"another last entry", append(bytes.Join(lines[:4], nil), other...), ErrJournalAhead, "its entry 5 is another than the log's"},
		{"no entry", append(bytes.Clone(journal), "what?\n"...), ErrDamaged, "the last line is not an entry; move it away"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rewrite(t, path+".journal", c.journal)
			_, opened := Open(path)
			_, appended := l.Append(bg, saves("x", 1))
			for _, err := range []error{opened, appended} {
				if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.text) {
					t.Errorf("got %v", err)
				}
			}
			if _, err := ReadAll(bg, path); c.name != "another last entry" && !errors.Is(err, c.want) {
				t.Errorf("read: %v", err)
			}
			log, _ := os.ReadFile(path)
			now, _ := os.ReadFile(path + ".journal")
			if !bytes.Equal(log, old) || !bytes.Equal(now, c.journal) {
				t.Error("something was changed")
			}
		})
	}
}

// A newest head that is gone silently takes the last save with it.
func TestLostHead(t *testing.T) {
	path, _, _ := journalled(t)
	data := spoil(t, path)
	at := 0
	if a, b := readHead(bytes.NewReader(data), 0), readHead(bytes.NewReader(data), 1); b.txid > a.txid {
		at = pageSize
	}
	rewrite(t, path, append(append(bytes.Clone(data[:at]), make([]byte, pageSize)...), data[at+pageSize:]...))
	for what, err := range tryAll(path) {
		if !errors.Is(err, ErrJournalAhead) || !strings.Contains(err.Error(), "entry 5;") {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// Where the journal cannot be written the save is not acknowledged, and trying
// it once more neither loses nor doubles it.
func TestJournalNotWritten(t *testing.T) {
	l := fresh(t)
	add(t, l, draft("a", logbook.Note{}))
	s := &session{file: l.path, path: l.path}
	err := s.with(bg, true, func() error {
		j, err := l.journal(s)
		if err != nil {
			return err
		}
		j.close()
		return j.append([]byte("line\n"))
	})
	if err == nil || !strings.Contains(err.Error(), "in the log but not in its journal") {
		t.Errorf("got %v", err)
	}
	if err := os.Remove(l.path + ".journal"); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(l.path+".journal", 0o777); err != nil {
		t.Fatal(err)
	}
	if _, err := l.Append(bg, saves("b", 1)); err == nil {
		t.Error("acknowledged without a journal")
	}
	if err := os.Remove(l.path + ".journal"); err != nil {
		t.Fatal(err)
	}
	got, err := l.Append(bg, saves("b", 1))
	if err != nil || got[0].Seq != 2 {
		t.Errorf("got %+v, %v", got, err)
	}
}

func TestRecordsMadeAnew(t *testing.T) {
	l := aDay(t)
	want := dumpLog(t, l)
	spoilt := map[string]func(b bucket){
		"an older version": func(bucket) {},
		"no next number":   func(b bucket) { b.delete([]byte("next")) },
	}
	for name, spoil := range spoilt {
		t.Run(name, func(t *testing.T) {
			raw(t, l.path, func(b *bolt.Tx) error {
				for _, name := range projected {
					if err := b.DeleteBucket([]byte(name)); err != nil {
						return err
					}
				}
				meta := newTx(&session{path: l.path}, b).meta
				meta.putNumber("projections", projections+1)
				spoil(meta)
				return nil
			})
			if _, err := Open(l.path); err != nil {
				t.Fatal(err)
			}
			if got := dumpLog(t, l); got != want {
				t.Errorf("made anew as\n%s\nwant\n%s", got, want)
			}
		})
	}
}
