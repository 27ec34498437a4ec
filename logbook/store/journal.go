package store

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

func journalOf(path string) string { return path + ".journal" }

// A journal is FILE.journal, opened under the log's exclusive lock and in step
// with the log.
type journal struct {
	f    *os.File
	path string
	end  int64 // where the next line goes
}

// openJournal opens the journal and brings it in step with the log, in the rule
// by reading no more than its last line.
func openJournal(t *tx) (_ *journal, err error) {
	path := journalOf(t.s.path)
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, fmt.Errorf("%s: the journal cannot be opened: %w", path, err)
	}
	j := &journal{f: f, path: path}
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
	seq, line, end, err := lastEntry(j.f, j.end, j.path)
	if err != nil {
		return err
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

// endsIn tells whether the journal's last line is entry last.
func (j *journal) endsIn(t *tx, last uint64) bool {
	if last == 0 || j.end == 0 {
		return last == 0 && j.end == 0
	}
	line := t.line(last)
	want := append(append([]byte{'\n'}, line...), '\n')
	tail := make([]byte, min(j.end, int64(len(want))))
	if _, err := j.f.ReadAt(tail, j.end-int64(len(tail))); err != nil {
		return false // the long way will say what is wrong
	}
	return len(tail) > len(line) && bytes.HasSuffix(want, tail)
}

// bringUp cuts what follows the last whole line and writes the entries after
// seq.
func (j *journal) bringUp(t *tx, end int64, seq, last uint64) error {
	isNew := j.end == 0
	if err := j.f.Truncate(end); err != nil {
		return j.failed(err)
	}
	w := bufio.NewWriter(io.NewOffsetWriter(j.f, end))
	for n := seq + 1; n <= last; n++ {
		line := t.line(n)
		_, _ = w.Write(line) // Flush gives the error
		_ = w.WriteByte('\n')
		end += int64(len(line)) + 1
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
// not acknowledged; trying it once more finds it by its id and brings the
// journal up.
func (j *journal) append(lines []byte) error {
	_, err := j.f.WriteAt(lines, j.end)
	if err := errors.Join(err, j.f.Sync()); err != nil {
		return fmt.Errorf("%s: the entry is in the log but not in its journal: %w; save it once more", j.path, err)
	}
	if j.end == 0 {
		return syncFolder(j.path)
	}
	return nil
}

// journalSeq is the seq of the last whole line of a log's journal, 0 if there
// is none.
func journalSeq(path string) (uint64, error) {
	path = journalOf(path)
	f, err := os.Open(path)
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
	return seq, err
}

// lastEntry reads the last whole line; end is where it ends. seq is 0 where
// there is none.
func lastEntry(r io.ReaderAt, size int64, path string) (seq uint64, line []byte, end int64, err error) {
	if end, err = lastBreak(r, size); end == 0 || err != nil {
		return 0, nil, 0, err
	}
	start, err := lastBreak(r, end-1)
	if err != nil {
		return 0, nil, 0, err
	}
	line = make([]byte, end-1-start)
	if _, err := r.ReadAt(line, start); err != nil {
		return 0, nil, 0, err
	}
	var e struct{ Seq uint64 }
	if err := json.Unmarshal(line, &e); err != nil || e.Seq == 0 {
		return 0, nil, 0, refuse(path, ErrDamaged, "the last line is not an entry", "move it away; it is made anew from the log")
	}
	return e.Seq, line, end, nil
}

// lastBreak is the place behind the last line feed before size, 0 if there is
// none.
func lastBreak(r io.ReaderAt, size int64) (int64, error) {
	buf := make([]byte, 4096)
	for size > 0 {
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
