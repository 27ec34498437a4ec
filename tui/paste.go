package tui

import (
	"bytes"
	"os"
	"time"
)

// The marks that a terminal sets round a paste, by the convention that terminals
// share.
var (
	pasteStart = []byte("\x1b[200~")
	pasteEnd   = []byte("\x1b[201~")
)

// Our own choices: a terminal sends a paste in one go, and the rest of an escape
// sequence at once.
const (
	pasteQuiet = time.Second           // a paste that stood still for so long has no end any more
	markQuiet  = 50 * time.Millisecond // after that an Esc is no part of a mark
	ctrlC      = 0x03
	escape     = 0x1b
)

// A pasting is a terminal's input in which every paste has an end. The screen
// library waits for one for ever, and takes Esc and Ctrl-C for parts of the paste.
type pasting struct {
	*os.File
	now  func() time.Time
	more func(within time.Duration) bool // more input is there

	open bool      // a paste is
	last time.Time // when its latest part came
	tail []byte    // of what was read, where a mark may have begun
}

// Read reads, and sets the end that is missing before a key that is no part of a
// paste. What fills the whole buffer is no key.
func (p *pasting) Read(buf []byte) (int, error) {
	n, err := p.File.Read(buf)
	if err == nil && p.open && n == 1 && buf[0] == escape && len(buf) > 1 && p.more(markQuiet) {
		var m int
		m, err = p.File.Read(buf[1:])
		n += m
	}
	if at := p.cut(buf[:n]); at >= 0 && n+len(pasteEnd) <= len(buf) {
		copy(buf[at+len(pasteEnd):], buf[at:n])
		n += copy(buf[at:], pasteEnd)
	}
	p.follow(buf[:n], n == len(buf))
	return n, err
}

// cut is where an open paste ends though its end does not come; -1: it goes on.
func (p *pasting) cut(b []byte) int {
	ends := bytes.Contains(append(bytes.Clone(p.tail), b...), pasteEnd)
	switch {
	case !p.open || len(b) == 0 || ends:
		return -1
	case p.now().Sub(p.last) >= pasteQuiet, len(b) == 1 && b[0] == escape:
		return 0
	}
	return bytes.IndexByte(b, ctrlC)
}

// follow keeps whether a paste is open. Of one that is not, a mark may go on in the
// next read only where this one was full.
func (p *pasting) follow(b []byte, full bool) {
	rest := append(p.tail, b...)
	for {
		mark := pasteStart
		if p.open {
			mark = pasteEnd
		}
		_, after, found := bytes.Cut(rest, mark)
		if !found {
			break
		}
		p.open, rest = !p.open, after
	}
	p.last, p.tail = p.now(), nil
	if p.open || full {
		p.tail = bytes.Clone(rest[max(0, len(rest)-len(pasteEnd)+1):])
	}
}
