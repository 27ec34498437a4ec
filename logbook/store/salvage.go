package store

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"regexp"

	"coolhold/logbook"
	"coolhold/logbook/seal"
	"coolhold/logbook/whole"
)

// remains are what can be read of a file that bbolt need not understand: the
// key of a value stands right before it, and the value ends in the checksum of
// both, so that each can be found and checked wherever it lies.
type remains struct {
	missing bool
	id      string
	entries map[uint64][][]byte // by seq; more than one where a save was broken off
}

var (
	idBytes  = regexp.MustCompile(`id[0-9a-f]{32}`)
	tagBytes = regexp.MustCompile(`tag[A-Z]{2}`)
	seqBytes = []byte(`{"seq":`)
)

// salvage reads what is left of a log, of which so many bytes stand in its
// journal.
func salvage(path string, journal int) (remains, error) {
	m := remains{entries: map[uint64][][]byte{}}
	data, err := beginning(path, leastLeft+mostTimes*int64(journal))
	if errors.Is(err, fs.ErrNotExist) {
		m.missing = true
		return m, nil
	}
	if err != nil {
		return m, fmt.Errorf("%s: what is left of the log cannot be read: %w", path, err)
	}
	m.id = summedWord(data, idBytes, "id")
	for at := 0; ; {
		i := bytes.Index(data[at:], seqBytes)
		if i < 0 {
			return m, nil
		}
		at += i
		m.take(data, at)
		at += len(seqBytes)
	}
}

// A log is less than four times as long as its journal, and begins with its
// entries: what a damaged file holds far behind is not read.
const (
	mostTimes = 16
	leastLeft = 32 << 20
)

// beginning is what a file begins with, up to so many bytes.
func beginning(path string, most int64) ([]byte, error) {
	f, err := whole.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	data := make([]byte, min(info.Size(), most))
	n, err := io.ReadFull(f, data)
	if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) { // cut short meanwhile
		err = nil
	}
	return data[:n], err
}

// summedWord is a word of meta whose checksum follows it, "" if there is none.
func summedWord(data []byte, form *regexp.Regexp, key string) string {
	for _, at := range form.FindAllIndex(data, -1) {
		end := at[1] + crc32.Size
		if end > len(data) {
			continue
		}
		if payload, ok := unsum([]byte(key), data[at[0]+len(key):end]); ok {
			return string(payload)
		}
	}
	return ""
}

// take keeps the entry whose line begins at, if its checksum is right.
func (m *remains) take(data []byte, at int) {
	if at < 8 {
		return
	}
	var line json.RawMessage
	if json.NewDecoder(bytes.NewReader(data[at:])).Decode(&line) != nil {
		return
	}
	end := at + len(line) + crc32.Size
	if end > len(data) {
		return
	}
	key := data[at-8 : at]
	payload, ok := unsum(key, data[at:end])
	seq := binary.BigEndian.Uint64(key)
	if ok && wrongLine(payload, seq) == "" {
		m.entries[seq] = append(m.entries[seq], payload)
	}
}

// holdAgainst stops at the first line that is another than the entry in the old
// file. Both have a checksum that is right: which is true nobody can tell. Line 1
// is no entry.
func (m remains) holdAgainst(journal string, lines [][]byte) error {
	for i, line := range lines {
		found := m.entries[uint64(i+1)]
		same := len(found) == 0
		for _, f := range found {
			same = same || bytes.Equal(f, line)
		}
		if !same {
			return badLine(journal, i+2, "it is not the entry that the old file holds, whose checksum is right", noHelp)
		}
	}
	return nil
}

// after are the entries that follow the n of the journal, up to the first gap.
func (m remains) after(n int) (out []logbook.Entry) {
	for seq := uint64(n) + 1; len(m.entries[seq]) > 0; seq++ {
		var e logbook.Entry
		_ = json.Unmarshal(m.entries[seq][0], &e) // wrongLine has read it
		out = append(out, e)
	}
	return out
}

// logOfSeals is the id of the log that the last seal names, "" where there is
// none; whether the seals hold is checked when the log is made.
func logOfSeals(entries []logbook.Entry) (id string) {
	for _, e := range entries {
		b, ok := e.Open().(logbook.Sealed)
		if !ok {
			continue
		}
		if s, err := seal.Parse([]byte(b.Note)); err == nil {
			id = s.Log
		}
	}
	return id
}
