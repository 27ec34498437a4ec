package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"unsafe"

	bolt "go.etcd.io/bbolt"
)

// A mapSource is the file as bbolt has mapped it: what it will read itself. It is
// asked for anew each time, since the map moves when the file grows.
type mapSource struct {
	db    *bolt.DB
	pages uint64
}

func (m mapSource) run(id, pages uint64) ([]byte, error) {
	if id >= m.pages || pages > m.pages-id {
		return nil, fmt.Errorf("lies outside the file")
	}
	info := m.db.Info()
	start := *(*unsafe.Pointer)(unsafe.Pointer(&info.Data)) // no memory of Go's, so nothing moves it
	return unsafe.Slice((*byte)(unsafe.Add(start, id*pageSize)), pages*pageSize), nil
}

// A way leads down to the leaves of a tree. Whatever page bbolt will go by next is
// checked first, once in a transaction; so a wrong bit is found that bbolt would
// follow into a circle, and one that hides a value.
type way struct {
	src  mapSource
	path string
	root uint64 // 0: a small bucket, which lies in a leaf that was checked
	top  bool
	seen map[uint64]bool // by this transaction
	// The leaf that was checked last holds the keys from the first up to, but not
	// with, next. Nil: there is no end on that side.
	any               bool
	first, last, next []byte
}

// touch checks the leaf that a key leads to, and the next one too where the key
// would stand behind the last: it must not stand there.
func (w *way) touch(key []byte) error {
	if w == nil || w.root == 0 {
		return nil
	}
	if !w.any || bytes.Compare(key, w.first) < 0 || w.next != nil && bytes.Compare(key, w.next) >= 0 {
		if err := w.down(func(page []byte) int { return search(page, key) }); err != nil {
			return err
		}
	}
	if bytes.Compare(key, w.last) > 0 {
		return w.on()
	}
	return nil
}

// pass checks the next leaf before a cursor goes there from a key.
func (w *way) pass(key []byte) error {
	if w == nil || !w.any || bytes.Compare(key, w.last) < 0 {
		return nil
	}
	return w.on()
}

func (w *way) on() error {
	next := w.next
	if next == nil {
		return nil
	}
	return w.down(func(page []byte) int { return search(page, next) })
}

// toEnd checks the last leaf.
func (w *way) toEnd() error {
	if w == nil || w.root == 0 {
		return nil
	}
	return w.down(func(page []byte) int { return int(binary.NativeEndian.Uint16(page[10:])) - 1 })
}

// down goes to a leaf by the elements that choose names, and checks each page on
// the way.
func (w *way) down(choose func(page []byte) int) error {
	id, sep, lowest := w.root, []byte(nil), true
	w.any, w.next = false, nil
	for range mostDeep {
		page, err := w.page(id, sep)
		if err != nil {
			return damaged(w.path, fmt.Sprintf("page %d: %v", id, err))
		}
		num := binary.NativeEndian
		count := int(num.Uint16(page[10:]))
		if num.Uint16(page[8:]) == pageLeaf {
			w.any, w.first, w.last = true, nil, nil
			if !lowest {
				w.first = bytes.Clone(sep)
			}
			if count > 0 {
				w.last = bytes.Clone(keyOf(page, count-1))
			}
			return nil
		}
		i := choose(page)
		lowest = lowest && i == 0
		if i+1 < count {
			w.next = bytes.Clone(keyOf(page, i+1))
		}
		id, sep = num.Uint64(page[pageHeader+i*elementSize+8:]), keyOf(page, i)
	}
	return damaged(w.path, fmt.Sprintf("page %d: leads down more than %d pages", w.root, mostDeep))
}

// page is a page with those it runs on into, checked.
func (w *way) page(id uint64, first []byte) ([]byte, error) {
	if id < 2 {
		return nil, fmt.Errorf("lies outside the file")
	}
	page, err := w.src.run(id, 1)
	if err != nil {
		return nil, err
	}
	num := binary.NativeEndian
	if own := num.Uint64(page); own != id {
		return nil, fmt.Errorf("says that it is page %d", own)
	}
	if more := uint64(num.Uint32(page[12:])); more > 0 {
		if more > mostRun {
			return nil, fmt.Errorf("runs on for more pages than any")
		}
		if page, err = w.src.run(id, more+1); err != nil {
			return nil, fmt.Errorf("runs on past the end of the file")
		}
	}
	if w.seen[id] {
		return page, nil
	}
	if flags := num.Uint16(page[8:]); flags != pageBranch && flags != pageLeaf {
		return nil, fmt.Errorf("is of no known sort (%#x)", flags)
	}
	if err := layout(page, w.top, first); err != nil {
		return nil, err
	}
	w.seen[id] = true
	return page, nil
}

// search is the element of a branch that a key lies under, as bbolt finds it.
func search(page, key []byte) int {
	low, high := 0, int(binary.NativeEndian.Uint16(page[10:]))
	for low < high {
		if mid := (low + high) / 2; bytes.Compare(keyOf(page, mid), key) <= 0 {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return max(0, low-1)
}

// ways gives each tree of a transaction its way.
type ways struct {
	src  mapSource
	path string
	seen map[uint64]bool
}

// waysOf is nil for a copy: it was walked through as a whole before.
func waysOf(s *session, raw *bolt.Tx) *ways {
	if s.file != s.path || s.db == nil {
		return nil
	}
	return &ways{mapSource{s.db, uint64(raw.Size()) / pageSize}, s.path, map[uint64]bool{}}
}

func (w *ways) to(b *bolt.Bucket, top bool) *way {
	if w == nil {
		return nil
	}
	return &way{src: w.src, path: w.path, root: uint64(b.Root()), top: top, seen: w.seen}
}

// A walked is the state of a file whose branches and free pages were walked
// through: what its newest head says, and a checksum of the list of free pages.
// While that is so only its own program wrote to it since.
type walked struct {
	head head
	free uint32
}

// walk makes sure that the file can be written to, unless that was seen already.
func (s *session) walk(was walked) error {
	h, src, err := s.newest()
	if err != nil {
		return err
	}
	if was.head == h && was.free == freeSum(src, h) {
		return nil
	}
	return checkForWriting(fileSource{s.f}, s.path, h, false) // reading costs less than to map what bbolt may never want
}

// asLeft is the state in which a session that went well leaves the file.
func (s *session) asLeft() walked {
	h, src, err := s.newest()
	if err != nil {
		return walked{}
	}
	return walked{h, freeSum(src, h)}
}

// newest is the head that bbolt goes by.
func (s *session) newest() (head, mapSource, error) {
	src := mapSource{s.db, 2}
	data, err := src.run(0, 2)
	if err != nil {
		return head{}, src, err
	}
	h := newest(bytes.NewReader(data))
	src.pages = h.pages
	return h, src, nil
}

// freeSum is the checksum of the page on which the list of free pages begins. A
// longer one was read by bbolt, and is compared by its start only.
func freeSum(src mapSource, h head) uint32 {
	page, err := src.run(h.free, 1)
	if err != nil {
		return 0
	}
	return crc32.Checksum(page, castagnoli)
}

// writing runs f on a file that can be written to, and remembers how it was left.
func (l *Log) writing(s *session, f func(*session) error) error {
	if err := l.halt.by(pagesDamaged); err != nil {
		return err
	}
	if err := s.walk(l.walked); err != nil {
		return err
	}
	l.walked = s.asLeft()
	err := f(s)
	l.say(s.said...)
	if err == nil {
		l.walked = s.asLeft()
	}
	return err // if something was written all the same the head is another
}
