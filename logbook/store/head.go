package store

import (
	"encoding/binary"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"os"
)

// pageSize is that of every log: a save rewrites about a dozen pages, whatever
// their size.
const pageSize = 4096

// oldPageSize was that of format 1, which is told by it: its second head is not
// where it is looked for now.
const oldPageSize = 16384

// Offsets in a meta page of bbolt, behind the page's own header of 16 bytes;
// numbers are in the byte order of the machine.
const (
	pageHeader = 16
	headBytes  = 64
	headMagic  = 0xED0CDAED
)

// A head is what a meta page says of the file.
type head struct {
	magic bool
	whole bool   // its own checksum is right
	size  int    // of a page
	root  uint64 // page of the top bucket
	free  uint64 // page of the list of free pages
	pages uint64 // the file is at least so many long
	txid  uint64
}

// readHead reads meta page 0 or 1. What is not there is an empty head.
func readHead(r io.ReaderAt, n int64) head {
	var b [headBytes]byte
	if _, err := r.ReadAt(b[:], n*pageSize+pageHeader); err != nil {
		return head{}
	}
	sum := fnv.New64a()
	sum.Write(b[:56])
	num := binary.NativeEndian
	h := head{
		magic: num.Uint32(b[0:]) == headMagic, size: int(num.Uint32(b[8:])),
		root: num.Uint64(b[16:]), free: num.Uint64(b[32:]), pages: num.Uint64(b[40:]), txid: num.Uint64(b[48:]),
	}
	h.whole = h.magic && num.Uint32(b[4:]) == 2 && num.Uint64(b[56:]) == sum.Sum64()
	return h
}

// newest is the head that bbolt will go by.
func newest(r io.ReaderAt) head {
	a, b := readHead(r, 0), readHead(r, 1)
	if b.whole && (!a.whole || b.txid > a.txid) {
		return b
	}
	return a
}

// checkHead refuses a file that bbolt must not see: it would turn an empty one
// into an empty log, and one that is cut short would kill the process. It runs
// before the lock, when a writer may be in the middle of one of the two heads
// but never of both; so it looks again before it says that neither is whole.
func checkHead(f *os.File, path string) error {
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() {
		return refuse(path, ErrDamaged, "it is not a file", "check the name")
	}
	if info.Size() == 0 {
		return damaged(path, "it is empty (0 bytes)")
	}
	var a, b head
	for range 3 {
		if a, b = readHead(f, 0), readHead(f, 1); a.whole || b.whole {
			return fits(f, path, a, b)
		}
	}
	if a.magic || b.magic {
		return damaged(path, "neither of its two heads is whole")
	}
	return refuse(path, ErrDamaged, "it does not begin like a log",
		"check the name, else "+restoreAdvice)
}

// fits holds the heads against the size of the file, which is asked after they
// were read: a writer grows the file before it says so in a head.
func fits(f *os.File, path string, heads ...head) error {
	info, err := f.Stat()
	if err != nil {
		return err
	}
	size := info.Size()
	for _, h := range heads {
		if !h.whole {
			continue
		}
		if h.size == oldPageSize {
			return old(path, 1)
		}
		if h.size != pageSize {
			return damaged(path, fmt.Sprintf("its pages are %d bytes long, not %d", h.size, pageSize))
		}
		if h.pages > mostPages || size > 2*mostPages*pageSize {
			return tooLong(path, max(h.pages, uint64(size)/pageSize))
		}
		if h.pages > uint64(size)/pageSize {
			return damaged(path, fmt.Sprintf("it is cut short: %d bytes, should be %d", size, h.pages*pageSize))
		}
	}
	return nil
}

// checkFree refuses a list of free pages that bbolt, which reads it as soon as it
// opens a file for writing, could not hold. It runs before the lock too, so that a
// writer may come between: then it looks again.
func checkFree(f *os.File, path string) (err error) {
	for range 3 {
		h := newest(f)
		if err = freeFits(f, h); err == nil || newest(f) == h {
			break
		}
	}
	if err != nil {
		return damaged(path, "the list of free pages "+err.Error())
	}
	return nil
}

func freeFits(f *os.File, h head) error {
	var b [pageHeader + 8]byte
	if h.free < 2 || h.free >= h.pages {
		return errors.New("lies outside the file")
	}
	if _, err := f.ReadAt(b[:], int64(h.free)*pageSize); err != nil {
		return err
	}
	num := binary.NativeEndian
	more := uint64(num.Uint32(b[12:]))
	if own := num.Uint64(b[:]); own != h.free || more >= h.pages-h.free {
		return fmt.Errorf("says that it is page %d, with %d more", own, more)
	}
	_, _, err := freeCount(b[:], (more+1)*pageSize)
	return err
}
