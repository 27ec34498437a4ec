package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
)

// A page is named by what the walk finds in it.
type found struct {
	branch, leaf, long int // a branch page, a leaf under it, a page that runs on
}

// tree is the used part of a log that is large enough to have branch pages and
// an entry longer than a page.
func tree(t *testing.T) (data []byte, f found) {
	t.Helper()
	l := benchLog(t)
	if _, err := l.Append(bg, saves("long "+strings.Repeat("n", pageSize), 1)); err != nil {
		t.Fatal(err)
	}
	data = spoil(t, l.path)
	h := newest(bytes.NewReader(data))
	data = data[:h.pages*pageSize]
	w, err := walk(fileSource{bytes.NewReader(data)}, "x", h, true)
	if err != nil {
		t.Fatal(err)
	}
	num := binary.NativeEndian
	for id, seen := range w.seen {
		if seen != pageTaken {
			continue
		}
		at := int(id) * pageSize
		switch {
		case num.Uint16(data[at+8:]) == pageBranch:
			leaf := int(num.Uint64(data[at+pageHeader+2*elementSize+8:])) * pageSize // not the first, by which it is told how deep they lie
			if num.Uint16(data[leaf+8:]) == pageLeaf && num.Uint32(data[at+pageHeader+4:]) == 8 && num.Uint32(data[leaf+pageHeader+12:]) > 100 {
				f.branch, f.leaf = at, leaf // of the entries
			}
		case num.Uint32(data[at+12:]) > 0:
			f.long = at
		}
	}
	if f.branch == 0 || f.long == 0 {
		t.Fatalf("the tree has not all sorts of pages: %+v", f)
	}
	return data, f
}

// bbolt would run in a circle or read past the end of its map on most of these.
func TestPages(t *testing.T) {
	data, f := tree(t)
	num := binary.NativeEndian
	if err := checkPages(bytes.NewReader(data), "x"); err != nil {
		t.Fatal(err)
	}
	path := clone(t, benchLog(t).path)
	for _, c := range []struct {
		name   string
		do     func(d []byte)
		want   string
		before string // what is found though no leaf is read; "": nothing, it waits for the leaf
	}{
		{"a branch leads back to itself", func(d []byte) { num.PutUint64(d[f.branch+pageHeader+8:], uint64(f.branch/pageSize)) }, "leads down more than 16 pages", "leads down more than 16 pages"},
		{"a later element leads back", func(d []byte) {
			num.PutUint64(d[f.branch+pageHeader+elementSize+8:], uint64(f.branch/pageSize))
		}, "is used twice", "is used twice"},
		{"two branches lead to one page", func(d []byte) { num.PutUint64(d[f.branch+2*pageHeader+8:], uint64(f.leaf/pageSize)) }, "page ", "is used twice"},
		{"a branch leads to a head", func(d []byte) { num.PutUint64(d[f.branch+2*pageHeader+8:], 1) }, "page 1: lies outside", "page 1: lies outside"},
		{"a branch leads out of the file", func(d []byte) { num.PutUint64(d[f.branch+pageHeader+8:], 1<<40) }, "lies outside the file", "lies outside the file"},
		{"a branch without elements", func(d []byte) { num.PutUint16(d[f.branch+10:], 0) }, "page ", "page "},
		{"a branch with a long key", func(d []byte) { num.PutUint32(d[f.branch+pageHeader+4:], 1<<31) }, "a key runs out of it", "a key runs out of it"},
		{"a branch with a key elsewhere", func(d []byte) { d[f.branch+pageHeader] ^= 8 }, "a key is not where it has to be", "a key is not where it has to be"},
		{"a branch with a higher key", func(d []byte) {
			d[f.branch+2*elementSize+pageHeader+int(num.Uint32(d[f.branch+pageHeader+2*elementSize:]))+7]++
		}, "begins with another key", ""},
		{"a page with another number", func(d []byte) { num.PutUint64(d[f.leaf:], uint64(f.leaf/pageSize+1)) }, "says that it is page ", ""},
		{"a page of another sort", func(d []byte) { num.PutUint16(d[f.leaf+8:], 16) }, "is of no known sort (0x10)", ""},
		{"a leaf that calls itself a branch", func(d []byte) { num.PutUint16(d[f.leaf+8:], pageBranch) }, "is a leaf where none can be", ""},
		{"a page with too many elements", func(d []byte) { num.PutUint16(d[f.leaf+10:], 65535) }, "cannot hold 65535", ""},
		{"a page with an element less", func(d []byte) { num.PutUint16(d[f.leaf+10:], num.Uint16(d[f.leaf+10:])-1) }, "a value is not where it has to be", ""},
		{"a value that is too long", func(d []byte) { num.PutUint32(d[f.leaf+pageHeader+12:], 1<<31) }, "a value runs out of it", ""},
		{"a value of another sort", func(d []byte) { num.PutUint32(d[f.leaf+pageHeader:], 2) }, "a value is of no known sort (0x2)", ""},
		{"a bucket in a bucket", func(d []byte) { num.PutUint32(d[f.leaf+pageHeader:], leafBucket) }, "a part lies within a part", ""},
		{"keys out of order", func(d []byte) {
			d[f.leaf+pageHeader+elementSize+int(num.Uint32(d[f.leaf+pageHeader+elementSize+4:]))+6] ^= 0x80
		}, "keys are out of order", ""},
		{"a page that runs on for ever", func(d []byte) { num.PutUint32(d[f.leaf+12:], 1<<31) }, "runs on past the end", ""},
		{"a page that runs on into another", func(d []byte) { num.PutUint32(d[f.branch+12:], uint32(len(d)-f.branch)/pageSize-1) }, "is used twice", "is used twice"},
		{"a page that runs on less far", func(d []byte) { num.PutUint32(d[f.long+12:], num.Uint32(d[f.long+12:])-1) }, "a value runs out of it", "is neither used nor free"},
	} {
		t.Run(c.name, func(t *testing.T) {
			bad := bytes.Clone(data)
			c.do(bad)
			r := bytes.NewReader(bad)
			if err := checkPages(r, "x"); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
			err := checkForWriting(fileSource{r}, "x", newest(r), false)
			if c.before == "" && err != nil || c.before != "" && (!errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), c.before)) {
				t.Errorf("without the leaves: %v, want %q", err, c.before)
			}
			rewrite(t, path, bad)
			if _, err := ReadAll(bg, path); !errors.Is(err, ErrDamaged) {
				t.Errorf("read: %v", err)
			}
			touched(t, path, err != nil)
		})
	}
}

// touched opens a damaged log and goes through all of it in place: nothing of it is
// taken for granted, before or at the page that is damaged.
func touched(t *testing.T, path string, atOnce bool) {
	t.Helper()
	l, err := Open(path)
	if atOnce {
		if !errors.Is(err, ErrDamaged) {
			t.Errorf("opened: %v", err)
		}
		return
	}
	if err == nil {
		_, err = l.Book(bg, "meadow")
	}
	if !errors.Is(err, ErrDamaged) {
		t.Errorf("every leaf was touched: %v", err)
	}
}

// In a bucket that lies within a leaf the same holds.
func TestInnerBucket(t *testing.T) {
	num := binary.NativeEndian
	leaf := func(bucket []byte) []byte {
		page := make([]byte, pageHeader+elementSize)
		num.PutUint16(page[8:], pageLeaf)
		num.PutUint16(page[10:], 1)
		num.PutUint32(page[pageHeader:], leafBucket)
		num.PutUint32(page[pageHeader+4:], elementSize)
		num.PutUint32(page[pageHeader+8:], 1)
		num.PutUint32(page[pageHeader+12:], uint32(len(bucket)))
		return append(append(page, 'k'), bucket...)
	}
	inner := make([]byte, bucketHead+pageHeader)
	num.PutUint16(inner[bucketHead+8:], pageLeaf)
	full := bytes.Clone(inner)
	num.PutUint16(full[bucketHead+10:], 3)
	for want, bucket := range map[string][]byte{
		"<nil>":                  inner,
		"cannot hold 3 elements": full,
		"a bucket has no page":   inner[:bucketHead+4],
		"a bucket has no head":   inner[:4],
	} {
		if err := layout(leaf(bucket), true, nil); fmt.Sprint(err) != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
	if err := layout(leaf(inner), false, nil); fmt.Sprint(err) != "a part lies within a part, which no log has" {
		t.Errorf("a bucket in a bucket: %v", err)
	}
}

// What the pages say must fit together in full for Verify, though every value
// can be read.
func TestPagesInFull(t *testing.T) {
	data, f := tree(t)
	t.Run("free pages", func(t *testing.T) { freePages(t, bytes.Clone(data), f) })
	t.Run("keys on the way", func(t *testing.T) { keysOnTheWay(t, bytes.Clone(data), f) })
	t.Run("a value twice", func(t *testing.T) { valueTwice(t, bytes.Clone(data), f) })
}

// Every bit of the list of free pages counts: a page that is listed and used
// would be written over, one that is neither was lost.
func freePages(t *testing.T, data []byte, f found) {
	num := binary.NativeEndian
	at := int(newest(bytes.NewReader(data)).free) * pageSize
	count := int(num.Uint16(data[at+10:]))
	if count < 2 {
		t.Fatalf("%d free pages are too few to try", count)
	}
	check := func() error { return checkAllPages(bytes.NewReader(data), "x") }
	if err := check(); err != nil {
		t.Fatal(err)
	}
	for i := at; i < at+pageHeader+8*count; i++ {
		for bit := range 8 {
			data[i] ^= 1 << bit
			err := check()
			if sort := i-at == 8 || i-at == 9; !errors.Is(err, ErrDamaged) || sort && !strings.Contains(err.Error(), "the list of free pages: is of no known sort") {
				t.Errorf("byte %d, bit %d: %v", i-at, bit, err)
			}
			data[i] ^= 1 << bit
		}
	}
	num.PutUint16(data[at+10:], uint16(count+1))
	num.PutUint64(data[at+pageHeader+8*count:], uint64(f.leaf/pageSize))
	if err := check(); !errors.Is(err, ErrDamaged) {
		t.Errorf("a page that is used and free: %v", err)
	}
	num.PutUint16(data[at+10:], manyFree)
	copy(data[at+pageHeader+8:], bytes.Clone(data[at+pageHeader:at+pageHeader+8*count]))
	num.PutUint64(data[at+pageHeader:], uint64(count))
	if err := check(); err != nil {
		t.Errorf("a number that stands before the pages: %v", err)
	}
	num.PutUint64(data[at+pageHeader:], 1<<40)
	if err := check(); !errors.Is(err, ErrDamaged) {
		t.Errorf("a number that is too large: %v", err)
	}
}

// A wrong key on the way down hides values from whoever asks for them by key,
// not from whoever goes through them all: Verify does both.
func keysOnTheWay(t *testing.T, data []byte, f found) {
	num := binary.NativeEndian
	second := f.branch + pageHeader + elementSize
	key := second + int(num.Uint32(data[second:]))
	data[key] ^= 0x80 // of a number of eight bytes
	path := filepath.Join(t.TempDir(), "x.log")
	rewrite(t, path, data)
	if _, err := ReadAll(bg, path); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "its keys are out of order") {
		t.Errorf("read in order: %v", err)
	}
	wants(t, path, "is not found by its key")
}

// An element that leads to the key and value of its neighbour is sound in itself.
func valueTwice(t *testing.T, data []byte, f found) {
	num := binary.NativeEndian
	one, two := data[f.leaf+pageHeader:], data[f.leaf+pageHeader+elementSize:]
	copy(two[:elementSize], one[:elementSize])
	num.PutUint32(two[4:], num.Uint32(one[4:])-elementSize)
	path := filepath.Join(t.TempDir(), "x.log")
	rewrite(t, path, data)
	wants(t, path, "stands out of order")
}

// wants makes sure that the first fault is that one where no page was looked at
// before, as in a copy that is brought to another format.
func wants(t *testing.T, path, want string) {
	t.Helper()
	r, err := verifyCopy(path, "x", checking{format: firstFormat})
	if err != nil || len(r.Faults) == 0 || !strings.Contains(r.Faults[0].What, want) {
		t.Errorf("%d faults, %v, want %q", len(r.Faults), err, want)
	}
}

// A wrong key on the way down would hide a value: it is not said to be missing.
func TestNothingIsHidden(t *testing.T) {
	data, f := tree(t)
	num := binary.NativeEndian
	e := f.branch + pageHeader + 2*elementSize
	at := e + int(num.Uint32(data[e:]))
	key := bytes.Clone(data[at : at+8])
	data[at+7]++ // the leaf seems to begin with the next one
	path := filepath.Join(t.TempDir(), "x.log")
	rewrite(t, path, data)
	s := &session{file: path, path: path}
	err := s.with(bg, false, func() error {
		return s.transact(false, func(t *tx) error {
			t.bind()
			t.entry.get(key)
			return nil
		})
	})
	if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "begins with another key") {
		t.Errorf("got %v", err)
	}
}
