package store

import (
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

// A walker goes through the pages of a file that nobody else writes. bbolt
// follows whatever a page says: a single wrong bit can send it round in a
// circle for ever or until the stack ends, and neither can be caught. So a copy
// is walked through before bbolt reads it.
type walker struct {
	r    io.ReaderAt
	seen []bool   // by page
	todo []uint64 // pages to visit
}

// checkPages makes sure that every page is what it is taken for, lies in the
// file, is used once and holds its elements.
func checkPages(r io.ReaderAt, path string) error {
	_, err := walk(r, path, newest(r))
	return err
}

// checkAllPages makes sure too that every page is either used or listed as free,
// once: a page that is both would be written over by a later save.
func checkAllPages(r io.ReaderAt, path string) error {
	h := newest(r)
	w, err := walk(r, path, h)
	if err != nil {
		return err
	}
	if err := w.free(h.free); err != nil {
		return damaged(path, fmt.Sprintf("page %d, the list of free pages: %v", h.free, err))
	}
	for id, seen := range w.seen {
		if id > 1 && !seen {
			return damaged(path, fmt.Sprintf("page %d is neither used nor free", id))
		}
	}
	return nil
}

func walk(r io.ReaderAt, path string, h head) (*walker, error) {
	w := &walker{r: r, seen: make([]bool, h.pages), todo: []uint64{h.root}}
	for len(w.todo) > 0 {
		id := w.todo[len(w.todo)-1]
		w.todo = w.todo[:len(w.todo)-1]
		if err := w.visit(id); err != nil {
			return nil, damaged(path, fmt.Sprintf("page %d: %v", id, err))
		}
	}
	return w, nil
}

func (w *walker) visit(id uint64) error {
	page, err := w.take(id)
	if err != nil {
		return err
	}
	return w.elements(page)
}

// take reads a page with those that it runs on into, and marks them as used.
func (w *walker) take(id uint64) ([]byte, error) {
	if id < 2 || id >= uint64(len(w.seen)) {
		return nil, fmt.Errorf("lies outside the file")
	}
	page := make([]byte, pageSize)
	if _, err := w.r.ReadAt(page, int64(id)*pageSize); err != nil {
		return nil, err
	}
	num := binary.NativeEndian
	if own := num.Uint64(page); own != id {
		return nil, fmt.Errorf("says that it is page %d", own)
	}
	more := uint64(num.Uint32(page[12:]))
	if err := w.claim(id, more); err != nil {
		return nil, err
	}
	if more > 0 {
		page = make([]byte, (more+1)*pageSize)
		if _, err := w.r.ReadAt(page, int64(id)*pageSize); err != nil {
			return nil, err
		}
	}
	return page, nil
}

// free takes the pages that the list at id names.
func (w *walker) free(id uint64) error {
	page, err := w.take(id)
	if err != nil {
		return err
	}
	num := binary.NativeEndian
	if flags := num.Uint16(page[8:]); flags != pageFree {
		return fmt.Errorf("is of no known sort (%#x)", flags)
	}
	at, count := pageHeader, uint64(num.Uint16(page[10:]))
	if count == manyFree { // then the number stands before the pages
		at, count = at+8, num.Uint64(page[at:])
	}
	if count > uint64(len(page)-at)/8 {
		return fmt.Errorf("cannot hold %d pages", count)
	}
	for ; count > 0; at, count = at+8, count-1 {
		id := num.Uint64(page[at:])
		if id < 2 || id >= uint64(len(w.seen)) || w.seen[id] {
			return fmt.Errorf("names page %d, which is used or not there", id)
		}
		w.seen[id] = true
	}
	return nil
}

// claim marks a page and those it runs on into as used.
func (w *walker) claim(id, more uint64) error {
	if more >= uint64(len(w.seen))-id {
		return fmt.Errorf("runs on past the end of the file")
	}
	for n := id; n <= id+more; n++ {
		if w.seen[n] {
			return fmt.Errorf("is used twice")
		}
		w.seen[n] = true
	}
	return nil
}

// elements checks a page, or the small bucket that lies within a leaf in the
// form of one.
func (w *walker) elements(page []byte) error {
	num := binary.NativeEndian
	flags, count := num.Uint16(page[8:]), int(num.Uint16(page[10:]))
	if flags != pageBranch && flags != pageLeaf {
		return fmt.Errorf("is of no known sort (%#x)", flags)
	}
	if pageHeader+count*elementSize > len(page) || (flags == pageBranch && count == 0) {
		return fmt.Errorf("cannot hold %d elements", count)
	}
	for i := range count {
		at := pageHeader + i*elementSize
		var err error
		if flags == pageBranch {
			err = w.branch(page, at)
		} else {
			err = w.leaf(page, at)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (w *walker) branch(page []byte, at int) error {
	num := binary.NativeEndian
	pos, key := num.Uint32(page[at:]), num.Uint32(page[at+4:])
	if uint64(at)+uint64(pos)+uint64(key) > uint64(len(page)) {
		return fmt.Errorf("a key runs out of it")
	}
	w.todo = append(w.todo, num.Uint64(page[at+8:]))
	return nil
}

func (w *walker) leaf(page []byte, at int) error {
	num := binary.NativeEndian
	flags, pos := num.Uint32(page[at:]), num.Uint32(page[at+4:])
	key, value := num.Uint32(page[at+8:]), num.Uint32(page[at+12:])
	start := uint64(at) + uint64(pos) + uint64(key)
	if start+uint64(value) > uint64(len(page)) {
		return fmt.Errorf("a value runs out of it")
	}
	if flags&leafBucket == 0 {
		return nil
	}
	if value < bucketHead {
		return fmt.Errorf("a bucket has no head")
	}
	bucket := page[start : start+uint64(value)]
	if root := num.Uint64(bucket); root != 0 {
		w.todo = append(w.todo, root)
		return nil
	}
	if len(bucket) < bucketHead+pageHeader {
		return fmt.Errorf("a bucket has no page")
	}
	return w.elements(bucket[bucketHead:])
}
