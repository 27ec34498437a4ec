package store

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	bolt "go.etcd.io/bbolt"

	"coolhold/logbook"
)

// faults are what a check finds, in words.
func faults(t testing.TB, path string, deep bool) (out []string) {
	t.Helper()
	r, err := Verify(bg, path, deep)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Faults {
		out = append(out, f.What)
	}
	return out
}

// A body of a kind that is known must be read as what it says it is. Of what a
// newer coolhold wrote nobody here can tell.
func TestVerifyBodies(t *testing.T) {
	for fields, want := range map[string]string{
		`"kind":"note","v":1,"body":{"text":5}`:          `entry 25: what it says cannot be read as "note"`,
		`"kind":"note","v":1,"body":"x"`:                 `entry 25: what it says cannot be read as "note"`,
		`"kind":"released","v":1,"body":{"stated":"no"}`: `entry 25: what it says cannot be read as "released"`,
		`"kind":"note","v":2,"body":{"text":5}`:          "",
		`"kind":"from later","v":1,"body":{"text":5}`:    "",
		`"kind":"note","v":1,"body":{"from later":5}`:    "",
	} {
		day := aDay(t)
		l := day.at(clone(t, day.path))
		foreign(t, l, `"site":"meadow",`+fields)
		got := faults(t, l.path, true)
		if strings.Join(got, "; ") != want {
			t.Errorf("%s: %q, want %q", fields, got, want)
		}
		if plain := faults(t, l.path, false); len(plain) > 0 {
			t.Errorf("%s: the plain check says %q", fields, plain)
		}
	}
}

// A site whose records cannot be made is named; the others are looked at all the
// same.
func TestVerifySiteThatCannotBeFolded(t *testing.T) {
	l := aDay(t)
	for _, site := range []string{"dale", "moor"} {
		add(t, l, logbook.Draft{ID: site, At: stamp(0), Site: site, Body: logbook.SiteOpened{Name: site}})
	}
	was := fold
	defer func() { fold = was }()
	folded := map[string]int{}
	fold = func(b *logbook.Book, e logbook.Entry) {
		folded[e.Site]++
		if e.Site == "meadow" && e.N == 3 || e.Site == "dale" {
			panic("no such word")
		}
		was(b, e)
	}
	want := []string{"the records of site meadow cannot be made: no such word", "the records of site dale cannot be made: no such word"}
	if got := faults(t, l.path, true); !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
	if folded["hill"] != 1 || folded["moor"] != 1 || folded["meadow"] != 3 {
		t.Errorf("folded %v", folded)
	}
	if got := faults(t, l.path, false); len(got) > 0 {
		t.Errorf("the plain check folds too: %q", got)
	}
}

// Each entry says which of its site's it is; one that says otherwise, with its
// checksum and hash made to fit, is found by the plain check.
func TestVerifyNumbersWithinSites(t *testing.T) {
	l := aDay(t)
	many := len(storedLines(t, l.path))
	for name, c := range map[string]struct {
		at       int
		old, new string
		want     string
	}{
		"too high":         {3, `"n":2,`, `"n":3,`, "entry 3 says that it is entry 3 of its site, it is entry 2"},
		"too low":          {5, `"n":4,`, `"n":3,`, "entry 5 says that it is entry 3 of its site, it is entry 4"},
		"none":             {2, `"n":1,`, ``, "entry 2 says that it is entry 0 of its site, it is entry 1"},
		"of another site":  {4, `"site":"meadow"`, `"site":"hill"`, "entry 4 says that it is entry 3 of its site, it is entry 2"},
		"of no site at al": {4, `"site":"meadow"`, `"site":"dale"`, "entry 4 says that it is entry 3 of its site, it is entry 0"},
	} {
		got := rehashed(t, l, func(seq int, line string) string {
			if seq == c.at {
				line = strings.Replace(line, c.old, c.new, 1)
			}
			return line
		})
		if len(got) == 0 || got[0] != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
	if got := rehashed(t, l, func(_ int, line string) string { return line }); len(got) > 0 {
		t.Errorf("nothing changed: %q", got)
	}
	// An entry that was left out of its site's leaves a gap, whoever numbers the
	// log anew: from there on each is found.
	got := rehashed(t, l, func(seq int, line string) string {
		if seq == 4 {
			return ""
		}
		return line
	})
	if len(got) != many-4 || got[0] != "entry 4 says that it is entry 4 of its site, it is entry 3" {
		t.Errorf("left out: %d of %d, %q", len(got), many-4, got)
	}
}

// rehashed are the faults that the plain check finds in a log whose lines were
// changed, and numbered and hashed anew, in words.
func rehashed(t *testing.T, l *Log, change func(seq int, line string) string) []string {
	t.Helper()
	to := clone(t, l.path)
	lines := storedLines(t, to)
	raw(t, to, func(b *bolt.Tx) error {
		for _, name := range []string{"entry", "hash"} {
			if err := b.DeleteBucket([]byte(name)); err != nil {
				return err
			}
			if _, err := b.CreateBucket([]byte(name)); err != nil {
				return err
			}
		}
		tx := newTx(&session{path: to}, b)
		tx.bind()
		seq := 0
		for i, line := range lines {
			text := change(i+1, string(line))
			if text == "" {
				continue
			}
			seq++
			_, rest, _ := strings.Cut(text, ",")
			text = fmt.Sprintf(`{"seq":%d,%s`, seq, rest)
			tx.entry.put(key64(uint64(seq)), []byte(text))
			tx.addHashes(uint64(seq), []byte(text))
		}
		return nil
	})
	var out []string
	for _, f := range faults(t, to, false) {
		if !strings.Contains(f, "journal") {
			out = append(out, f)
		}
	}
	return out
}

// The list of welds that may run may name too many, as a program of fewer kinds
// makes it, and where an entry is not understood also fewer; else none may miss.
func TestVerifyRunList(t *testing.T) {
	for name, c := range map[string]struct {
		run    []string
		newer  bool
		faults int
	}{
		"as the entries make it": {[]string{"KM-0001", "KM-0002", "KM-0003"}, false, 0},
		"one too many":           {[]string{"KM-0001", "KM-0004", "KM-0002", "KM-0003"}, false, 0},
		"one too few":            {[]string{"KM-0001", "KM-0003"}, false, 1},
		"another":                {[]string{"KM-0001", "KM-0003", "KM-0004"}, false, 1},
		"none":                   {nil, false, 1},
		"without one of a newer": {[]string{"KM-0001", "KM-0002", "KM-0003"}, true, 0},
		"with it":                {[]string{"KM-0001", "KM-0002", "KM-0003", "KM-0005"}, true, 0},
	} {
		day := aDay(t)
		l := day.at(clone(t, day.path))
		if c.newer {
			foreign(t, l, `"site":"meadow","weld":"KM-0005","kind":"from later","v":1,"body":{}`)
		}
		raw(t, l.path, func(b *bolt.Tx) error {
			tx := newTx(&session{path: l.path}, b)
			tx.bind()
			p := *index(t, l, tx).At("meadow")
			p.Run = c.run
			row, _ := json.Marshal(p)
			tx.site.put([]byte(p.UID), row)
			return nil
		})
		if got := faults(t, l.path, true); len(got) != c.faults {
			t.Errorf("%s: %q", name, got)
		}
	}
}
