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
		t.missing(seq)
	}
	return line
}

func (t *tx) missing(seq uint64) {
	t.s.fail(damaged(t.s.path, fmt.Sprintf("entry %d is missing", seq)))
}

// read reads an entry of the log at path with its body.
func read(path string, seq uint64, line []byte) (logbook.Entry, error) {
	e, err := logbook.ReadEntry(line)
	switch {
	case err != nil:
		return e, damaged(path, fmt.Sprintf("entry %d cannot be read: %v", seq, err))
	case e.Seq != seq:
		return e, damaged(path, fmt.Sprintf("entry %d says that it is entry %d", seq, e.Seq))
	}
	return e, nil
}

func (t *tx) decode(seq uint64, line []byte) logbook.Entry {
	e, err := read(t.s.path, seq, line)
	if err != nil {
		t.s.fail(err)
	}
	return e
}

// entries goes through all entries and makes sure that none is missing, at the
// end either: the tree of hashes knows how many there are.
func (t *tx) entries(f func(logbook.Entry)) {
	t.lines(func(seq uint64, line []byte) { f(t.decode(seq, line)) })
}

// lines goes through the lines of all entries likewise. A line dies with the
// transaction.
func (t *tx) lines(f func(seq uint64, line []byte)) {
	var n uint64
	all := int(t.lastSeq())
	t.entry.each(nil, func(key, line []byte) {
		busy("reading the log", int(n), all)
		if n++; len(key) != 8 || binary.BigEndian.Uint64(key) != n {
			t.s.fail(damaged(t.s.path, fmt.Sprintf("entry %d is missing", n)))
		}
		f(n, line)
	})
	t.counted()
}

// add stores the drafts behind the last entry. What is given back is what was
// stored, read back: so a record made now equals the same record made anew from
// the entries.
func (t *tx) add(x *logbook.Index, drafts []logbook.Draft) (added []logbook.Entry, lines [][]byte) {
	seq, pos := t.lastSeq(), map[string]int{}
	for _, d := range drafts {
		seq++
		line := t.encode(x, d, seq, pos[d.ID])
		pos[d.ID]++
		added, lines = append(added, t.take(x, seq, line)), append(lines, line)
	}
	t.noted(x)
	return added, lines
}

// take stores a line as the next entry, with its hashes and its place among those of its
// site; noted is to follow.
func (t *tx) take(x *logbook.Index, seq uint64, line []byte) logbook.Entry {
	t.entry.put(key64(seq), line)
	t.addHashes(seq, line)
	e := t.decode(seq, line)
	if p := x.Take(e); p != nil {
		t.within.put(withinKey(p.UID, p.Entries), key64(e.Seq))
		if t.changed == nil {
			t.changed = map[string]*logbook.Place{}
		}
		t.changed[p.UID] = p
	}
	return e
}

func (t *tx) encode(x *logbook.Index, d logbook.Draft, seq uint64, pos int) []byte {
	e, err := d.Entry(seq, pos)
	if err != nil {
		t.s.fail(fmt.Errorf("%s: %w", t.s.path, err))
	}
	e.N = x.Number(e.Site, e.Kind)
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

// idsOf are the ids of drafts. A save over several sites has several, in the order
// of its drafts.
func idsOf(drafts []logbook.Draft) (ids []string) {
	for _, d := range drafts {
		if !slices.Contains(ids, d.ID) {
			ids = append(ids, d.ID)
		}
	}
	return ids
}

// saved looks for a save with these ids among the entries behind from and gives its
// entries, or none.
func (t *tx) saved(ids []string, from uint64) (found []logbook.Entry) {
	mark, _ := json.Marshal(ids[0] + ".0") // a string always can be
	at, last := uint64(0), from
	t.entry.from(key64(from+1), func(key, line []byte) bool {
		if last++; len(key) != 8 || num64(key) != last {
			t.missing(last)
		}
		if bytes.Contains(line, mark) && t.decode(last, line).ID == ids[0]+".0" {
			at = last
		}
		return true
	})
	if at == 0 {
		return nil
	}
	return t.saveAt(at, last, ids)
}

// saveAt are the entries of the save that begins at seq: under each of its ids
// they end in .0, .1 and so on.
func (t *tx) saveAt(seq, last uint64, ids []string) (found []logbook.Entry) {
	pos := map[string]int{}
	for at := seq; at <= last; at++ {
		e := t.decode(at, t.line(at))
		dot := max(0, strings.LastIndexByte(e.ID, '.'))
		id := e.ID[:dot]
		if !slices.Contains(ids, id) || e.ID[dot:] != fmt.Sprintf(".%d", pos[id]) {
			break
		}
		pos[id]++
		found = append(found, e)
	}
	return found
}

// asRead are the drafts with their ids and sites as they will be read back: JSON
// has another sign in the place of bytes that are no text, and what is counted or
// looked for goes by what is read.
func asRead(drafts []logbook.Draft) []logbook.Draft {
	drafts = slices.Clone(drafts)
	for i, d := range drafts {
		drafts[i].ID, drafts[i].Site = string([]rune(d.ID)), string([]rune(d.Site))
	}
	return drafts
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
