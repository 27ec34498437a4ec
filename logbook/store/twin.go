package store

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/seal"
	"coolhold/logbook/whole"
)

// What can be wrong with a twin. Each comes wrapped in one line that names the file
// and says what to do.
var (
	// ErrTwinAway: the stick is not in, or not where it was.
	ErrTwinAway = errors.New("the twin is not there")
	// ErrTwinStuck: it is there and takes nothing more: full, read-only, broken.
	ErrTwinStuck = errors.New("the twin cannot be written")
	// ErrTwinBusy: it was asked before and has not answered yet.
	ErrTwinBusy = errors.New("the twin does not answer")
	// ErrTwinAhead: it begins like the log and goes on after its end, so the log lost
	// what follows. Nothing is saved until a person decides.
	ErrTwinAhead = errors.New("the twin holds entries that the log does not")
	// ErrTwinUnlike: it has another entry at a place where the log has one.
	ErrTwinUnlike = errors.New("the twin is not a copy of this log")
	// ErrTwinDamaged: its bytes are not what was written.
	ErrTwinDamaged = errors.New("the twin is damaged")
)

// asideAdvice is what a person can do about a twin that is no copy of the log.
const asideAdvice = "nothing was changed: coolhold restore makes a log of the longer one, coolhold twin --aside keeps this log and puts the twin's file aside"

// lostAdvice is what to do where such a twin is not there: its stick may be lost, and
// then nothing can be put aside.
const lostAdvice = "put the stick in; if it is lost, coolhold twin DIR --by NAME --why TEXT goes on with a twin in another folder, coolhold twin --none --by NAME --why TEXT without one"

// nothingMore is what follows where the journal cannot be handed on.
const nothingMore = "nothing more goes to the twin; coolhold verify says what else is wrong"

// twinEnd is how the name of a twin's file ends.
const twinEnd = ".twin"

// twinName is the file of a log's twin: one stick may hold the twins of several
// laptops, whose logs all have the same file name.
func twinName(id, tag string) string { return tag + "-" + id[:min(8, len(id))] + twinEnd }

// A Twin brings the lines of a log's journal to a file on another disk. It reads
// the journal as a reader of files does, without the log's lock, so that no save
// ever waits for a stick.
type Twin struct {
	log  *Log
	path string
	mu   sync.Mutex

	known    TwinState
	compared bool // from the first line to the last, since the start or since it was away
	open     func(name string, flag int, perm os.FileMode) (twinFile, error)

	held atomic.Uint64 // entries that it is known to have held
	say  sync.Mutex    // so that a look that ends late halts nothing any more
	left bool          // see Leave; guarded by say
}

// A twinFile is what is needed of a file on a stick.
type twinFile interface {
	io.ReaderAt
	io.WriterAt
	io.Closer
	Stat() (fs.FileInfo, error)
	Truncate(int64) error
	Sync() error
}

// A TwinState says how a twin stands beside its log.
type TwinState struct {
	Log     uint64 // the log's newest entry, by its journal
	Twin    uint64 // the twin's newest, as last seen
	Brought uint64 // entries that were brought up just now
	From    uint64 // the first entry that only the twin has, or that it has otherwise; 0 for none
	Err     error  // nil: each line is the journal's, and is synced
}

// Behind is how many entries the twin lacks.
func (s TwinState) Behind() uint64 { return max(s.Log, s.Twin) - s.Twin }

// Twin is the twin of the log in a folder. Nothing is looked at yet.
func (l *Log) Twin(dir string) *Twin {
	return &Twin{log: l, path: filepath.Join(dir, twinName(l.id, l.tag)), open: openTwinFile}
}

func openTwinFile(name string, flag int, perm os.FileMode) (twinFile, error) {
	info, err := os.Stat(name)
	if err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is no plain file", filepath.Base(name)) // a fifo would be waited for
	}
	f, err := os.OpenFile(name, flag, perm)
	if err != nil {
		return nil, err // not a nil *os.File in an interface
	}
	return f, nil
}

// Path is the twin's file.
func (t *Twin) Path() string { return t.path }

// Make begins a twin where there is none. It is only done when a person says so: the
// folder of a stick that is not in may be there, on the disk of the log.
func (t *Twin) Make() error {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.make()
}

func (t *Twin) make() error {
	info, err := os.Stat(filepath.Dir(t.path))
	if err == nil && !info.IsDir() {
		err = errors.New("it is no folder")
	}
	if err != nil {
		return refuse(filepath.Dir(t.path), ErrTwinAway, unpath(err).Error(), "put the stick in, or name a folder that is there")
	}
	err = whole.New(t.path, whole.Bytes(journalLine(t.head()), 0o600))
	if err != nil && !errors.Is(err, fs.ErrExist) {
		return t.stuck(err)
	}
	return nil
}

func (t *Twin) head() []byte { return headOf(t.log.id, t.log.tag) }

// Follow compares the twin with the journal, at the first time and after it was
// away line by line, and brings it up. Where the twin is ahead of the log or unlike
// it nothing is written. It may take as long as the disk takes, so it is never
// called where somebody waits.
func (t *Twin) Follow() TwinState { return t.visit(true) }

// Look says how the twin stands by its last line, and writes nothing.
func (t *Twin) Look() TwinState { return t.visit(false) }

// Held says how many entries the twin held when it was last seen, which is kept
// elsewhere. A log that has fewer was put back, wherever the stick is now.
func (t *Twin) Held(entries uint64) { t.held.Store(entries) }

// Leave ends it that what this twin holds keeps the log from being written to: the log
// has another now, or none.
func (t *Twin) Leave() {
	t.say.Lock()
	defer t.say.Unlock()
	t.left = true
	t.log.halt.set(twinAhead, nil)
}

// Ahead is why nothing is stored in the log for the sake of its twin, nil where
// nothing stands in the way.
func (t *Twin) Ahead() error { return t.log.halt.by(twinAhead) }

// halt keeps the log from being written to, or with nil no more.
func (t *Twin) halt(why error) {
	t.say.Lock()
	defer t.say.Unlock()
	if !t.left {
		t.log.halt.set(twinAhead, why)
	}
}

// halts keeps the log from being written to where the twin is ahead. What says nothing
// of that, a stick that is pulled say, lifts nothing.
func (t *Twin) halts(err error) {
	switch {
	case errors.Is(err, ErrTwinAhead):
		t.held.Store(t.known.Twin)
		t.halt(err)
	case err == nil:
		t.held.Store(t.known.Twin)
		t.halt(nil)
	case errors.Is(err, ErrTwinUnlike): // the log went on: how many entries each has says nothing any more
		t.held.Store(0)
		t.halt(nil)
	}
}

// recall halts the log by what the twin is known to have held, before it is looked at
// and whether or not it can be: to pull the stick is no decision. from is the first
// entry that the log lacks, 0 where it lacks none or cannot be asked.
func (t *Twin) recall() (from uint64) {
	held := t.held.Load()
	last, err := t.log.reaches(held)
	switch {
	case err != nil:
		return 0
	case last >= held:
		t.halt(nil)
		return 0
	case t.Ahead() == nil:
		t.halt(refuse(t.path, ErrTwinAhead, span(last+1, held), asideAdvice))
	}
	return last + 1
}

// reaches is the log's newest entry, or the newest by its journal where that is enough:
// the log itself is only locked where a journal is short or missing.
func (l *Log) reaches(enough uint64) (last uint64, err error) {
	if last, err = journalSeq(l.path); err == nil && last >= enough {
		return last, nil
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	err = l.View(ctx, func(r logbook.Reader) error { last = r.(*reader).known.upto; return nil })
	return last, err
}

func (t *Twin) visit(write bool) TwinState {
	if !t.mu.TryLock() {
		return TwinState{Err: t.still(refuse(t.path, ErrTwinBusy, "", "see to the stick; the log goes on without it"))}
	}
	defer t.mu.Unlock()
	from := t.known.From
	t.known.Brought, t.known.From = 0, 0
	from = cmp.Or(t.recall(), from)
	err := t.compare(write)
	t.compared = t.compared && !errors.Is(err, ErrTwinAway)
	t.halts(err)
	if t.Ahead() != nil && !errors.Is(err, ErrTwinAhead) {
		err = t.still(err)
		t.known.From, t.known.Twin = from, max(t.known.Twin, t.held.Load())
	}
	t.known.Err = err
	return t.known
}

// still is what is wrong with a twin now; that nothing is stored, where that is so, is
// said first.
func (t *Twin) still(now error) error {
	if why := t.Ahead(); why != nil {
		return fmt.Errorf("%w; now: %w", why, now)
	}
	return now
}

// compare looks at the twin before the journal: whatever it has was in the journal
// by then.
func (t *Twin) compare(write bool) error {
	f, readOnly, err := t.openBoth(write)
	if err != nil {
		t.known.Log = t.journalled()
		return t.away(err)
	}
	defer f.Close()
	at, err := t.reach(f)
	t.known.Log = t.journalled()
	if err != nil {
		return err
	}
	if err := t.agrees(f, at, write); err != nil {
		return err
	}
	if !write || t.known.Twin >= t.known.Log && at.tail == 0 {
		return nil
	}
	if readOnly != nil {
		return t.stuck(readOnly)
	}
	return t.bringUp(f, at)
}

// openBoth opens the twin for writing if that is wanted, and where it cannot be
// written for reading, so that it is compared all the same.
func (t *Twin) openBoth(write bool) (f twinFile, readOnly, err error) {
	if write {
		if f, err = t.open(t.path, os.O_RDWR, 0); err == nil || errors.Is(err, fs.ErrNotExist) {
			return f, nil, err
		}
		readOnly = err
	}
	if f, err = t.open(t.path, os.O_RDONLY, 0); err != nil {
		return nil, nil, err
	}
	return f, readOnly, nil
}

// A reached is how far a twin's file is.
type reached struct {
	start, end int64 // of its last whole line
	tail       int64 // bytes of a line that was broken off
}

// reach reads the last line of the twin.
func (t *Twin) reach(f twinFile) (at reached, err error) {
	info, err := f.Stat()
	if err != nil {
		return at, t.away(err)
	}
	size := info.Size()
	begins := make([]byte, min(size, int64(len(journalLine(t.head())))))
	if _, err := f.ReadAt(begins, 0); err != nil && err != io.EOF {
		return at, t.away(err)
	}
	if !bytes.HasPrefix(journalLine(t.head()), begins) {
		return at, refuse(t.path, ErrTwinUnlike, "its first line is not that of this log", "name another folder")
	}
	seq, line, end, err := lastEntry(f, size, t.path)
	if errors.Is(err, ErrDamaged) {
		return at, refuse(t.path, ErrTwinDamaged, "its last line is not an entry", asideAdvice)
	}
	if err != nil {
		return at, t.away(err)
	}
	t.known.Twin = seq
	if end > 0 {
		at.start = end - int64(len(journalLine(line)))
	}
	at.end, at.tail = end, size-end
	return at, nil
}

// journalled is the log's newest entry by its journal, else what was known of it.
func (t *Twin) journalled() uint64 {
	if seq, err := journalSeq(t.log.path); err == nil {
		return seq
	}
	return t.known.Log
}

// agrees makes sure that the twin is how the journal begins: by its last line, and
// when all is wanted and was not done yet by all of them.
func (t *Twin) agrees(f twinFile, at reached, all bool) error {
	j, err := whole.Open(journalOf(t.log.path))
	if err != nil {
		return fmt.Errorf("%s: the twin waits: the journal cannot be opened: %w", t.path, err)
	}
	defer j.Close()
	if all && !t.compared || !sameAt(f, j, at.start, at.end) {
		if err := t.allAgree(f, j, at.end); err != nil {
			return err
		}
		t.compared = all
	}
	return nil
}

// sameAt tells whether two files hold the same bytes from one place to another.
func sameAt(a, b io.ReaderAt, from, to int64) bool {
	at, err := differ(a, b, from, to)
	return err == nil && at == to
}

// differ is the first place before the end at which two files are not the same.
func differ(a, b io.ReaderAt, from, to int64) (int64, error) {
	x, y := make([]byte, 64<<10), make([]byte, 64<<10)
	for from < to {
		n := int(min(to-from, int64(len(x))))
		if _, err := a.ReadAt(x[:n], from); err != nil {
			return from, err
		}
		got, err := b.ReadAt(y[:n], from)
		if err != nil && err != io.EOF {
			return from, err
		}
		for i := range got {
			if x[i] != y[i] {
				return from + int64(i), nil
			}
		}
		if from += int64(got); got < n {
			return from, nil // b ends here
		}
	}
	return from, nil
}

// allAgree compares the twin with the journal up to an end and says of what kind the
// first difference is.
func (t *Twin) allAgree(f twinFile, j *os.File, end int64) error {
	at, err := differ(f, j, 0, end)
	if err != nil {
		return t.away(err)
	}
	if at == end {
		return nil
	}
	no, mine, theirs, err := linesAt(f, j, at)
	if err != nil {
		return t.away(err)
	}
	_, whole := unjournal(bytes.TrimSuffix(mine, []byte("\n")))
	_, journalWhole := unjournal(bytes.TrimSuffix(theirs, []byte("\n")))
	switch {
	case !whole:
		t.known.From = no - 1
		return refuse(t.path, ErrTwinDamaged, fmt.Sprintf("line %d does not match its checksum", no), asideAdvice)
	case no > 1 && !bytes.HasSuffix(theirs, []byte("\n")):
		t.known.From = no - 1
		return refuse(t.path, ErrTwinAhead, span(no-1, t.known.Twin), asideAdvice)
	case !journalWhole:
		return refuse(journalOf(t.log.path), ErrDamaged, fmt.Sprintf("line %d does not match its checksum, that of the twin does", no), nothingMore)
	}
	t.known.From = no - 1
	return refuse(t.path, ErrTwinUnlike, fmt.Sprintf("its entry %d is another than the log's", no-1), asideAdvice)
}

// span names entries.
func span(from, to uint64) string {
	if to > from {
		return fmt.Sprintf("entries %d to %d", from, to)
	}
	return fmt.Sprintf("entry %d", from)
}

// linesAt are the lines of two files round a place up to which they are the same, and
// their number from 1.
func linesAt(a, b io.ReaderAt, at int64) (no uint64, one, other []byte, err error) {
	start, no := int64(0), uint64(1)
	buf := make([]byte, 64<<10)
	for from := int64(0); from < at; {
		n, err := a.ReadAt(buf[:min(at-from, int64(len(buf)))], from)
		if err != nil && err != io.EOF || n == 0 {
			return 0, nil, nil, cmp.Or(err, io.ErrUnexpectedEOF)
		}
		no += uint64(bytes.Count(buf[:n], []byte("\n")))
		if i := bytes.LastIndexByte(buf[:n], '\n'); i >= 0 {
			start = from + int64(i) + 1
		}
		from += int64(n)
	}
	if one, err = lineAt(a, start); err == nil {
		other, err = lineAt(b, start)
	}
	return no, one, other, err
}

// lineAt is the line that begins at a place, with its end if it has one.
func lineAt(r io.ReaderAt, at int64) (line []byte, err error) {
	buf := make([]byte, 64<<10)
	for {
		n, err := r.ReadAt(buf, at+int64(len(line)))
		if i := bytes.IndexByte(buf[:n], '\n'); i >= 0 {
			return append(line, buf[:i+1]...), nil
		}
		line = append(line, buf[:n]...)
		if err == io.EOF {
			return line, nil
		}
		if err != nil {
			return nil, err
		}
	}
}

// twinChunk is how much is read of the journal at once; between two of them the
// journal is closed.
const twinChunk = 256 << 10

// bringUp writes the journal's lines after the twin's last, and syncs them. Two
// programs may do so at once: both write the same bytes to the same places.
func (t *Twin) bringUp(f twinFile, at reached) error {
	for {
		lines, err := t.nextLines(at.end)
		if err != nil {
			return err
		}
		if len(lines) == 0 && at.tail == 0 {
			return nil
		}
		last, err := t.checkLines(lines)
		if err != nil {
			return err
		}
		if err := t.keepSeals(lines); err != nil {
			return t.stuck(err)
		}
		if err := t.cutTail(f, at, lines); err != nil {
			return t.stuck(err)
		}
		if _, err = f.WriteAt(lines, at.end); err == nil {
			err = f.Sync()
		}
		if err != nil {
			return t.stuck(err)
		}
		at.end, at.tail = at.end+int64(len(lines)), 0
		t.known.Brought += last - t.known.Twin
		t.known.Twin = last
	}
}

// nextLines are whole lines of the journal from a place on, none where it ends there.
func (t *Twin) nextLines(from int64) ([]byte, error) {
	j, err := whole.Open(journalOf(t.log.path))
	if err != nil {
		return nil, fmt.Errorf("%s: the twin waits: the journal cannot be opened: %w", t.path, err)
	}
	defer j.Close()
	for size := twinChunk; ; size *= 2 {
		buf := make([]byte, size)
		n, err := j.ReadAt(buf, from)
		if i := bytes.LastIndexByte(buf[:n], '\n'); i >= 0 || err == io.EOF {
			return buf[:i+1], nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: the twin waits: the journal cannot be read: %w", t.path, err)
		}
	}
}

// checkLines sees that lines of the journal follow on the twin's last, and gives the
// last entry of them: a bad line is not handed on.
func (t *Twin) checkLines(lines []byte) (last uint64, err error) {
	last = t.known.Twin
	for line := range bytes.Lines(lines) {
		bare, ok := unjournal(bytes.TrimSuffix(line, []byte("\n")))
		if ok && last == 0 && bytes.Equal(bare, t.head()) {
			continue
		}
		if last++; !ok || wrongLine(bare, last) != "" {
			return 0, refuse(journalOf(t.log.path), ErrDamaged, fmt.Sprintf("line %d is not entry %d", last+1, last), nothingMore)
		}
	}
	return last, nil
}

// cutTail cuts what was broken off unless it is how the next lines begin: that
// may be another program in the middle of writing them.
func (t *Twin) cutTail(f twinFile, at reached, lines []byte) error {
	if at.tail == 0 {
		return nil
	}
	tail := make([]byte, min(at.tail, int64(len(lines))))
	if _, err := f.ReadAt(tail, at.end); err != nil && err != io.EOF {
		return err
	}
	if at.tail <= int64(len(lines)) && bytes.HasPrefix(lines, tail) {
		return nil
	}
	return f.Truncate(at.end)
}

var sealedMark = []byte(`"kind":"sealed"`)

// keepSeals writes each seal among lines beside the twin, before the lines: what
// left the laptop with its lines can be checked without it.
func (t *Twin) keepSeals(lines []byte) error {
	for line := range bytes.Lines(lines) {
		if !bytes.Contains(line, sealedMark) {
			continue
		}
		bare, _ := unjournal(bytes.TrimSuffix(line, []byte("\n")))
		var e logbook.Entry
		if json.Unmarshal(bare, &e) != nil {
			continue // checkLines has read it
		}
		b, ok := e.Open().(logbook.Sealed)
		if !ok {
			continue
		}
		s, err := seal.Parse([]byte(b.Note))
		if err != nil {
			continue // no seal: the check of the log says so
		}
		name := fmt.Sprintf("%s-%d.seal", strings.TrimSuffix(t.path, twinEnd), s.Entries)
		if err := whole.New(name, whole.Bytes([]byte(b.Note), 0o600)); err != nil && !errors.Is(err, fs.ErrExist) {
			return err
		}
	}
	return nil
}

// SetAside gives the twin's file a name under which nobody follows it any more, and
// says which.
func (t *Twin) SetAside() (name string, err error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	for n := 1; ; n++ {
		name = fmt.Sprintf("%s.aside-%d", t.path, n)
		if _, err := os.Lstat(name); errors.Is(err, fs.ErrNotExist) {
			break
		} else if err != nil {
			return "", t.away(err)
		}
	}
	if err := os.Rename(t.path, name); err != nil {
		return "", t.stuck(err)
	}
	t.known, t.compared = TwinState{}, false
	t.held.Store(0)
	t.halt(nil) // somebody decided
	return name, nil
}

// TakeBack gives a file that was set aside its name again.
func (t *Twin) TakeBack(name string) error {
	if err := os.Rename(name, t.path); err != nil {
		return t.stuck(err)
	}
	return nil
}

// away words why the twin is not read.
func (t *Twin) away(err error) error {
	gone := errors.Is(err, fs.ErrNotExist)
	switch {
	case gone && t.Ahead() != nil:
		return refuse(t.path, ErrTwinAway, "", lostAdvice)
	case gone:
		return refuse(t.path, ErrTwinAway, "", "put the stick in, it catches up by itself; or coolhold twin DIR begins one in another folder")
	}
	return fmt.Errorf("%s: %w: %w; see to the stick", t.path, ErrTwinAway, unpath(err))
}

// stuck words why the twin is not written.
func (t *Twin) stuck(err error) error {
	return fmt.Errorf("%s: %w: %w; see to the stick, it catches up by itself", t.path, ErrTwinStuck, unpath(err))
}

// unpath takes the name of the file off an error, which is said already.
func unpath(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}
