package store

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	bolt "go.etcd.io/bbolt"
	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
)

func trusts(logbook.Sealed) error { return nil }

// What came since the last seal is checked and says the same as a check of the whole;
// where there is no seal that is known nothing is.
func TestCheckSince(t *testing.T) {
	l := aSealedHour(t)
	for i := range 3 {
		if i > 0 {
			add(t, l, draft(fmt.Sprint("note ", i), logbook.Note{Text: "after the last seal"}))
		}
		whole := holds(t, l.path)
		r, since, err := CheckSince(bg, l.path, trusts)
		if err != nil || since != whole.Seals[1].Seq || len(r.Faults) > 0 {
			t.Fatalf("since entry %d: %v (%v)", since, r.Faults, err)
		}
		if r.ID != whole.ID || r.Tag != whole.Tag || r.Entries != whole.Entries || r.Root != whole.Root || !r.Deep {
			t.Errorf("%s %s %d %s; the whole is %s %s %d %s", r.ID, r.Tag, r.Entries, r.Root, whole.ID, whole.Tag, whole.Entries, whole.Root)
		}
		if got, want := *r.Place("meadow"), *whole.Place("meadow"); got.UID != want.UID || got.Entries != want.Entries {
			t.Errorf("the site is %+v, should be %+v", got, want)
		}
	}
	strange := errors.New("another's key")
	if _, since, err := CheckSince(bg, l.path, func(logbook.Sealed) error { return strange }); since != 0 || err != nil {
		t.Errorf("by a seal that is not known: since %d (%v)", since, err)
	}
	if _, since, err := CheckSince(bg, aDay(t).path, trusts); since != 0 || err != nil {
		t.Errorf("never sealed: since %d (%v)", since, err)
	}
}

// What does not hold since the last seal is found, whatever checksums were made to fit.
func TestCheckSinceFinds(t *testing.T) {
	l := aSealedHour(t)
	add(t, l, draft("last", logbook.Note{Text: "after the last seal"}), draft("very last", logbook.Note{Text: "and more"}))
	lines := storedLines(t, l.path)
	n := uint64(len(lines))
	all := holds(t, l.path)
	seal, site := all.Seals[1], all.Place("meadow")
	other := strings.Replace(string(lines[n-2]), "after the", "afore the", 1)
	garbled := strings.Replace(string(lines[n-2]), `"text":"`, `"text":7,"x":"`, 1)
	elsewhere := strings.Replace(string(lines[n-2]), fmt.Sprintf(`"n":%d`, site.Entries-1), `"n":3`, 1)
	edge := uint64(tlog.StoredHashIndex(0, seal.Sealed.Entries-1)) // the last leaf that was sealed
	for what, c := range map[string]struct {
		bucket, key string
		payload     []byte
		want        string
	}{
		"another line":                {"entry", string(key64(n - 1)), []byte(other), "is not the one that was hashed"},
		"a body that cannot be read":  {"entry", string(key64(n - 1)), []byte(garbled), "cannot be read as"},
		"another number":              {"entry", string(key64(n - 1)), []byte(elsewhere), "entry 3 of its site, and does not stand there"},
		"another leaf":                {"hash", string(key64(uint64(tlog.StoredHashIndex(0, int64(n)-2)))), make([]byte, tlog.HashSize), "is not the one that was hashed"},
		"a tree that was not sealed":  {"hash", string(key64(edge)), make([]byte, tlog.HashSize), fmt.Sprintf("the seal in entry %d does not hold", seal.Seq)},
		"an index that says another":  {"within", string(withinKey(site.UID, site.Entries)), key64(3), "does not stand there in the index"},
		"the seal's line says others": {"entry", string(key64(seal.Seq)), []byte(strings.Replace(string(lines[seal.Seq-1]), `"entries":`, `"entries":1`, 1)), "does not hold"},
	} {
		to := clone(t, l.path)
		raw(t, to, func(b *bolt.Tx) error { return store(b, c.bucket, c.key, c.payload) })
		os.Remove(to + ".journal")
		r, since, err := CheckSince(bg, to, trusts)
		if err != nil || since == 0 || !slices.ContainsFunc(r.Faults, func(f Fault) bool { return strings.Contains(f.What, c.want) }) {
			t.Errorf("%s: since %d, %v (%v); want %q", what, since, r.Faults, err, c.want)
		}
	}
}

// What a seal costs is what came since the last: of a long log only that is read.
func TestCheckSinceReadsWhatCame(t *testing.T) {
	l := fresh(t)
	add(t, l, draft("open", logbook.SiteOpened{UID: uids["meadow"], Name: "Invented meadow"}))
	if _, err := l.Append(bg, saves("many", 3000)); err != nil {
		t.Fatal(err)
	}
	sealNow(t, l, "seal")
	add(t, l, draft("after", logbook.Note{Text: "after"}))
	at, err := whereItLies(bg, l.path)
	if err != nil {
		t.Fatal(err)
	}
	r, since, err := at.checkSince(bg, trusts)
	if err != nil || since != 3002 || len(r.Faults) > 0 || at.checked != 2 {
		t.Errorf("since %d, %v (%v): %d entries were checked, want 2", since, r.Faults, err, at.checked)
	}
}
