package store

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
)

// recent is how far back a repeated save is looked for. A save is repeated at
// once or not at all, and other programs write few entries meanwhile.
const recent = 256

// lastSeq is the seq of the newest entry, 0 in an empty log.
func (t *tx) lastSeq() uint64 {
	seq, _ := t.entry.lastKey()
	return seq
}

// line is the stored line of an entry that must be there.
func (t *tx) line(seq uint64) []byte {
	line, ok := t.entry.get(key64(seq))
	if !ok {
		t.s.fail(damaged(t.s.path, fmt.Sprintf("entry %d is missing", seq)))
	}
	return line
}

func (t *tx) decode(seq uint64, line []byte) (e logbook.Entry) {
	if err := json.Unmarshal(line, &e); err != nil {
		t.s.fail(damaged(t.s.path, fmt.Sprintf("entry %d cannot be read: %v", seq, err)))
	}
	if e.Seq != seq {
		t.s.fail(damaged(t.s.path, fmt.Sprintf("entry %d says that it is entry %d", seq, e.Seq)))
	}
	return e
}

// Entry finds an entry.
func (t *tx) Entry(seq uint64) (e logbook.Entry, ok bool) {
	t.s.ours(func() {
		var line []byte
		if line, ok = t.entry.get(key64(seq)); ok {
			e = t.decode(seq, line)
		}
	})
	return e, ok
}

// entries goes through all entries and makes sure that none is missing, at the
// end either: the tree of hashes knows how many there are.
func (t *tx) entries(f func(logbook.Entry)) {
	var n uint64
	t.entry.each(nil, func(key, line []byte) {
		if n++; len(key) != 8 || binary.BigEndian.Uint64(key) != n {
			t.s.fail(damaged(t.s.path, fmt.Sprintf("entry %d is missing", n)))
		}
		f(t.decode(n, line))
	})
	last, some := t.hash.lastKey()
	if some {
		last++
	}
	if want := uint64(tlog.StoredHashCount(int64(n))); last != want {
		t.s.fail(damaged(t.s.path, fmt.Sprintf("entry %d is missing: %d entries have %d hashes, should have %d", n+1, n, last, want)))
	}
}

// add stores the drafts behind the last entry and folds them in. What is folded
// and given back is what was stored, read back: so a record made now equals the
// same record made anew from the entries.
func (t *tx) add(drafts []logbook.Draft) (added []logbook.Entry, lines []byte) {
	seq := t.lastSeq()
	for i, d := range drafts {
		seq++
		line := t.encode(d, seq, i)
		e := t.take(seq, line)
		added, lines = append(added, e), append(append(lines, line...), '\n')
	}
	return added, lines
}

// take stores a line as the next entry and folds it in.
func (t *tx) take(seq uint64, line []byte) logbook.Entry {
	t.entry.put(key64(seq), line)
	t.addHashes(seq, line)
	e := t.decode(seq, line)
	logbook.Apply(t, e)
	return e
}

func (t *tx) encode(d logbook.Draft, seq uint64, pos int) []byte {
	e, err := d.Entry(seq, pos)
	if err != nil {
		t.s.fail(fmt.Errorf("%s: %w", t.s.path, err))
	}
	line, err := json.Marshal(e)
	if err != nil {
		t.s.fail(fmt.Errorf("%s: entry %q cannot be written down: %w", t.s.path, e.Kind, err))
	}
	return line
}

func (t *tx) addHashes(seq uint64, line []byte) {
	n := int64(seq) - 1
	hashes, err := tlog.StoredHashes(n, line, t)
	if err != nil {
		t.s.fail(damaged(t.s.path, err.Error()))
	}
	at := uint64(tlog.StoredHashIndex(0, n))
	for i, h := range hashes {
		t.hash.put(key64(at+uint64(i)), h[:])
	}
}

// ReadHashes reads stored hashes for tlog.
func (t *tx) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, index := range indexes {
		payload, ok := t.hash.get(key64(uint64(index)))
		if !ok || len(payload) != tlog.HashSize {
			return nil, fmt.Errorf("hash %d is missing", index)
		}
		copy(out[i][:], payload)
	}
	return out, nil
}

// saved looks for an earlier try of the same save among the last entries and
// gives its entries, or none.
func (t *tx) saved(id string) (found []logbook.Entry) {
	mark, _ := json.Marshal(id + ".0") // a string always can be
	last := t.lastSeq()
	for seq := last; seq > 0 && last-seq < recent; seq-- {
		line := t.line(seq)
		if bytes.Contains(line, mark) && t.decode(seq, line).ID == id+".0" {
			return t.saveAt(seq, last)
		}
	}
	return nil
}

// saveAt are the entries of the save that begins at seq: the ids of a save end
// in .0, .1 and so on.
func (t *tx) saveAt(seq, last uint64) (found []logbook.Entry) {
	for at := seq; at <= last; at++ {
		e := t.decode(at, t.line(at))
		if !strings.HasSuffix(e.ID, fmt.Sprintf(".%d", at-seq)) {
			break
		}
		found = append(found, e)
	}
	return found
}

var errDraft = errors.New("the entry cannot be stored")

// checkDrafts refuses what the format has no place for. These are mistakes of
// the program, not of a person.
func checkDrafts(drafts []logbook.Draft) error {
	at := slices.IndexFunc(drafts, func(d logbook.Draft) bool {
		_, unknown := d.Body.(logbook.Unknown)
		return d.ID == "" || d.Body == nil || unknown || strings.Contains(d.Site, "\x00") || len(d.Weld) > 255
	})
	if at < 0 {
		return nil
	}
	d := drafts[at]
	return fmt.Errorf("%w: draft %d (id %q, site %q, weld %q, body %T) lacks an id or a known body, or a name does not fit",
		errDraft, at, d.ID, d.Site, d.Weld, d.Body)
}
