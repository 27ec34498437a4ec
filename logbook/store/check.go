package store

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"

	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
	"coolhold/logbook/seal"
)

// check holds the values against their checksums and entries, hashes and seals
// against each other. found is what reading them brought up already.
func check(all stored, found []Fault, each Each) Checkup {
	r := Checkup{shape: found, vague: map[string]bool{}}
	keep := func(kept *[]value) func(value) {
		return func(v value) { *kept = append(*kept, value{bytes.Clone(v.key), bytes.Clone(v.stored)}) }
	}
	r.pass(all, "meta", keep(&r.meta))
	r.checkMeta()
	r.checkEntries(all, each)
	if len(r.newer) > 0 {
		r.remark("%s; the first is entry %d", logbook.UnreadLine(r.newer), r.newer[0].Seq)
	}
	r.checkHashes(all)
	if root, err := tlog.TreeHash(r.Entries, r.hashes); err == nil {
		r.Root = root
	}
	for _, e := range r.sealed {
		r.checkSealed(e)
	}
	r.pass(all, "site", keep(&r.rows))
	r.pass(all, "within", func(value) {})
	r.Faults = slices.Concat(r.shape, r.sums, r.Faults)
	return r
}

// words are all that stand in meta.
var words = []string{"format", "id", "tag", "next", "sealed"}

// checkMeta makes sure that just the words of the format are there.
func (r *Checkup) checkMeta() {
	for _, key := range words {
		if wordOf(r.meta, key) == "" {
			r.damage("its %s is missing", key)
		}
	}
	for _, v := range r.meta {
		if !slices.Contains(words, string(v.key)) {
			r.damage("%s is no word of the format", named("meta", v.key))
		}
	}
	r.ID, r.Tag = wordOf(r.meta, "id"), wordOf(r.meta, "tag")
}

// together is how many lines are read as entries at a time, beside the check of those
// before them.
const together = 256

// A lookahead reads lines as entries a little ahead of what takes them, in their order. The
// lines are of no map of the file: a fault of that is caught where the file is read only.
type lookahead struct {
	take        func(line []byte, e logbook.Entry, err error)
	before, now *batch
}

// A batch is some lines that follow each other.
type batch struct {
	lines   [][]byte
	entries []logbook.Entry
	errs    []error
	done    chan struct{}
}

func (b *batch) read() {
	b.entries, b.errs, b.done = make([]logbook.Entry, len(b.lines)), make([]error, len(b.lines)), make(chan struct{})
	go func() {
		defer close(b.done)
		for i, line := range b.lines {
			b.entries[i], b.errs[i] = logbook.ReadEntry(line)
		}
	}()
}

func (a *lookahead) add(line []byte) {
	if a.now == nil {
		a.now = new(batch)
	}
	if a.now.lines = append(a.now.lines, line); len(a.now.lines) == together {
		a.turn()
	}
}

func (a *lookahead) turn() {
	if a.now != nil {
		a.now.read()
	}
	if b := a.before; b != nil {
		<-b.done
		for i, line := range b.lines {
			a.take(line, b.entries[i], b.errs[i])
		}
	}
	a.before, a.now = a.now, nil
}

// end takes what is left.
func (a *lookahead) end() {
	a.turn()
	a.turn()
}

// checkEntries reads the entries, counts them within their sites and plants the
// tree of their lines.
func (r *Checkup) checkEntries(all stored, each Each) {
	r.index, r.seqs = logbook.NewIndex(r.Tag), map[string][]uint64{}
	entries := lookahead{take: func(line []byte, e logbook.Entry, err error) {
		if r.lost {
			return
		}
		r.checkEntry(line, e, err)
		if err != nil {
			e = logbook.Entry{}
		}
		if each != nil && !r.lost {
			each(line, e)
		}
	}}
	n, of, whole := 0, lastOf(all), true
	r.pass(all, "entry", func(v value) {
		if n++; !whole || len(v.key) != 8 || binary.BigEndian.Uint64(v.key) != uint64(n) {
			whole = false // what follows has other places: one fault is enough
			return
		}
		busy("checking the entries", n, of)
		entries.add(bytes.Clone(v.payload()))
	})
	entries.end()
	if !whole && !r.lost {
		r.Entries++
		r.damage("entry %d is missing", r.Entries)
	}
}

// checkEntry takes the next entry.
func (r *Checkup) checkEntry(line []byte, e logbook.Entry, err error) {
	r.Entries++
	if err != nil {
		r.damage("entry %d cannot be read: %v", r.Entries, err)
	} else if e.Seq != uint64(r.Entries) {
		r.damage("entry %d says that it is entry %d", r.Entries, e.Seq)
	}
	r.count(e)
	if r.hashes, err = r.hashes.grow(uint64(r.Entries), line); err != nil {
		r.damage("entry %d has no place in the tree: %v", r.Entries, err)
		r.lost = true
		return
	}
	if e.Kind == (logbook.Sealed{}).Kind() {
		r.sealed = append(r.sealed, e)
	}
}

// lastOf is the last entry's number by its key, for the progress.
func lastOf(all stored) int {
	if f, ok := all.(inFile); ok && f["entry"] != nil {
		if k, _ := f["entry"].Cursor().Last(); len(k) == 8 {
			return int(num64(k))
		}
	}
	return 0
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
	if e.Garbled() {
		r.garbled = append(r.garbled, Fault{What: fmt.Sprintf("entry %d: what it says cannot be read as %q", e.Seq, e.Kind)})
	}
	if p := r.index.Take(e); p != nil {
		r.seqs[p.UID] = append(r.seqs[p.UID], e.Seq)
	}
}

// checkHashes holds the stored hashes against those of the lines. Where an entry
// is another than the one that was hashed, the hashes above it differ too; they
// are not named.
func (r *Checkup) checkHashes(all stored) {
	leaf, lost, n := false, false, 0
	r.pass(all, "hash", func(v value) {
		i := n
		n++
		if lost {
			return
		}
		if len(v.key) != 8 || binary.BigEndian.Uint64(v.key) != uint64(i) {
			r.damage("hash %d is missing", i)
			lost = true
			return
		}
		if i >= len(r.hashes) || bytes.Equal(v.payload(), r.hashes[i][:]) {
			return
		}
		level, n := tlog.SplitStoredHashIndex(int64(i))
		if level == 0 {
			r.fault("entry %d is not the one that was hashed", n+1)
			leaf = true
		} else if !leaf {
			r.fault("hash %d is not that of the entries %d to %d", i, n<<level+1, (n+1)<<level)
		}
	})
	if lost {
		return
	}
	switch has, want := n, len(r.hashes); {
	case has > want:
		r.damage("entry %d is missing: %d entries have %d hashes, should have %d", r.Entries+1, r.Entries, has, want)
	case has < want:
		r.damage("hash %d is missing: %d entries have %d hashes, should have %d", has, r.Entries, has, want)
	}
}

// checkSealed holds a seal against the entries before it.
func (r *Checkup) checkSealed(e logbook.Entry) {
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
func (r *Checkup) checkIndex(all stored) {
	for word, n := range map[string]uint64{"next": uint64(r.index.Next), "sealed": r.index.Sealed} {
		want := strconv.FormatUint(n, 10)
		if got := wordOf(r.meta, word); got != want {
			r.fault("%s is %s, the entries make it %s", named("meta", []byte(word)), got, want)
		}
	}
	stored := map[string]logbook.Place{}
	for _, v := range r.rows {
		var p logbook.Place
		_ = json.Unmarshal(v.payload(), &p) // what cannot be read is not what it should be
		stored[string(v.key)] = p
	}
	want := map[string][]byte{}
	for _, p := range r.index.Places {
		row := *p
		if got := stored[p.UID]; r.mayRun(p, got) {
			row.Run = got.Run
		}
		want[p.UID], _ = json.Marshal(row) // words and numbers always can be
	}
	r.checkRows(want)
	r.checkWithin(all)
}

// checkRows holds the rows of the sites against what they should be.
func (r *Checkup) checkRows(want map[string][]byte) {
	for _, v := range r.rows {
		should, ok := want[string(v.key)]
		delete(want, string(v.key))
		if !ok {
			r.fault("%s comes from no entry", named("site", v.key))
		} else if !bytes.Equal(v.payload(), should) {
			r.fault("%s is not what the entries make it", named("site", v.key))
		}
	}
	for _, p := range r.index.Places {
		if _, missing := want[p.UID]; missing {
			r.fault("%s is missing: the entries make it", named("site", []byte(p.UID)))
		}
	}
}

// checkWithin holds the places of the entries within their sites against the entries.
func (r *Checkup) checkWithin(all stored) {
	found := map[string]int{}
	all.each("within", func(v value) {
		uid, n := "", uint64(0)
		if at := len(v.key) - 8; at >= 0 {
			uid, n = hex.EncodeToString(v.key[:at]), num64(v.key[at:])
		}
		seqs := r.seqs[uid]
		if n == 0 || n > uint64(len(seqs)) {
			r.fault("%s comes from no entry", named("within", v.key))
			return
		}
		found[uid]++
		if !bytes.Equal(v.payload(), key64(seqs[n-1])) {
			r.fault("%s is not what the entries make it", named("within", v.key))
		}
	})
	for _, p := range r.index.Places {
		if found[p.UID] == len(r.seqs[p.UID]) {
			continue
		}
		for i := range r.seqs[p.UID] {
			if key := withinKey(p.UID, uint64(i+1)); all.get("within", key) == nil {
				r.fault("%s is missing: the entries make it", named("within", key))
			}
		}
	}
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

// checkBodies sees that every body of a kind that is known is read, and that
// every site can be folded.
func (r *Checkup) checkBodies(all stored) {
	r.Faults = append(r.Faults, r.garbled...)
	for i, p := range r.index.Places {
		busy("making the records of the sites", i, len(r.index.Places))
		if why := r.unfoldable(all, r.seqs[p.UID]); why != "" {
			r.fault("the records of site %s cannot be made: %s", p.Site, why)
		}
	}
}

// fold is how records come about. In a test it fails.
var fold = (*logbook.Book).Add

func (r *Checkup) unfoldable(all stored, seqs []uint64) (why string) {
	defer func() {
		if p := recover(); p != nil {
			why = fmt.Sprint(p)
		}
	}()
	book := logbook.NewBook(r.Tag, 1)
	entries := lookahead{take: func(_ []byte, e logbook.Entry, _ error) { fold(book, e) }} // all were read before
	for _, seq := range seqs {
		entries.add(bytes.Clone(payloadOf(all, seq)))
	}
	entries.end()
	return ""
}

// payloadOf is a line as it is stored.
func payloadOf(all stored, seq uint64) []byte {
	return value{stored: all.get("entry", key64(seq))}.payload()
}

// checkJournal holds the journal against the lines of the entries. One that is
// behind, or ends within a line, is brought up at the next open.
func (r *Checkup) checkJournal(j frozen, all stored) {
	switch {
	case j.unread != nil:
		r.remark("the journal cannot be read and was not checked: %v", j.unread)
		return
	case j.f == nil:
		r.remark("no journal stands beside it")
		return
	}
	r.checkLines(io.NewSectionReader(j.f, 0, j.size), j.cut, all)
}

// checkLines are the whole lines of the journal; cut says that it went on behind them.
func (r *Checkup) checkLines(lines io.Reader, cut bool, all stored) {
	n := -1 // the first line is no entry
	in := bufio.NewReaderSize(lines, 1<<16)
	for ; ; n++ {
		line, err := wholeLine(in)
		if err == io.EOF {
			break
		}
		if err != nil && err != errTooFar {
			r.remark("the journal cannot be read behind its line %d, and what follows was not checked: %v", n+1, err)
			return
		}
		busy("checking the journal", max(0, n), int(r.Entries))
		if int64(n) >= r.Entries {
			if seq, _, ok := seqOf(line); !ok && seq <= uint64(r.Entries) {
				r.unlike, r.should = n+2, "an entry"
				r.fault("line %d of the journal is no entry", n+2)
				return
			}
			r.damage("the journal holds an entry %d, which the log does not", n+1)
			return
		}
		if what := r.unlikeLine(all, n, line); what != "" {
			r.unlike, r.should = n+2, what
			r.fault("line %d of the journal is not %s", n+2, what)
			return
		}
		r.Journal = n + 1
	}
	if cut {
		r.remark("the journal ends within a line, which was never acknowledged")
	}
	if n = max(n, 0); int64(n) < r.Entries {
		r.remark("the journal ends at entry %d; opening the log brings it up", n)
	}
}

// wholeLine is the next line without its end, which dies with the next; errTooFar where
// it is longer than any.
func wholeLine(in *bufio.Reader) (line []byte, err error) {
	for {
		part, err := in.ReadSlice('\n')
		switch {
		case err == nil && line == nil:
			return part[:len(part)-1], nil
		case err == nil:
			line = append(line, part...)
			return line[:len(line)-1], nil
		case err != bufio.ErrBufferFull:
			return nil, err
		}
		if line = append(line, part...); len(line) > longestLine {
			return nil, errTooFar
		}
	}
}

// unlikeLine says what a line of the journal should be and is not; n is the
// number of entries before it, -1 for the first line.
func (r *Checkup) unlikeLine(all stored, n int, line []byte) string {
	bare, ok := unjournal(line)
	switch {
	case n < 0 && (!ok || !bytes.Equal(bare, headOf(r.ID, r.Tag))):
		return "the one that a journal of this log begins with"
	case n >= 0 && (!ok || !bytes.Equal(bare, payloadOf(all, uint64(n+1)))):
		return fmt.Sprintf("entry %d", n+1)
	}
	return ""
}
