package store

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"hash/crc32"
	"hash/fnv"
	"os"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// seedLog is a small log and its journal as bytes, with what it holds.
func seedLog(f *testing.F) (file, journal []byte, entries []logbook.Entry) {
	f.Helper()
	l := fresh(f)
	add(f, l, draft("open", logbook.SiteOpened{Name: "meadow", UID: "00112233445566aa"}))
	for _, id := range []string{"a", "b", "c"} {
		add(f, l, draft(id, logbook.Note{Text: "note " + id}))
	}
	snap, err := ReadAll(bg, l.path)
	if err != nil {
		f.Fatal(err)
	}
	if file, err = os.ReadFile(l.path); err != nil {
		f.Fatal(err)
	}
	if journal, err = os.ReadFile(journalOf(l.path)); err != nil {
		f.Fatal(err)
	}
	return file, journal, snap.Entries
}

// changed is a file with bytes in other places: two for the page, two for the place in
// it, one for the byte. With heads both heads get a sum that is right again.
func changed(file, changes []byte, heads bool) []byte {
	file = bytes.Clone(file)
	for ; len(changes) >= 4; changes = changes[4:] {
		page := int(changes[0]) % (len(file) / pageSize)
		at := page*pageSize + int(binary.BigEndian.Uint16(changes[1:]))%pageSize
		file[at] = changes[3]
	}
	for page := 0; heads && page < 2; page++ {
		b := file[page*pageSize+pageHeader:]
		sum := fnv.New64a()
		sum.Write(b[:56])
		binary.NativeEndian.PutUint64(b[56:], sum.Sum64())
	}
	return file
}

// A file of whatever bytes is read as what was written, or refused; it is never shown
// otherwise, and nothing hangs. Opening it to write changes no entry.
func FuzzOpenLog(f *testing.F) {
	file, journal, entries := seedLog(f)
	dir := f.TempDir()
	f.Add([]byte(nil), false)
	f.Add([]byte{0, 0, 16, 0}, false)
	f.Add([]byte{0, 0, 32, 3, 1, 0, 32, 3}, true)
	f.Add([]byte{2, 0, 8, 1, 3, 0, 10, 9, 4, 0, 20, 0xff}, true)
	f.Fuzz(func(t *testing.T, changes []byte, heads bool) {
		path := filepath.Join(dir, "log")
		for name, data := range map[string][]byte{path: changed(file, changes, heads), journalOf(path): journal} {
			if err := os.WriteFile(name, data, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		same := func(step string, snap Snapshot, err error) {
			if err == nil && !reflect.DeepEqual(snap.Entries, entries) {
				t.Errorf("%s: other entries: %+v", step, snap.Entries)
			}
		}
		snap, err := ReadAll(bg, path)
		same("reading", snap, err)
		if _, err := ReadSite(bg, path, "meadow", time.Time{}); err != nil && !known4(err) {
			t.Errorf("%v", err)
		}
		_, _ = Verify(bg, path, true)
		l, err := Open(path)
		if err != nil {
			return
		}
		snap, err = ReadAll(bg, path)
		same("after the opening", snap, err)
		_, stored := l.Append(bg, saves("more", 1))
		snap, err = ReadAll(bg, path)
		if n := len(entries); stored == nil && err == nil && len(snap.Entries) == n+1 {
			snap.Entries = snap.Entries[:n]
		} else if stored == nil && err == nil {
			t.Errorf("one was stored: %d entries, there were %d", len(snap.Entries), n)
		}
		same("after a save", snap, err)
	})
}

// known4 tells whether an error is one of those that a person is told.
func known4(err error) bool {
	for _, e := range []error{ErrDamaged, ErrNewer, ErrOld, ErrNoLog, ErrJournalAhead} {
		if errors.Is(err, e) {
			return true
		}
	}
	return false
}

// A journal of whatever lines, their checksums right or not, is read as just these lines
// or refused. A log that is made of it holds just them, and in itself.
func FuzzJournal(f *testing.F) {
	_, journal, _ := seedLog(f)
	dir := f.TempDir()
	var bare []byte
	for line := range bytes.Lines(journal) {
		text, _ := unjournal(line[:len(line)-1])
		bare = append(append(bare, text...), '\n')
	}
	f.Add(bare, true)
	f.Add(journal, false)
	f.Add(bytes.Replace(bare, []byte(`"seq":2`), []byte(`"seq":1e0`), 1), true)
	f.Add(bytes.Replace(bare, []byte("meadow"), []byte(`\u0000\ud800`), 1), true)
	f.Add(journal[:len(journal)-20], false)
	f.Fuzz(func(t *testing.T, data []byte, sum bool) {
		if sum {
			var with []byte
			for line := range bytes.Lines(data) {
				with = append(with, journalLine(bytes.TrimSuffix(line, []byte("\n")))...)
			}
			data = with
		}
		_, _, _, _ = lastEntry(bytes.NewReader(data), int64(len(data)), "j")
		begins, lines, cut, err := journalLines("j", data)
		if err != nil {
			return
		}
		whole := bytes.LastIndexByte(data, '\n') + 1
		if cut != (whole < len(data)) || bytes.Count(data[:whole], []byte("\n")) != len(lines)+min(1, whole) {
			t.Errorf("%d lines of %q, cut %t, %+v", len(lines), data, cut, begins)
		}
		path := filepath.Join(dir, "lost")
		out := path + ".restored"
		_, _ = os.Remove(out), os.Remove(journalOf(out))
		if err := os.WriteFile(journalOf(path), data, 0o600); err != nil {
			t.Fatal(err)
		}
		if r, err := Restore(bg, path, out, stamp(0)); err == nil {
			wantRestored(t, r, lines)
		}
	})
}

func wantRestored(t *testing.T, r Restored, lines [][]byte) {
	t.Helper()
	n := 0
	err := ReadLines(bg, r.Path, func(has Lines) error {
		return has.Each(func(line []byte) {
			if n < len(lines) && !bytes.Equal(line, lines[n]) {
				t.Errorf("line %d is %q, was %q", n, line, lines[n])
			}
			n++
		})
	})
	if err != nil || n != len(lines)+1 {
		t.Errorf("%d lines of %d, %v", n, len(lines), err)
	}
	if v, err := Verify(bg, r.Path, false); err != nil || len(v.Faults) > 0 {
		t.Errorf("%+v, %v", v.Faults, err)
	}
}

// A heartbeat that is taken is the one that was written.
func FuzzBeat(f *testing.F) {
	f.Add(encodeBeat(stamp(0)), false)
	f.Add(encodeBeat(fusion.Stamp{}), true)
	f.Add([]byte("beat"), true)
	f.Fuzz(func(t *testing.T, b []byte, sum bool) {
		if sum && len(b) == beatSize {
			b = bytes.Clone(b)
			binary.BigEndian.PutUint32(b[beatSum:], crc32.Checksum(b[:beatSum], castagnoli))
		}
		at := decodeBeat(b)
		if at.IsZero() {
			return
		}
		if again := decodeBeat(encodeBeat(at)); !reflect.DeepEqual(again, at) {
			t.Errorf("%x is %+v, again %+v", b, at, again)
		}
	})
}

// A row of the index that is read names its own place and is written alike.
func FuzzIndexRow(f *testing.F) {
	f.Add([]byte(`{"uid":"00112233445566aa","site":"meadow","no":1,"entries":4,"newest":{},"opened":{"seq":1}}`))
	f.Add([]byte(`{"uid":"00112233445566aa","no":-1,"entries":18446744073709551615,"run":["a","a"]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		rows := indexRows{rows: []indexRow{{"00112233445566aa", text}}}
		x, err := rows.read(newLog("log", steps))
		if err != nil {
			if !errors.Is(err, ErrDamaged) {
				t.Error(err)
			}
			return
		}
		p := x.Places[0]
		row, err := json.Marshal(p)
		if err != nil || p.UID != "00112233445566aa" || !json.Valid(row) {
			t.Errorf("%q is %+v, %v", text, p, err)
		}
		p.Listed()
	})
}
