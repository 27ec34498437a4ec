package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coolhold/logbook"
)

// journalled is a log of five entries with its journal, to be spoilt. Line 0
// names the log, line n is entry n.
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
	return path, journal, bytes.SplitAfter(journal, []byte("\n"))[:6]
}

func TestJournalBehind(t *testing.T) {
	path, journal, lines := journalled(t)
	cases := map[string][]byte{
		"missing":          nil,
		"empty":            {},
		"one entry behind": bytes.Join(lines[:5], nil),
		"of no entry":      lines[0],
		"only the first":   bytes.Join(lines[:2], nil),
		"torn at once":     journal[:1],
		"one byte torn":    journal[:len(journal)-1],
		"torn in the sum":  journal[:len(journal)-5],
		"torn in the last": journal[:len(journal)-5000],
		"torn in between":  journal[:len(lines[0])+len(lines[1])+7],
		"torn in line 1":   lines[0][:len(lines[0])-1],
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
		check(t, bytes.Join(lines[:2], nil), func() error { _, err := l.Append(bg, saves("more", 2)); return err })
		if n := len(readAll(t, path).Entries); n != 7 {
			t.Errorf("%d entries", n)
		}
	})
	t.Run("found by a repeated save", func(t *testing.T) {
		check(t, bytes.Join(lines[:2], nil), func() error { _, err := l.Append(bg, saves("more", 2)); return err })
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
	other := []byte(lineInJournal(strings.Replace(string(lines[5][:len(lines[5])-10]), "Ada", "Ida", 1)))
	seven := lineInJournal(`{"seq":7}`)
	stranger := lineInJournal(`{"journal":1,"log":"00000000000000000000000000000000","tag":"KM"}`)
	for _, c := range []struct {
		name    string
		journal []byte
		want    error
		text    string
	}{
		{"one more", six, ErrJournalAhead, "entry 6; nothing was changed"},
		{"two more", append(bytes.Clone(six), seven...), ErrJournalAhead, "entries 6 to 7; nothing was changed"},
		{"two more and a torn one", append(bytes.Clone(six), seven+`{"s`...), ErrJournalAhead, "entries 6 to 7"},
		{"another last entry", append(bytes.Join(lines[:5], nil), other...), ErrJournalAhead, "its entry 5 is another than the log's"},
		{"no checksum", append(bytes.Clone(journal), `{"seq":6}`+"\n"...), ErrJournalAhead, "entry 6; nothing was changed"},
		{"a wrong checksum", spoilBytes(six, len(six)-2), ErrJournalAhead, "entry 6; nothing was changed"},
		{"one more, then an empty line", append(bytes.Clone(six), '\n'), ErrJournalAhead, "entry 6; nothing was changed"},
		{"another entry, then an empty line", append(append(bytes.Join(lines[:5], nil), other...), '\n'), ErrJournalAhead, "its entry 5 is another than the log's"},
		{"of another log", []byte(stranger), ErrDamaged, "its first line is not that of this log; move it away"},
		{"of another log, with entries", append([]byte(stranger), bytes.Join(lines[1:5], nil)...), ErrDamaged, "its first line is not that of this log; move it away"},
		{"of a newer coolhold", []byte(lineInJournal(fmt.Sprintf(`{"journal":2,"log":"%s","tag":"KM"}`, l.id))), ErrDamaged, "its first line is not that of this log; move it away"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rewrite(t, path+".journal", c.journal)
			_, opened := Open(path)
			_, appended := l.at(path).Append(bg, saves("x", 1))
			for _, err := range []error{opened, appended} {
				if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.text) {
					t.Errorf("got %v", err)
				}
			}
			if _, err := ReadAll(bg, path); c.text[:3] == "ent" && !errors.Is(err, c.want) {
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

// A journal that is damaged beside a log that holds shuts nobody out: it is kept
// under another name and made anew, and that is said.
func TestBadJournal(t *testing.T) {
	path, journal, lines := journalled(t)
	stranger := lineInJournal(`{"journal":1,"log":"00000000000000000000000000000000","tag":"KM"}`)
	join := func(parts ...[]byte) []byte { return bytes.Join(parts, nil) }
	for name, bad := range map[string][]byte{
		"an empty line":           join(journal, []byte("\n")),
		"empty lines":             []byte("\n\n\n"),
		"a line by an editor":     join(journal, []byte("what?\n")),
		"no entry":                join(journal, []byte(lineInJournal("what?"))),
		"zeros, and a line feed":  join(journal[:len(journal)-300], make([]byte, 300), []byte("\n")),
		"a wrong checksum":        spoilBytes(journal, len(journal)-2),
		"a first line at the end": join(journal, lines[0]),
		"without its first line":  bytes.Join(lines[1:5], nil),
		"of another log, torn":    []byte(stranger)[:len(stranger)-1],
		"garbage":                 bytes.Repeat([]byte{0xa5, 0, '\n', 7}, 3000),
	} {
		t.Run(name, func(t *testing.T) {
			for _, act := range []func() (*Log, error){
				func() (*Log, error) { return Open(path) },
				func() (*Log, error) { // a save finds it
					rewrite(t, path+".journal", journal)
					l, err := Open(path)
					if err != nil {
						return nil, err
					}
					rewrite(t, path+".journal", bad)
					_, err = l.Append(bg, these())
					return l, err
				},
			} {
				rewrite(t, path+".journal", bad)
				if _, err := ReadAll(bg, path); err != nil {
					t.Errorf("read: %v", err)
				}
				before, _ := filepath.Glob(path + ".journal.bad-*")
				l, err := act()
				if err != nil {
					t.Fatal(err)
				}
				inStep(t, path)
				kept := fmt.Sprintf("%s.journal.bad-%d", path, len(before)+1)
				if now, err := os.ReadFile(kept); err != nil || !bytes.Equal(now, bad) {
					t.Errorf("not kept (%v)", err)
				}
				var said []string
				l.Tell(func(line string) { said = append(said, line) })
				if len(said) != 1 || !strings.HasPrefix(said[0], path+": its journal was damaged (") || !strings.Contains(said[0], kept) || strings.Contains(said[0], "\n") {
					t.Errorf("said %q", said)
				}
			}
		})
	}
}

// A damaged journal is not made anew from a log that cannot be read: what the log
// lost may be in it.
func TestBadJournalOfABadLog(t *testing.T) {
	path, journal, lines := journalled(t)
	data := spoil(t, path)
	rewrite(t, path, spoilBytes(data, occurrences(data, []byte(`{"seq":2,`), 20)...))
	bad := append(bytes.Join(lines[:2], nil), '\n')
	rewrite(t, path+".journal", bad)
	if _, err := Open(path); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "entry 2 does not match its checksum") {
		t.Errorf("opened: %v", err)
	}
	if now, _ := os.ReadFile(path + ".journal"); !bytes.Equal(now, bad) || len(journal) == 0 {
		t.Error("the journal was changed")
	}
}

// A wrong line in the middle is not looked for at each opening, which reads the
// end only; the check of the whole names it, and a restore stops there.
func TestJournalWrongInTheMiddle(t *testing.T) {
	path, journal, lines := journalled(t)
	bad := spoilBytes(journal, len(lines[0])+len(lines[1])+len(lines[2])-2)
	rewrite(t, path+".journal", bad)
	l, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	add(t, l, draft("six", logbook.Note{}))
	r, err := Verify(bg, path, false)
	if err != nil || len(r.Faults) != 1 || r.Faults[0].What != "line 3 of the journal is not entry 2" {
		t.Errorf("%v, %v", r.Faults, err)
	}
	os.Remove(path)
	if _, err := Restore(bg, path, path+".restored", stamp(0)); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "line 3: it does not match its checksum") {
		t.Errorf("restored: %v", err)
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
		err = s.transact(false, func(tx *tx) error {
			tx.bind()
			return j.bringUp(tx, 0, 0, 1)
		})
		if err == nil || !strings.Contains(err.Error(), "the journal is not in step with the log") {
			t.Errorf("a journal that cannot be cut: %v", err)
		}
		return j.append([][]byte{[]byte("line")})
	})
	if err == nil || !strings.Contains(err.Error(), "the line could not be written") {
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
