package store

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
)

// errBadJournal: something in a journal is not what was written.
var errBadJournal = errors.New("the journal is damaged")

// What is longer is no line, or no journal, of a log.
const (
	longestLine    = mostRun * pageSize
	longestJournal = mostPages * pageSize
)

const (
	notThisLogs      = "its first line is not that of this log"
	newJournalAdvice = "move it away; it is made anew from the log"
)

var errTooFar = errors.New("a line has no end")

// tooFar says of which journal it is that a line has no end.
func tooFar(err error, path string) error {
	if err == errTooFar {
		return badJournal(path, "its last line is longer than any")
	}
	return err
}

// badJournal says what is wrong with a journal as a whole.
func badJournal(path, what string) error {
	return fmt.Errorf("%w%w", refuse(path, ErrDamaged, what, newJournalAdvice), silent{errBadJournal})
}

// silent is an error that can be asked for and says nothing.
type silent struct{ error }

func (silent) Error() string   { return "" }
func (s silent) Unwrap() error { return s.error }

// mend sets a journal aside that is damaged, where that can be told from one of
// another log.
func (j *journal) mend(t *tx, why error) error {
	if !errors.Is(why, errBadJournal) || j.end > longestJournal {
		return why
	}
	return j.setAside(t, why)
}

// setAside gives a bad journal another name and makes it anew from the log, which
// has all that is in it: no entry that is whole in it is missing in the log or is
// another there, and the log's own can all be read. What is wrong with it is said.
func (j *journal) setAside(t *tx, why error) error {
	last := t.lastSeq()
	if err := j.weigh(t, last); err != nil {
		return err
	}
	for n := uint64(1); n <= last; n++ {
		t.line(n) // one that cannot be read ends it: then it may be in the journal
	}
	j.close() // one that is open cannot be renamed everywhere
	bad, err := giveName(j.path)
	if err != nil {
		return j.failed(err)
	}
	f, err := os.OpenFile(j.path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return j.failed(err)
	}
	j.f, j.end = f, 0
	t.s.said = append(t.s.said, fmt.Sprintf("%s: its journal was damaged (%s): it is kept as %s and was made anew from the log, which holds", t.s.path, whatOf(why, j.path), bad))
	return j.bringUp(t, 0, 0, last)
}

// giveName gives the file the first name of its bad ones that is free.
func giveName(path string) (bad string, err error) {
	for n := 1; ; n++ {
		bad = fmt.Sprintf("%s.bad-%d", path, n)
		if _, err := os.Lstat(bad); err == nil {
			continue
		} else if !errors.Is(err, os.ErrNotExist) {
			return "", err
		}
		if err := os.Rename(path, bad); err != nil {
			return "", err
		}
		return bad, syncFolder(path)
	}
}

// weigh stops at an entry that the journal has and the log has not, or another; and
// at a first line that is another log's.
func (j *journal) weigh(t *tx, last uint64) error {
	var most uint64
	err := eachLine(io.NewSectionReader(j.f, 0, j.end), func(line []byte) error {
		seq, bare, ok := seqOf(line)
		most = max(most, seq)
		switch h, what := readHeadLine(bare); {
		case !ok:
		case h.Journal != 0 && (what != "" || !bytes.Equal(bare, j.head)):
			return refuse(j.path, ErrDamaged, notThisLogs, newJournalAdvice)
		case seq > 0 && seq <= last && !bytes.Equal(t.line(seq), bare):
			return refuse(t.s.path, ErrJournalAhead, fmt.Sprintf("its entry %d is another than the log's", seq), journalAdvice)
		}
		return nil
	})
	if err == nil && most > last {
		err = ahead(t.s.path, last, most)
	}
	return err
}

// eachLine goes through the whole lines of a journal. One that is longer than any
// is left out.
func eachLine(r io.Reader, f func(line []byte) error) error {
	in := bufio.NewReaderSize(r, 1<<16)
	for line := []byte(nil); ; {
		part, err := in.ReadSlice('\n')
		if len(line) <= longestLine {
			line = append(line, part...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return err
		}
		if len(line) <= longestLine {
			if err := f(line[:len(line)-1]); err != nil {
				return err
			}
		}
		line = line[:0]
	}
}

// claimed is the greatest seq that a line of a journal claims to be.
func claimed(r io.Reader) (most uint64, err error) {
	err = eachLine(r, func(line []byte) error {
		seq, _, _ := seqOf(line)
		most = max(most, seq)
		return nil
	})
	return most, err
}

// seqOf is the entry that a line claims to be, 0 for none, and whether its checksum
// says the same.
func seqOf(line []byte) (seq uint64, bare []byte, ok bool) {
	if bare, ok = unjournal(line); !ok {
		bare, _, _ = bytes.Cut(line, []byte("\t"))
	}
	var e struct{ Seq uint64 }
	if json.Unmarshal(bare, &e) != nil {
		return 0, bare, ok
	}
	return e.Seq, bare, ok
}

// whatOf is what an error says of a file, without its name and what to do.
func whatOf(err error, path string) string {
	what := bytes.TrimPrefix([]byte(err.Error()), []byte(path+": "+ErrDamaged.Error()+": "))
	what, _, _ = bytes.Cut(what, []byte(";"))
	return string(what)
}

// renewJournal makes the journal of a log that holds anew.
func renewJournal(ctx context.Context, path string, why error) (said string, err error) {
	l, err := Open(path) // which does it where its end shows that it is bad
	if err != nil {
		return "", err
	}
	l.Tell(func(line string) { said = line })
	if said != "" {
		return said, nil
	}
	err = l.session(ctx, true, func(s *session) error {
		j, err := l.journal(s)
		if err != nil {
			return err
		}
		defer func() { j.close() }()
		return s.transact(false, func(t *tx) error {
			if err := l.ready(t); err != nil {
				return err
			}
			return j.setAside(t, why)
		})
	})
	return said, err
}
