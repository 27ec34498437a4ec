package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
)

// The parts of a bbolt page that this check needs; numbers are in the byte
// order of the machine.
const (
	pageBranch  = 1
	pageLeaf    = 2
	pageFree    = 0x10
	manyFree    = 0xFFFF
	elementSize = 16 // of branch and leaf pages alike
	leafBucket  = 1  // flag of a leaf element that holds a bucket
	bucketHead  = 16
)

// What no log comes near: a log of a million welds has a twentieth of it. A file
// that says more is refused before anything is done by what it says, so that each
// is judged in little time and memory.
const (
	mostPages    = 1 << 22 // 16 GiB
	mostFree     = 1 << 20 // pages in the list of free ones
	mostBranches = 1 << 16
	mostRun      = 1 << 14 // pages that one runs on into: 64 MiB
	mostDeep     = 16      // pages on the way to a leaf
	mostParts    = 64      // buckets at the top
)

// A source gives some pages that follow each other. What it gives is only read.
type source interface {
	run(id, pages uint64) ([]byte, error)
}

// A fileSource reads pages of a file that nobody writes.
type fileSource struct{ io.ReaderAt }

func (f fileSource) run(id, pages uint64) ([]byte, error) {
	data := make([]byte, pages*pageSize)
	_, err := f.ReadAt(data, int64(id)*pageSize)
	return data, err
}

// What a walker knows of a page.
const (
	pageUnseen = iota
	pageTaken  // a branch or a leaf leads there, and it was read
	pageNamed  // the same, and it was not read
	pageMore   // another runs on into it
	pageIsFree
)

// A walker goes through the pages of a file. bbolt follows whatever a page says: a
// single wrong bit can send it round in a circle for ever or until the stack ends,
// and neither can be caught. So they are walked through before bbolt goes by them.
type walker struct {
	src      source
	head     head
	seen     []byte // by page
	todo     []place
	leaves   bool // those of the buckets are read too
	branches int
	parts    int
}

// A place is a page that is to be visited.
type place struct {
	id    uint64
	key   []byte // its first one, by what leads there; nil at the top of a tree
	above int    // pages between it and its leaves; 0: it is one
	top   bool   // it is of the tree that holds the buckets
}

// checkPages makes sure that every page is what it is taken for, lies in the
// file, is used once and holds its elements.
func checkPages(r io.ReaderAt, path string) error {
	_, err := walk(fileSource{r}, path, newest(r), true)
	return err
}

// checkAllPages makes sure too that every page is either used or listed as free,
// once: a page that is both would be written over by a later save.
func checkAllPages(r io.ReaderAt, path string) error {
	return checkForWriting(fileSource{r}, path, newest(r), true)
}

// checkForWriting is checkAllPages; without leaves those of the buckets are taken
// on trust, but for where they end: each is read when it is touched.
func checkForWriting(src source, path string, h head, leaves bool) error {
	w, err := walk(src, path, h, leaves)
	if err != nil {
		return err
	}
	if err := w.free(h.free); err != nil {
		return damaged(path, fmt.Sprintf("page %d, the list of free pages: %v", h.free, err))
	}
	if id, err := w.ends(); err != nil {
		return damaged(path, fmt.Sprintf("page %d: %v", id, err))
	}
	for id, seen := range w.seen {
		if id > 1 && seen == pageUnseen {
			return damaged(path, fmt.Sprintf("page %d is neither used nor free", id))
		}
	}
	return nil
}

func walk(src source, path string, h head, leaves bool) (*walker, error) {
	if h.pages > mostPages {
		return nil, tooLong(path, h.pages)
	}
	w := &walker{src: src, head: h, seen: make([]byte, h.pages), leaves: leaves}
	id, err := h.root, w.tree(h.root, true)
	for err == nil && len(w.todo) > 0 {
		at := w.todo[len(w.todo)-1]
		w.todo = w.todo[:len(w.todo)-1]
		id, err = at.id, w.visit(at)
	}
	if err != nil {
		return nil, damaged(path, fmt.Sprintf("page %d: %v", id, err))
	}
	return w, nil
}

func tooLong(path string, pages uint64) error {
	return damaged(path, fmt.Sprintf("it is %d pages long, which no log is", pages))
}

// tree puts the root of a tree among what is to be visited. All its leaves lie
// equally deep, so that the way to the first tells where to expect one.
func (w *walker) tree(root uint64, top bool) error {
	id := root
	for above := 0; above < mostDeep; above++ {
		page, err := w.page(id)
		if err != nil {
			return err
		}
		if num := binary.NativeEndian; num.Uint16(page[8:]) != pageBranch || num.Uint16(page[10:]) == 0 {
			w.todo = append(w.todo, place{id: root, above: above, top: top})
			return nil // what is wrong with a branch of no elements is said when it is visited
		}
		id = binary.NativeEndian.Uint64(page[pageHeader+8:])
	}
	return fmt.Errorf("leads down more than %d pages", mostDeep)
}

func (w *walker) visit(at place) error {
	if at.above == 0 && !at.top && !w.leaves {
		return w.mark(at.id, pageNamed)
	}
	page, err := w.take(at.id)
	if err != nil {
		return err
	}
	if num := binary.NativeEndian; num.Uint16(page[8:]) == pageBranch && num.Uint16(page[10:]) == 0 {
		return fmt.Errorf("cannot hold 0 elements")
	}
	if err := kindOf(page, at.above); err != nil {
		return err
	}
	if at.above > 0 {
		if w.branches++; w.branches > mostBranches {
			return fmt.Errorf("there are more branches than any log has")
		}
	}
	if err := layout(page, at.top, at.key); err != nil {
		return err
	}
	return w.follow(page, at)
}

// follow puts what a page leads to among what is to be visited.
func (w *walker) follow(page []byte, at place) error {
	num := binary.NativeEndian
	for i := range int(num.Uint16(page[10:])) {
		e := page[pageHeader+i*elementSize:]
		switch {
		case at.above > 0:
			w.todo = append(w.todo, place{num.Uint64(e[8:]), keyOf(page, i), at.above - 1, at.top})
		case num.Uint32(e)&leafBucket != 0:
			if w.parts++; w.parts > mostParts {
				return fmt.Errorf("there are more parts than any log has")
			}
			if root := num.Uint64(valueOf(page, i)); root != 0 {
				if err := w.tree(root, false); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// kindOf refuses a page that is no branch, or no leaf where one has to be.
func kindOf(page []byte, above int) error {
	flags := binary.NativeEndian.Uint16(page[8:])
	if flags != pageBranch && flags != pageLeaf {
		return fmt.Errorf("is of no known sort (%#x)", flags)
	}
	if (flags == pageLeaf) != (above == 0) {
		return fmt.Errorf("is a leaf where none can be, or none where one has to be")
	}
	return nil
}

// page reads a page, and makes sure that it is the one it should be.
func (w *walker) page(id uint64) ([]byte, error) {
	if id < 2 || id >= w.head.pages {
		return nil, fmt.Errorf("lies outside the file")
	}
	page, err := w.src.run(id, 1)
	if err != nil {
		return nil, err
	}
	if own := binary.NativeEndian.Uint64(page); own != id {
		return nil, fmt.Errorf("says that it is page %d", own)
	}
	return page, nil
}

// take reads a page with those that it runs on into, and marks them as used.
func (w *walker) take(id uint64) ([]byte, error) {
	page, err := w.page(id)
	if err != nil {
		return nil, err
	}
	if err := w.mark(id, pageTaken); err != nil {
		return nil, err
	}
	more := uint64(binary.NativeEndian.Uint32(page[12:]))
	if err := w.runsOn(id, more); err != nil || more == 0 {
		return page, err
	}
	return w.src.run(id, more+1)
}

// mark marks a page as used.
func (w *walker) mark(id uint64, as byte) error {
	if id < 2 || id >= w.head.pages {
		return fmt.Errorf("lies outside the file")
	}
	if w.seen[id] != pageUnseen {
		return fmt.Errorf("is used twice")
	}
	w.seen[id] = as
	return nil
}

// runsOn marks the pages that one runs on into.
func (w *walker) runsOn(id, more uint64) error {
	if more >= w.head.pages-id {
		return fmt.Errorf("runs on past the end of the file")
	}
	for n := id + 1; n <= id+more; n++ {
		if w.seen[n] != pageUnseen {
			return fmt.Errorf("runs on into page %d, which is used twice", n)
		}
		w.seen[n] = pageMore
	}
	if more > mostRun {
		return fmt.Errorf("runs on for more pages than any")
	}
	return nil
}

// free takes the pages that the list at id names.
func (w *walker) free(id uint64) error {
	page, err := w.take(id)
	if err != nil {
		return err
	}
	at, count, err := freeCount(page, uint64(len(page)))
	if err != nil {
		return err
	}
	for ; count > 0; at, count = at+8, count-1 {
		id := binary.NativeEndian.Uint64(page[at:])
		if id < 2 || id >= w.head.pages || w.seen[id] != pageUnseen {
			return fmt.Errorf("names page %d, which is used or not there", id)
		}
		w.seen[id] = pageIsFree
	}
	return nil
}

// freeCount is how many pages a list of free pages names, which is so many bytes
// long, and where the first stands.
func freeCount(page []byte, long uint64) (at int, count uint64, err error) {
	num := binary.NativeEndian
	if flags := num.Uint16(page[8:]); flags != pageFree {
		return 0, 0, fmt.Errorf("is of no known sort (%#x)", flags)
	}
	at, count = pageHeader, uint64(num.Uint16(page[10:]))
	if count == manyFree { // then the number stands before the pages
		at, count = at+8, num.Uint64(page[at:])
	}
	if count > (long-uint64(at))/8 || count > mostFree {
		return 0, 0, fmt.Errorf("cannot hold %d pages", count)
	}
	return at, count, nil
}

// ends looks where the leaves end that were not read, if other than before the
// next page that is used: what they run on into must not be free.
func (w *walker) ends() (uint64, error) {
	for at, seen := range w.seen {
		id := uint64(at)
		if last := id+1 == w.head.pages; seen != pageNamed || !last && (w.seen[id+1] == pageTaken || w.seen[id+1] == pageNamed) {
			continue
		}
		page, err := w.page(id)
		if err == nil {
			err = kindOf(page, 0)
		}
		if err == nil {
			err = w.runsOn(id, uint64(binary.NativeEndian.Uint32(page[12:])))
		}
		if err != nil {
			return id, err
		}
	}
	return 0, nil
}

// layout holds the elements of a branch or a leaf, or of the small bucket that
// lies within a leaf in the form of one, against each other: keys and values
// stand one behind the other in the order of the keys, as bbolt writes them, and
// end where the page does. first is what the first key has to be, nil where it may
// be any. Only the tree at the top holds buckets.
func layout(page []byte, top bool, first []byte) error {
	num := binary.NativeEndian
	flags, count := num.Uint16(page[8:]), int(num.Uint16(page[10:]))
	if pageHeader+count*elementSize > len(page) || count == 0 && (flags == pageBranch || first != nil) {
		return fmt.Errorf("cannot hold %d elements", count)
	}
	end := pageHeader + count*elementSize
	var last []byte
	for i := range count {
		key, next, err := element(page, i, end, top)
		if err != nil {
			return err
		}
		if i == 0 && first != nil && !bytes.Equal(key, first) {
			return fmt.Errorf("begins with another key than what leads to it says")
		}
		if i > 0 && bytes.Compare(last, key) >= 0 {
			return fmt.Errorf("its keys are out of order")
		}
		last, end = key, next
	}
	if n := len(page) / pageSize; n > 0 && n != (end+pageSize-1)/pageSize && n != end/pageSize+1 {
		return fmt.Errorf("is %d pages long, which it does not fill", n)
	}
	return nil
}

// element checks an element whose key must stand at a place; next is where its
// value ends.
func element(page []byte, i, at int, top bool) (key []byte, next int, err error) {
	num := binary.NativeEndian
	e := pageHeader + i*elementSize
	if num.Uint16(page[8:]) == pageBranch {
		pos, size := uint64(num.Uint32(page[e:])), uint64(num.Uint32(page[e+4:]))
		switch {
		case uint64(at)+size > uint64(len(page)):
			return nil, 0, fmt.Errorf("a key runs out of it")
		case uint64(e)+pos != uint64(at) || size == 0:
			return nil, 0, fmt.Errorf("a key is not where it has to be")
		}
		next = at + int(size)
		return page[at:next], next, nil
	}
	flags, pos := num.Uint32(page[e:]), uint64(num.Uint32(page[e+4:]))
	size, value := uint64(num.Uint32(page[e+8:])), uint64(num.Uint32(page[e+12:]))
	switch {
	case uint64(at)+size+value > uint64(len(page)):
		return nil, 0, fmt.Errorf("a value runs out of it")
	case uint64(e)+pos != uint64(at) || size == 0:
		return nil, 0, fmt.Errorf("a value is not where it has to be")
	case flags > leafBucket:
		return nil, 0, fmt.Errorf("a value is of no known sort (%#x)", flags)
	}
	next = at + int(size+value)
	if flags == leafBucket {
		err = inner(page[at+int(size):next], top)
	}
	return page[at : at+int(size)], next, err
}

// inner checks what a leaf holds of a bucket.
func inner(bucket []byte, top bool) error {
	switch num := binary.NativeEndian; {
	case !top:
		return fmt.Errorf("a part lies within a part, which no log has")
	case len(bucket) < bucketHead:
		return fmt.Errorf("a bucket has no head")
	case num.Uint64(bucket) != 0:
		return nil
	case len(bucket) < bucketHead+pageHeader:
		return fmt.Errorf("a bucket has no page")
	case num.Uint16(bucket[bucketHead+8:]) != pageLeaf:
		return fmt.Errorf("a bucket holds no leaf")
	}
	return layout(bucket[bucketHead:], false, nil)
}

// keyOf is the key of an element of a page that was checked.
func keyOf(page []byte, i int) []byte {
	num := binary.NativeEndian
	at := pageHeader + i*elementSize
	pos, size := num.Uint32(page[at:]), num.Uint32(page[at+4:])
	if num.Uint16(page[8:]) == pageLeaf {
		pos, size = size, num.Uint32(page[at+8:])
	}
	at += int(pos)
	return page[at : at+int(size)]
}

// valueOf is the value of an element of a leaf that was checked.
func valueOf(page []byte, i int) []byte {
	num := binary.NativeEndian
	at := pageHeader + i*elementSize
	start := at + int(num.Uint32(page[at+4:])) + int(num.Uint32(page[at+8:]))
	return page[start : start+int(num.Uint32(page[at+12:]))]
}
