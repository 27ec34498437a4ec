package store

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"unicode/utf8"

	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/tlog"

	"coolhold/fusion"
	"coolhold/logbook"
)

var (
	// ErrSound: the log holds, so there is nothing to restore.
	ErrSound = errors.New("the log holds, and so does its journal")
	// ErrNoJournal: there is nothing to restore from.
	ErrNoJournal = errors.New("no journal with entries stands beside it")
)

// A Restored says what a log made anew holds and where that comes from.
type Restored struct {
	Path       string
	ID, Tag    string
	Entries    int64
	From       string          // the code of what it was made of
	Source     string          // its file
	Sources    []*Source       // all that was found
	Cut        bool            // the source ended within a line, which was left out
	Unknown    int             // entries of a kind that this program cannot read; they are kept
	OnlyInLog  []logbook.Entry // entries after those of the journal, whole in the old file and not restored
	LogMissing bool            // there was no old file
	Journal    string          // the log holds and only its journal did not, which was made anew: one line; no log was written
}

// JournalBeside tells whether a journal with entries stands beside the log of
// that name, which may itself be missing, and how many it has by its last line.
func JournalBeside(path string) (entries int, ok bool) {
	seq, err := journalSeq(path)
	return int(seq), err == nil && seq > 0
}

// Restore makes a log anew from the journal beside path and writes it to out,
// which must not be there yet (ErrExists). What stands at path, and the journal,
// are only read. Each line of the journal must be the entry of its place; hashes
// and records are made anew. Where the old file still holds an entry whose
// checksum is right, the line must be the same, and each seal must hold over the
// lines before it. The id and the tag are those that the journal begins with. That
// the log was made anew is its last entry, made at the given moment. Errors:
// ErrNoJournal, ErrSound, ErrDamaged with the line at which the journal is not
// what was written, and those of Verify for a log that is in use or newer. Where
// only the journal is damaged it is that which is made anew, and the bad one kept.
func Restore(ctx context.Context, path, out string, at fusion.Stamp) (Restored, error) {
	return RestoreWith(ctx, path, "", out, at)
}

// wanting refuses a log at which nothing is wrong, one that is in use, and one
// that is newer. lines are what can be read of it through bbolt.
func wanting(ctx context.Context, path string) (lines [][]byte, err error) {
	v, err := VerifyLines(ctx, path, true, func(line []byte, _ logbook.Entry) { lines = append(lines, line) })
	switch {
	case errors.Is(err, ErrDamaged), errors.Is(err, ErrNoLog):
		return nil, nil
	case err != nil:
		return lines, err
	case len(v.Faults) == 0:
		return lines, refuse(path, ErrSound, "", "there is nothing to restore; coolhold copy makes a copy")
	case len(v.Faults) == 1 && v.unlike > 0:
		return lines, badJournal(journalOf(path), fmt.Sprintf("line %d is not %s", v.unlike, v.should))
	}
	return lines, nil
}

// journalLines are the whole lines of a journal without their checksums: the one
// it begins with, and each entry at its place.
func journalLines(name string, journal []byte) (begins journalHead, lines [][]byte, cut bool, err error) {
	for n := 0; len(journal) > 0; n++ {
		line, rest, whole := bytes.Cut(journal, []byte("\n"))
		if !whole {
			return begins, lines, true, nil
		}
		bare, ok := unjournal(line)
		what := "it does not match its checksum"
		switch {
		case !ok:
		case n == 0:
			begins, what = readHeadLine(bare)
		default:
			lines, what = append(lines, bare), wrongLine(bare, uint64(n))
		}
		if what != "" {
			return begins, lines[:max(0, n-1)], false, badLine(name, n+1, what, noHelp)
		}
		journal = rest
	}
	return begins, lines, false, nil
}

// readHeadLine reads the line that a journal begins with.
func readHeadLine(line []byte) (h journalHead, what string) {
	if err := json.Unmarshal(line, &h); err != nil || h.Journal == 0 {
		return h, "it is not the line that a journal begins with"
	}
	if h.Journal > journalFormat {
		return h, "the journal was written by a newer coolhold"
	}
	return h, ""
}

// noHelp is what to do where log and journal are both damaged.
const noHelp = "nothing was written: keep both files, and go by a copy of the log or of its journal"

func badLine(name string, n int, what, todo string) error {
	return refuse(name, ErrDamaged, fmt.Sprintf("line %d: %s", n, what), todo)
}

// wrongLine says why a line cannot be the entry of that place, "" where it can.
func wrongLine(line []byte, seq uint64) string {
	var e logbook.Entry
	if !utf8.Valid(line) {
		return "it holds bytes that are no text"
	}
	if err := json.Unmarshal(line, &e); err != nil {
		return "it cannot be read: " + err.Error()
	}
	switch {
	case e.Seq != seq:
		return fmt.Sprintf("it says that it is entry %d", e.Seq)
	case e.ID == "" || e.Kind == "" || e.V < 1 || len(e.Body) == 0:
		return "it lacks the id, the kind or the body of an entry"
	}
	return ""
}

func decodeAll(lines [][]byte) []logbook.Entry {
	entries := make([]logbook.Entry, len(lines))
	for i, line := range lines {
		_ = json.Unmarshal(line, &entries[i]) // journalLines has read it
	}
	return entries
}

func unknown(entries []logbook.Entry) (n int) {
	for _, e := range entries {
		if _, is := e.Open().(logbook.Unknown); is {
			n++
		}
	}
	return n
}

// write makes the log, and gives it its name only when it was read back whole.
func (r *Restored) write(ctx context.Context, journal string, lines [][]byte, at fusion.Stamp) error {
	l := newLog(r.Path, steps)
	l.id, l.tag = r.ID, r.Tag
	return publish(r.Path, func(part string) error {
		if err := l.make(part); err != nil {
			return err
		}
		if err := l.fill(part, r.From, lines, at); err != nil {
			return err
		}
		v, err := Verify(ctx, part, false)
		if err == nil && len(v.Faults) > 0 {
			err = refuse(journal, ErrDamaged, v.Faults[0].What, "a line before it is not what was sealed; "+noHelp)
		}
		return err
	})
}

// fillAtOnce is how many lines are stored in one transaction while a log is made anew.
// The library splits pages only at the commit: until then all keys of a bucket stand in
// one list, and a key in its middle moves all that follow.
const fillAtOnce = 1000

// fill stores lines as the entries of an empty log, and as one more that it was
// made anew. The file has no name yet, so that nobody sees a part of them.
func (l *Log) fill(part, from string, lines [][]byte, at fusion.Stamp) error {
	db, err := bolt.Open(part, 0, &bolt.Options{Timeout: Patience})
	if err != nil {
		return err
	}
	x, seq := logbook.NewIndex(l.tag), uint64(0)
	for some := range slices.Chunk(lines, fillAtOnce) {
		if err == nil {
			err = l.filling(db, func(t *tx) error {
				l.filled = max(l.filled, len(some))
				for _, line := range some {
					busy("making the log anew", int(seq), len(lines))
					seq++
					t.take(x, seq, line)
				}
				t.noted(x)
				return nil
			})
		}
	}
	if err == nil {
		err = l.filling(db, func(t *tx) error {
			root, err := tlog.TreeHash(int64(len(lines)), t)
			if err != nil {
				return err
			}
			body := logbook.LogRestored{From: from, Last: uint64(len(lines)), Root: root.String()}
			t.add(x, []logbook.Draft{{ID: "restored-" + body.Root[:12], At: at, Body: body}})
			return nil
		})
	}
	return errors.Join(err, db.Close())
}

// filling is a transaction of a log that is being made.
func (l *Log) filling(db *bolt.DB, f func(*tx) error) error {
	return db.Update(func(raw *bolt.Tx) error {
		s := &session{path: l.path}
		return s.unbroken(func() error {
			t := newTx(s, raw)
			t.bind()
			return f(t)
		})
	})
}

// name takes the id and the tag that the journal begins with. A seal, or an old
// file, of another log is a fault.
func (r *Restored) name(journal string, begins journalHead, entries []logbook.Entry, old remains) error {
	r.ID, r.Tag = begins.Log, begins.Tag
	if sealed := logOfSeals(entries); sealed != "" && sealed != r.ID {
		return refuse(journal, ErrDamaged, "its seals are of another log than its first line", "find out which lines are whose; nothing was written")
	}
	if old.id != "" && old.id != r.ID {
		return refuse(journal, ErrDamaged, "it is the journal of another log than the file beside it", "find out which journal is whose; nothing was written")
	}
	return nil
}
