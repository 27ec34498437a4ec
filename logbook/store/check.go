package store

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
	"coolhold/logbook/seal"
)

// check holds the values against their checksums and entries, hashes and seals
// against each other. found is what reading them brought up already.
func (all values) check(found []Fault) Report {
	r := Report{Faults: found}
	for _, name := range bucketNames {
		for _, v := range all[name] {
			r.Values++
			if _, ok := unsum(v.key, v.stored); !ok {
				r.damage("%s does not match its checksum", named(name, v.key))
			}
		}
	}
	r.checkMeta(all["meta"])
	entries := r.checkEntries(all["entry"])
	r.checkHashes(all["hash"])
	if root, err := tlog.TreeHash(r.Entries, r.hashes); err == nil {
		r.Root = root
	}
	for _, e := range entries {
		r.checkSealed(e)
	}
	return r
}

// checkMeta makes sure that just the words of the format are there.
func (r *Report) checkMeta(meta []value) {
	for _, key := range []string{"format", "id", "tag", "projections", "next"} {
		if word(meta, key) == "" {
			r.damage("its %s is missing", key)
		}
	}
	for _, v := range meta {
		switch string(v.key) {
		case "format", "id", "tag", "projections", "next":
		default:
			r.damage("%s is no word of the format", named("meta", v.key))
		}
	}
	r.ID, r.Tag = word(meta, "id"), word(meta, "tag")
}

// checkEntries reads the entries and plants the tree of their lines.
func (r *Report) checkEntries(stored []value) (entries []logbook.Entry) {
	for _, v := range stored {
		r.Entries++
		if len(v.key) != 8 || binary.BigEndian.Uint64(v.key) != uint64(r.Entries) {
			r.damage("entry %d is missing", r.Entries)
			return entries // what follows has other places: one fault is enough
		}
		var e logbook.Entry
		line := v.payload()
		if err := json.Unmarshal(line, &e); err != nil {
			r.damage("entry %d cannot be read: %v", r.Entries, err)
		} else if e.Seq != uint64(r.Entries) {
			r.damage("entry %d says that it is entry %d", r.Entries, e.Seq)
		}
		var err error
		if r.hashes, err = r.hashes.grow(uint64(r.Entries), line); err != nil {
			r.damage("entry %d has no place in the tree: %v", r.Entries, err)
			return entries
		}
		entries, r.lines = append(entries, e), append(r.lines, line)
	}
	return entries
}

// checkHashes holds the stored hashes against those of the lines. Where an entry
// is another than the one that was hashed, the hashes above it differ too; they
// are not named.
func (r *Report) checkHashes(stored []value) {
	leaf := false
	for i, v := range stored {
		if len(v.key) != 8 || binary.BigEndian.Uint64(v.key) != uint64(i) {
			r.damage("hash %d is missing", i)
			return
		}
		if i >= len(r.hashes) || bytes.Equal(v.payload(), r.hashes[i][:]) {
			continue
		}
		level, n := tlog.SplitStoredHashIndex(int64(i))
		if level == 0 {
			r.fault("entry %d is not the one that was hashed", n+1)
			leaf = true
		} else if !leaf {
			r.fault("hash %d is not that of the entries %d to %d", i, n<<level+1, (n+1)<<level)
		}
	}
	switch has, want := len(stored), len(r.hashes); {
	case has > want:
		r.damage("entry %d is missing: %d entries have %d hashes, should have %d", r.Entries+1, r.Entries, has, want)
	case has < want:
		r.damage("hash %d is missing: %d entries have %d hashes, should have %d", has, r.Entries, has, want)
	}
}

// checkSealed holds a seal against the entries before it.
func (r *Report) checkSealed(e logbook.Entry) {
	if e.Kind != (logbook.Sealed{}).Kind() {
		return
	}
	b, ok := e.Open().(logbook.Sealed)
	if !ok {
		r.remark("entry %d holds a seal of a newer coolhold, which is not checked", e.Seq)
		return
	}
	s, err := seal.Parse([]byte(b.Note))
	if err == nil {
		err = agrees(e.Seq, b, s.Statement)
	}
	if err == nil {
		err = s.ExtendedBy(r.ID, r.Tag, int64(e.Seq)-1, r.hashes)
	}
	if err != nil {
		r.fault("the seal in entry %d does not hold: %v", e.Seq, err)
		return
	}
	r.Seals = append(r.Seals, SealedAt{e.Seq, b, s})
}

// agrees makes sure that an entry says of its seal what the seal says, and that
// it follows what was sealed: nothing comes between the two.
func agrees(seq uint64, b logbook.Sealed, s seal.Statement) error {
	if b.Entries != s.Entries || b.Root != s.Root.String() || b.Day != s.Day {
		return fmt.Errorf("the entry says %d entries, root %s, day %q; the note says %d, %s, %q",
			b.Entries, b.Root, b.Day, s.Entries, s.Root, s.Day)
	}
	if s.Entries != int64(seq)-1 {
		return fmt.Errorf("it was made for %d entries, %d stand before it", s.Entries, seq-1)
	}
	return nil
}

// compare holds the records against those that the entries make. Of meta only
// the next number is one.
func (r *Report) compare(has, want values) {
	if next := word(want["meta"], "next"); word(has["meta"], "next") != next {
		r.fault("%s is not what the entries make it, %s", named("meta", []byte("next")), next)
	}
	for _, name := range projected {
		stored := map[string][]byte{}
		for _, v := range has[name] {
			stored[string(v.key)] = v.stored
		}
		for _, v := range want[name] {
			got, ok := stored[string(v.key)]
			delete(stored, string(v.key))
			if !ok {
				r.fault("%s is missing: the entries make it", named(name, v.key))
			} else if !bytes.Equal(got, v.stored) {
				r.fault("%s is not what the entries make it", named(name, v.key))
			}
		}
		for _, v := range has[name] {
			if _, over := stored[string(v.key)]; over {
				r.fault("%s comes from no entry", named(name, v.key))
			}
		}
	}
}

// checkJournal holds the journal against the lines of the entries. One that is
// behind, or ends within a line, is brought up at the next open.
func (r *Report) checkJournal(journal []byte) {
	if journal == nil {
		r.remark("no journal stands beside it")
		return
	}
	n := 0
	for ; len(journal) > 0; n++ {
		line, rest, whole := bytes.Cut(journal, []byte("\n"))
		if !whole {
			r.remark("the journal ends within a line, which was never acknowledged")
			break
		}
		if n >= len(r.lines) {
			r.damage("the journal holds an entry %d, which the log does not", n+1)
			return
		}
		if !bytes.Equal(line, r.lines[n]) {
			r.unlike = n + 1
			r.fault("line %d of the journal is not entry %d", n+1, n+1)
			return
		}
		journal = rest
		r.Journal = n + 1
	}
	if n < len(r.lines) {
		r.remark("the journal ends at entry %d; opening the log brings it up", n)
	}
}
