package store

import (
	"context"

	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
	"coolhold/logbook/seal"
)

// CheckSince checks what a log gained since the newest seal in it that is known, as
// Verify would deep: each line and its hashes, its place among those of its site, and
// that what its kind says is read; and that the tree still is the one that was sealed.
// What was sealed before is not looked at: so it costs what came since, and Verify
// checks the rest. since is the entry of that seal; 0 says that the newest is none that
// is known, and nothing was checked. The log is read where it lies, as by ReadSite.
func CheckSince(ctx context.Context, path string, known func(logbook.Sealed) error) (r Checkup, since uint64, err error) {
	l, err := whereItLies(ctx, path)
	if err != nil {
		return r, 0, err
	}
	return l.checkSince(ctx, known)
}

func (l *Log) checkSince(ctx context.Context, known func(logbook.Sealed) error) (r Checkup, since uint64, err error) {
	if err := l.fetch(ctx, wanted{}); err != nil {
		return r, 0, err
	}
	r = Checkup{ID: l.id, Tag: l.tag, Entries: int64(l.known.upto), Deep: true, index: l.known.index}
	err = l.glance(ctx, func(t *tx) error {
		since = r.sealStands(t, known)
		t.counted()
		return nil
	})
	if err != nil || since == 0 {
		return r, 0, err
	}
	err = l.pieces(ctx, since, l.known.upto, func(t *tx, seq uint64, line []byte) error {
		if len(r.Faults) == 0 {
			busy("checking the entries", int(seq-since), int(l.known.upto-since))
			r.checkOne(t, seq, line)
			l.checked++
		}
		return nil
	})
	if err != nil {
		return r, since, err
	}
	err = l.glance(ctx, func(t *tx) error {
		root, err := tlog.TreeHash(r.Entries, t)
		if r.Root = root; err != nil {
			return damaged(l.path, err.Error())
		}
		return nil
	})
	return r, since, err
}

// sealStands is the newest seal where it is known and the tree is the one that was
// sealed, which is a fault else; 0 where there is none that is known.
func (r *Checkup) sealStands(t *tx, known func(logbook.Sealed) error) uint64 {
	at := r.index.Sealed
	if at == 0 {
		return 0
	}
	b, ok := t.decode(at, t.line(at)).Open().(logbook.Sealed)
	if !ok || known(b) != nil {
		return 0
	}
	s, err := seal.Parse([]byte(b.Note))
	if err == nil {
		err = agrees(at, b, s.Statement)
	}
	if err == nil {
		err = s.ExtendedBy(r.ID, r.Tag, int64(at)-1, t)
	}
	if err != nil {
		r.fault("the seal in entry %d does not hold: %v", at, err)
	}
	return at
}

// checkOne checks an entry by itself and in its places.
func (r *Checkup) checkOne(t *tx, seq uint64, line []byte) {
	e := t.decode(seq, line)
	if e.Garbled() {
		r.fault("entry %d: what it says cannot be read as %q", seq, e.Kind)
	}
	hashes, err := tlog.StoredHashes(int64(seq)-1, line, t)
	if err != nil {
		r.damage("entry %d has no place in the tree: %v", seq, err)
	}
	first := uint64(tlog.StoredHashIndex(0, int64(seq)-1))
	for i, want := range hashes {
		if has, ok := t.hash.get(key64(first + uint64(i))); !ok || string(has) != string(want[:]) {
			r.fault("entry %d is not the one that was hashed", seq)
			break
		}
	}
	p := r.index.At(e.Site)
	if p == nil || seq < p.Opened.Seq {
		if e.N != 0 {
			r.fault("entry %d says that it is entry %d of its site, which was not open", seq, e.N)
		}
		return
	}
	if has, ok := t.within.get(withinKey(p.UID, e.N)); !ok || len(has) != 8 || num64(has) != seq {
		r.fault("entry %d says that it is entry %d of its site, and does not stand there in the index", seq, e.N)
	}
}
