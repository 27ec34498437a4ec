package logbook

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"coolhold/fusion"
)

// readPlain reads a line that stands exactly as an entry is written, field by
// field and with nothing escaped, which nearly all do: a site is opened in half
// the time. Of any other line it says no; encoding/json then has the word.
func readPlain(line []byte) (e Entry, ok bool) {
	e, body, ok := readHead(line)
	if !ok {
		return e, false
	}
	e.Body = bytes.Clone(body) // the line may be gone tomorrow
	e.body = e.read()
	_, unknown := e.body.(Unknown)
	return e, !unknown || json.Valid(e.Body) && !e.Garbled()
}

// ReadHead reads of a line all but the body, which mostly is not looked at.
func ReadHead(line []byte) (Entry, error) {
	if e, _, ok := readHead(line); ok {
		return e, nil
	}
	return readAny(line)
}

// readHead reads what stands before the body of such a line.
func readHead(line []byte) (e Entry, body []byte, ok bool) {
	head, body, ok := bytes.Cut(line, []byte(bodyMark))
	if !ok || !bytes.HasPrefix(body, []byte("{")) || !bytes.HasSuffix(body, []byte("}}")) {
		return e, nil, false
	}
	s := scan{rest: string(head), ok: true}
	s.must(`{"seq":`)
	e.Seq = uint64(s.number(0))
	if s.has(`,"n":`) {
		e.N = uint64(s.number(0))
	}
	s.must(`,"id":`)
	e.ID = s.text()
	s.must(`,"at":`)
	e.At = s.stamp()
	e.By, e.Site, e.Shift = s.named(`,"by":`), s.named(`,"site":`), s.named(`,"shift":`)
	e.Weld, e.Joint = s.named(`,"weld":`), s.named(`,"joint":`)
	s.must(`,"kind":`)
	e.Kind = Kind(s.text())
	s.must(`,"v":`)
	e.V = int(s.number(math.MinInt))
	return e, body[:len(body)-1], s.ok && s.rest == ""
}

// bodyMark stands before the body. It cannot stand in a text before it, where
// its quotes would be escaped.
const bodyMark = `,"body":`

// A scan reads on from the beginning of rest. Once something is not as expected
// ok is false, and what else it gives means nothing.
type scan struct {
	rest string
	ok   bool
}

func (s *scan) has(text string) (has bool) {
	s.rest, has = strings.CutPrefix(s.rest, text)
	return has
}

func (s *scan) must(text string) { s.ok = s.has(text) && s.ok }

// named is a text that may be missing.
func (s *scan) named(name string) string {
	if !s.has(name) {
		return ""
	}
	return s.text()
}

// text reads a string in which every byte stands for itself.
func (s *scan) text() string {
	s.must(`"`)
	text, rest, closed := strings.Cut(s.rest, `"`)
	plain := !strings.ContainsFunc(text, func(r rune) bool { return r < ' ' || r == '\\' })
	s.rest, s.ok = rest, s.ok && closed && plain && utf8.ValidString(text)
	return text
}

// number reads a whole number that is no less than least.
func (s *scan) number(least int64) int64 {
	end := 0
	for end < len(s.rest) && (s.rest[end] >= '0' && s.rest[end] <= '9' || s.rest[end] == '-') {
		end++
	}
	digits := strings.TrimPrefix(s.rest[:end], "-")
	n, err := strconv.ParseInt(s.rest[:end], 10, 64)
	s.ok = s.ok && err == nil && n >= least && int64(int(n)) == n && (digits == "0" || digits[0] != '0')
	s.rest = s.rest[end:]
	return n
}

func (s *scan) stamp() fusion.Stamp {
	s.must(`{"wall":`)
	wall := s.text()
	s.must(`,"offset_s":`)
	offset := s.number(math.MinInt)
	s.must(`,"boot_ms":`)
	boot := s.number(math.MinInt)
	id, machine := s.named(`,"boot_id":`), s.named(`,"machine":`)
	s.must(`}`)
	at, err := fusion.StoredStamp(wall, int(offset), boot, id, machine)
	s.ok = s.ok && err == nil
	return at
}
