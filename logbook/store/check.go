package store

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"

	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
	"coolhold/logbook/seal"
)

// check holds the values against their checksums and entries, hashes and seals
// against each other. found is what reading them brought up already.
func (all values) check(found []Fault) Checkup {
	r := Checkup{Faults: found, vague: map[string]bool{}}
	for _, name := range bucketNames {
		for _, v := range all[name] {
			r.Values++
			if _, ok := unsum(v.key, v.stored); !ok {
				r.damage("%s does not match its checksum", named(name, v.key))
			}
		}
	}
	r.checkMeta(all["meta"])
	r.entries = r.checkEntries(all["entry"])
	if len(r.newer) > 0 {
		r.remark("%s; the first is entry %d", logbook.UnreadLine(r.newer), r.newer[0].Seq)
	}
	r.checkHashes(all["hash"])
	if root, err := tlog.TreeHash(r.Entries, r.hashes); err == nil {
		r.Root = root
	}
	for _, e := range r.entries {
		r.checkSealed(e)
	}
	return r
}

// words are all that stand in meta.
var words = []string{"format", "id", "tag", "next", "sealed"}

// checkMeta makes sure that just the words of the format are there.
func (r *Checkup) checkMeta(meta []value) {
	for _, key := range words {
		if wordOf(meta, key) == "" {
			r.damage("its %s is missing", key)
		}
	}
	for _, v := range meta {
		if !slices.Contains(words, string(v.key)) {
			r.damage("%s is no word of the format", named("meta", v.key))
		}
	}
	r.ID, r.Tag = wordOf(meta, "id"), wordOf(meta, "tag")
}

// checkEntries reads the entries, counts them within their sites and plants the
// tree of their lines.
func (r *Checkup) checkEntries(stored []value) (entries []logbook.Entry) {
	r.index, r.seqs = logbook.NewIndex(r.Tag), map[string][]uint64{}
	for i, v := range stored {
		busy("checking the entries", i, len(stored))
		r.Entries++
		if len(v.key) != 8 || binary.BigEndian.Uint64(v.key) != uint64(r.Entries) {
			r.damage("entry %d is missing", r.Entries)
			return entries // what follows has other places: one fault is enough
		}
		line := v.payload()
		e, err := logbook.ReadEntry(line)
		if err != nil {
			r.damage("entry %d cannot be read: %v", r.Entries, err)
		} else if e.Seq != uint64(r.Entries) {
			r.damage("entry %d says that it is entry %d", r.Entries, e.Seq)
		}
		r.count(e)
		if r.hashes, err = r.hashes.grow(uint64(r.Entries), line); err != nil {
			r.damage("entry %d has no place in the tree: %v", r.Entries, err)
			return entries
		}
		entries, r.lines = append(entries, e), append(r.lines, line)
	}
	return entries
}

// count takes an entry into the index, and sees that it says which of its site's
// it is: one that were left out would leave a gap.
func (r *Checkup) count(e logbook.Entry) {
	n := r.index.Number(e.Site, e.Kind)
	if e.N != n {
		r.fault("entry %d says that it is entry %d of its site, it is entry %d", e.Seq, e.N, n)
	}
	if _, unknown := e.Open().(logbook.Unknown); unknown {
		r.vague[e.Site] = true
		if !e.Garbled() && e.Kind != "" {
			r.newer = append(r.newer, logbook.UnreadOf(&e))
		}
	}
	if b, ok := e.Open().(logbook.LogRestored); ok {
		r.remark("entry %d: %s; what the log held after that is not in it", e.Seq, b.Line())
	}
	if b, ok := e.Open().(logbook.TwinSetAside); ok {
		r.remark("entry %d: %s", e.Seq, b.Line())
	}
	if p := r.index.Take(e); p != nil {
		r.within = append(r.within, value{withinKey(p.UID, p.Entries), key64(e.Seq)})
		r.seqs[p.UID] = append(r.seqs[p.UID], e.Seq)
	}
}

// checkHashes holds the stored hashes against those of the lines. Where an entry
// is another than the one that was hashed, the hashes above it differ too; they
// are not named.
func (r *Checkup) checkHashes(stored []value) {
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
func (r *Checkup) checkSealed(e logbook.Entry) {
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
	if n := r.ofSite(s.Site, e.Seq); err == nil && s.Site != "" && n != s.OfSite {
		err = fmt.Errorf("%d entries of its site stand before it, not %d", n, s.OfSite)
	}
	if err != nil {
		r.fault("the seal in entry %d does not hold: %v", e.Seq, err)
		return
	}
	r.Seals = append(r.Seals, SealedAt{e.Seq, b, s})
}

// ofSite is how many entries of a site stand before an entry.
func (r *Checkup) ofSite(uid string, seq uint64) int64 {
	seqs := r.seqs[uid]
	n, _ := slices.BinarySearch(seqs, seq)
	return int64(n)
}

// Place is what the entries make of a site in the index, nil where there is none.
func (r *Checkup) Place(site string) *logbook.Place { return r.index.At(site) }

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

// checkIndex holds the index against what the entries make.
func (r *Checkup) checkIndex(has values) {
	for word, n := range map[string]uint64{"next": uint64(r.index.Next), "sealed": r.index.Sealed} {
		want := strconv.FormatUint(n, 10)
		if got := wordOf(has["meta"], word); got != want {
			r.fault("%s is %s, the entries make it %s", named("meta", []byte(word)), got, want)
		}
	}
	stored := map[string]logbook.Place{}
	for _, v := range has["site"] {
		var p logbook.Place
		_ = json.Unmarshal(v.payload(), &p) // what cannot be read is not what it should be
		stored[string(v.key)] = p
	}
	var rows []value
	for _, p := range r.index.Places {
		want := *p
		if got := stored[p.UID]; r.mayRun(p, got) {
			want.Run = got.Run
		}
		row, _ := json.Marshal(want) // words and numbers always can be
		rows = append(rows, value{[]byte(p.UID), row})
	}
	r.compare("site", has["site"], rows)
	r.compare("within", has["within"], r.within)
}

// mayRun tells whether the welds that a stored row lists may be those of a site.
// Too many are no fault: a program lists them that knows fewer kinds of entries.
// Where this one does not know all, it cannot tell which are missing.
func (r *Checkup) mayRun(want *logbook.Place, got logbook.Place) bool {
	for _, id := range want.Run {
		if !slices.Contains(got.Run, id) {
			return r.vague[want.Site]
		}
	}
	return true
}

// compare holds the values of a part of the index against what they should be,
// which has no checksums.
func (r *Checkup) compare(name string, has, want []value) {
	stored := map[string][]byte{}
	for _, v := range has {
		stored[string(v.key)] = v.payload()
	}
	for _, v := range want {
		got, ok := stored[string(v.key)]
		delete(stored, string(v.key))
		if !ok {
			r.fault("%s is missing: the entries make it", named(name, v.key))
		} else if !bytes.Equal(got, v.stored) {
			r.fault("%s is not what the entries make it", named(name, v.key))
		}
	}
	for _, v := range has {
		if _, over := stored[string(v.key)]; over {
			r.fault("%s comes from no entry", named(name, v.key))
		}
	}
}

// checkBodies sees that every body of a kind that is known is read, and that
// every site can be folded.
func (r *Checkup) checkBodies() {
	of := map[string][]int{} // places of a site's entries
	for i, e := range r.entries {
		if e.Garbled() {
			r.fault("entry %d: what it says cannot be read as %q", e.Seq, e.Kind)
		}
		if e.N > 0 {
			of[e.Site] = append(of[e.Site], i)
		}
	}
	for _, p := range r.index.Places {
		if why := r.unfoldable(of[p.Site]); why != "" {
			r.fault("the records of site %s cannot be made: %s", p.Site, why)
		}
	}
}

// fold is how records come about. In a test it fails.
var fold = (*logbook.Book).Add

func (r *Checkup) unfoldable(entries []int) (why string) {
	defer func() {
		if p := recover(); p != nil {
			why = fmt.Sprint(p)
		}
	}()
	book := logbook.NewBook(r.Tag, 1)
	for _, i := range entries {
		fold(book, r.entries[i])
	}
	return ""
}

// checkJournal holds the journal against the lines of the entries. One that is
// behind, or ends within a line, is brought up at the next open.
func (r *Checkup) checkJournal(journal []byte) {
	if journal == nil {
		r.remark("no journal stands beside it")
		return
	}
	n := -1 // the first line is no entry
	for ; len(journal) > 0; n++ {
		line, rest, whole := bytes.Cut(journal, []byte("\n"))
		if !whole {
			r.remark("the journal ends within a line, which was never acknowledged")
			break
		}
		if seq, _, ok := seqOf(line); n >= len(r.lines) && !ok && seq <= uint64(len(r.lines)) {
			r.unlike, r.should = n+2, "an entry"
			r.fault("line %d of the journal is no entry", n+2)
			return
		}
		if n >= len(r.lines) {
			r.damage("the journal holds an entry %d, which the log does not", n+1)
			return
		}
		if what := r.unlikeLine(n, line); what != "" {
			r.unlike, r.should = n+2, what
			r.fault("line %d of the journal is not %s", n+2, what)
			return
		}
		journal = rest
		r.Journal = n + 1
	}
	if n = max(n, 0); n < len(r.lines) {
		r.remark("the journal ends at entry %d; opening the log brings it up", n)
	}
}

// unlikeLine says what a line of the journal should be and is not; n is the
// number of entries before it, -1 for the first line.
func (r *Checkup) unlikeLine(n int, line []byte) string {
	bare, ok := unjournal(line)
	switch {
	case n < 0 && (!ok || !bytes.Equal(bare, headOf(r.ID, r.Tag))):
		return "the one that a journal of this log begins with"
	case n >= 0 && (!ok || !bytes.Equal(bare, r.lines[n])):
		return fmt.Sprintf("entry %d", n+1)
	}
	return ""
}
