package store

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"

	"coolhold/logbook/whole"
)

func journalOf(path string) string { return path + ".journal" }

// A journal is FILE.journal, opened under the log's exclusive lock and in step
// with the log.
type journal struct {
	f    *os.File
	path string
	head []byte // its first line, as it must be
	end  int64  // where the next line goes
}

// A journalHead is the first line of a journal: it is no entry, and names the
// log, so that the log can be made anew from its journal alone.
type journalHead struct {
	Journal int    `json:"journal"` // its format
	Log     string `json:"log"`     // its id
	Tag     string `json:"tag"`
}

// journalFormat is that of the journals that this program writes and reads.
const journalFormat = 1

// headOf is the first line of a log's journal.
func headOf(id, tag string) []byte {
	line, _ := json.Marshal(journalHead{journalFormat, id, tag}) // words and a number always can be
	return line
}

// journalLine is a line as a journal has it: with its checksum and its end.
func journalLine(line []byte) []byte {
	return fmt.Appendf(bytes.Clone(line), "\t%08x\n", crc32.Checksum(line, castagnoli))
}

// unjournal takes the checksum off a line without its end.
func unjournal(line []byte) (bare []byte, ok bool) {
	at := len(line) - 9
	if at < 0 || line[at] != '\t' {
		return nil, false
	}
	var sum [8]byte
	hex.Encode(sum[:], binary.BigEndian.AppendUint32(nil, crc32.Checksum(line[:at], castagnoli)))
	return line[:at], string(line[at+1:]) == string(sum[:])
}

// openJournal opens the journal and brings it in step with the log, in the rule
// by reading no more than its last line.
func openJournal(t *tx, id, tag string) (_ *journal, err error) {
	path := journalOf(t.s.path)
	f, err := openBeside(t.s.file, path, os.O_RDWR)
	if err != nil {
		return nil, fmt.Errorf("%s: the journal cannot be opened: %w", path, err)
	}
	j := &journal{f: f, path: path, head: headOf(id, tag)}
	done := false
	defer func() {
		if !done {
			j.close()
		}
	}()
	if err := j.catchUp(t); err != nil {
		return nil, err
	}
	done = true
	return j, nil
}

func (j *journal) close() { _ = j.f.Close() } // what was written is synced

func (j *journal) catchUp(t *tx) error {
	info, err := j.f.Stat()
	if err != nil {
		return j.failed(err)
	}
	j.end = info.Size()
	last := t.lastSeq()
	if j.endsIn(t, last) {
		return nil
	}
	if err := j.begins(); err != nil {
		return j.mend(t, err)
	}
	seq, line, end, err := lastEntry(j.f, j.end, j.path)
	if err != nil {
		return j.mend(t, err)
	}
	if seq > last {
		return ahead(t.s.path, last, seq)
	}
	if seq > 0 && !bytes.Equal(t.line(seq), line) {
		return refuse(t.s.path, ErrJournalAhead, fmt.Sprintf("its entry %d is another than the log's", seq), journalAdvice)
	}
	return j.bringUp(t, end, seq, last)
}

const journalAdvice = "nothing was changed: keep both files; " + restoreAdvice

func ahead(path string, last, seq uint64) error {
	which := fmt.Sprintf("entry %d", seq)
	if seq > last+1 {
		which = fmt.Sprintf("entries %d to %d", last+1, seq)
	}
	return refuse(path, ErrJournalAhead, which, journalAdvice)
}

// begins refuses a journal that is another log's. One that ends within its first
// line, or has none, is none yet.
func (j *journal) begins() error {
	want := journalLine(j.head)
	has := make([]byte, min(j.end, int64(len(want))))
	if _, err := j.f.ReadAt(has, 0); err != nil {
		return j.failed(err)
	}
	if !bytes.HasPrefix(want, has) {
		return badJournal(j.path, notThisLogs)
	}
	return nil
}

// endsIn tells whether the journal's last line is entry last.
func (j *journal) endsIn(t *tx, last uint64) bool {
	if last == 0 || j.end == 0 {
		return false
	}
	line := journalLine(t.line(last))
	want := append([]byte{'\n'}, line...)
	tail := make([]byte, min(j.end, int64(len(want))))
	if _, err := j.f.ReadAt(tail, j.end-int64(len(tail))); err != nil {
		return false // the long way will say what is wrong
	}
	return bytes.Equal(want, tail)
}

// bringUp cuts what follows the last whole line and writes the entries after
// seq.
func (j *journal) bringUp(t *tx, end int64, seq, last uint64) error {
	isNew := j.end == 0
	if err := j.f.Truncate(end); err != nil {
		return j.failed(err)
	}
	w := bufio.NewWriter(io.NewOffsetWriter(j.f, end))
	write := func(line []byte) {
		n, _ := w.Write(journalLine(line)) // Flush gives the error
		end += int64(n)
	}
	if end == 0 {
		write(j.head)
	}
	for n := seq + 1; n <= last; n++ {
		write(t.line(n))
	}
	if err := errors.Join(w.Flush(), j.f.Sync()); err != nil {
		return j.failed(err)
	}
	j.end = end
	if isNew {
		return syncFolder(j.path)
	}
	return nil
}

func (j *journal) failed(err error) error {
	return fmt.Errorf("%s: the journal is not in step with the log: %w; make room or mend the disk and try again", j.path, err)
}

// append adds the lines of a save that is committed. If that fails, the save is
// looked up by its id, and the journal brought up.
func (j *journal) append(lines [][]byte) error {
	var all []byte
	for _, line := range lines {
		all = append(all, journalLine(line)...)
	}
	if err := j.put(all, j.end); err != nil {
		return fmt.Errorf("%s: the line could not be written: %w", j.path, err)
	}
	return nil
}

// put writes at a place of the journal and syncs it.
func (j *journal) put(text []byte, at int64) error {
	if _, err := j.f.WriteAt(text, at); err != nil {
		return err
	}
	return j.f.Sync()
}

// journalSeq is the seq of the last whole line of a log's journal, 0 if there
// is none.
func journalSeq(path string) (uint64, error) {
	path = journalOf(path)
	f, err := whole.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, fmt.Errorf("%s: the journal cannot be opened: %w", path, err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return 0, err
	}
	seq, _, _, err := lastEntry(f, info.Size(), path)
	if errors.Is(err, errBadJournal) && info.Size() <= longestJournal {
		return claimed(f) // what it has is held against the log all the same
	}
	return seq, err
}

// lastEntry reads the last whole line; end is where it ends. seq is 0 where
// there is none.
func lastEntry(r io.ReaderAt, size int64, path string) (seq uint64, line []byte, end int64, err error) {
	if end, err = lastBreak(r, size); end == 0 || err != nil {
		return 0, nil, 0, tooFar(err, path)
	}
	start, err := lastBreak(r, end-1)
	if err != nil {
		return 0, nil, 0, tooFar(err, path)
	}
	line = make([]byte, end-1-start)
	if _, err := r.ReadAt(line, start); err != nil {
		return 0, nil, 0, err
	}
	var e struct {
		Seq     uint64
		Journal int
	}
	bare, ok := unjournal(line)
	if !ok || json.Unmarshal(bare, &e) != nil || e.Seq == 0 && (e.Journal == 0 || start > 0) {
		return 0, nil, 0, badJournal(path, "the last line is not an entry")
	}
	return e.Seq, bare, end, nil
}

// lastBreak is the place behind the last line feed before size, 0 if there is
// none.
func lastBreak(r io.ReaderAt, size int64) (int64, error) {
	buf := make([]byte, 4096)
	for from := size; size > 0; {
		if from-size > longestLine {
			return 0, errTooFar
		}
		n := min(size, int64(len(buf)))
		if _, err := r.ReadAt(buf[:n], size-n); err != nil && err != io.EOF {
			return 0, err
		}
		if i := bytes.LastIndexByte(buf[:n], '\n'); i >= 0 {
			return size - n + int64(i) + 1, nil
		}
		size -= n
	}
	return 0, nil
}

// WriteJournal writes lines as the journal of a log, from which Restore makes the log.
func WriteJournal(w io.Writer, id, tag string, lines [][]byte) error {
	out := bufio.NewWriter(w)
	_, err := out.Write(journalLine(headOf(id, tag)))
	for _, line := range lines {
		if err == nil {
			_, err = out.Write(journalLine(line))
		}
	}
	return errors.Join(err, out.Flush())
}
