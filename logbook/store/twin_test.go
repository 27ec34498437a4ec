package store

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"

	"coolhold/logbook"
)

// twinned is a log of five entries, and its twin on a stick.
func twinned(t *testing.T) (*Log, *Twin) {
	t.Helper()
	path, _, _ := journalled(t)
	l, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	twin := l.Twin(filepath.Join(t.TempDir()))
	if err := twin.Make(); err != nil {
		t.Fatal(err)
	}
	follows(t, twin, 5)
	return l, twin
}

// follows brings a twin up by so many entries, after which it is the journal.
func follows(t testing.TB, twin *Twin, brought uint64) {
	t.Helper()
	s := twin.Follow()
	if s.Err != nil || s.Brought != brought || s.Behind() != 0 {
		t.Fatalf("brought %d of %d, %d behind, %v", s.Brought, brought, s.Behind(), s.Err)
	}
	same(t, twin)
	if s := twin.Look(); s.Err != nil || s.Behind() != 0 || s.Log != s.Twin {
		t.Fatalf("looked at: %+v", s)
	}
}

// same makes sure that twin and journal are the same bytes.
func same(t testing.TB, twin *Twin) {
	t.Helper()
	if has, want := twinText(t, twin), journalText(t, twin.log.path); !bytes.Equal(has, want) {
		t.Fatalf("the twin has %d bytes, the journal %d", len(has), len(want))
	}
}

func twinText(t testing.TB, twin *Twin) []byte {
	t.Helper()
	data, err := os.ReadFile(twin.path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// again is the twin as another run of the program sees it.
func again(t testing.TB, twin *Twin) *Twin {
	t.Helper()
	l, err := Open(twin.log.path)
	if err != nil {
		t.Fatal(err)
	}
	return l.Twin(filepath.Dir(twin.path))
}

func note(t testing.TB, l *Log, id string) {
	t.Helper()
	add(t, l, draft(id, logbook.Note{Text: id}))
}

func TestTwinFollows(t *testing.T) {
	l, twin := twinned(t)
	if base := filepath.Base(twin.Path()); base != "KM-"+l.id[:8]+".twin" {
		t.Errorf("its name is %s", base)
	}
	follows(t, twin, 0)
	for i := range 3 {
		note(t, l, fmt.Sprint("more ", i))
	}
	if s := twin.Look(); s.Err != nil || s.Behind() != 3 || s.Brought != 0 {
		t.Errorf("looked at: %+v", s)
	}
	follows(t, twin, 3)
	if _, err := l.Append(bg, saves("many", 2000)); err != nil { // more than one chunk
		t.Fatal(err)
	}
	follows(t, again(t, twin), 2000)
	if err := twin.Make(); err != nil {
		t.Errorf("made again: %v", err)
	}
	follows(t, twin, 0)
}

// However the twin was broken off, the next look brings it up.
func TestTwinBehind(t *testing.T) {
	l, twin := twinned(t)
	whole := journalText(t, l.path)
	for name, content := range map[string][]byte{
		"empty":            {},
		"torn at once":     whole[:1],
		"torn in line 1":   whole[:20],
		"only the first":   whole[:bytes.IndexByte(whole, '\n')+1],
		"one byte torn":    whole[:len(whole)-1],
		"torn in the last": whole[:len(whole)-5000],
		"zeros after it":   append(bytes.Clone(whole), make([]byte, 9000)...),
		"zeros in between": append(bytes.Clone(whole[:len(whole)-5000]), make([]byte, 9000)...),
		"torn next entry":  append(bytes.Clone(whole), `{"seq":6,"id":"x`...),
	} {
		t.Run(name, func(t *testing.T) {
			rewrite(t, twin.path, content)
			for _, tw := range []*Twin{twin, again(t, twin)} {
				if s := tw.Follow(); s.Err != nil || s.Behind() != 0 {
					t.Fatalf("%+v", s)
				}
				same(t, twin)
			}
		})
	}
}

// rolledBack puts log and journal back to what they were two entries ago.
func rolledBack(t *testing.T) (*Log, *Twin) {
	t.Helper()
	l, twin := twinned(t)
	log, _ := os.ReadFile(l.path)
	journal := journalText(t, l.path)
	note(t, l, "six")
	note(t, l, "seven")
	follows(t, twin, 2)
	rewrite(t, l.path, log)
	rewrite(t, l.path+".journal", journal)
	twin = again(t, twin)
	return twin.log, twin
}

// A log that was put back is told by its twin; nothing is saved and nothing
// repaired until a person decides, and what is decided is found out by itself.
func TestTwinAhead(t *testing.T) {
	for name, look := range map[string]func(*Twin) TwinState{"look": (*Twin).Look, "follow": (*Twin).Follow} {
		t.Run(name, func(t *testing.T) {
			l, twin := rolledBack(t)
			had := twinText(t, twin)
			s := look(twin)
			if !errors.Is(s.Err, ErrTwinAhead) || !strings.Contains(s.Err.Error(), "entries 6 to 7; nothing was changed") || s.From != 6 || s.Twin != 7 || s.Log != 5 || s.Behind() != 0 {
				t.Fatalf("%+v", s)
			}
			if _, err := l.Append(bg, saves("x", 1)); !errors.Is(err, ErrTwinAhead) {
				t.Errorf("saved: %v", err)
			}
			if _, err := l.Book(bg, ""); err != nil {
				t.Errorf("not read: %v", err)
			}
			if err := os.Rename(filepath.Dir(twin.path), filepath.Dir(twin.path)+"-out"); err != nil {
				t.Fatal(err)
			}
			for range 2 {
				if s := twin.Follow(); !errors.Is(s.Err, ErrTwinAway) || !errors.Is(s.Err, ErrTwinAhead) || s.From != 6 || s.Twin != 7 {
					t.Errorf("pulled: %+v", s)
				}
			}
			if _, err := l.Append(bg, saves("x", 1)); !errors.Is(err, ErrTwinAhead) {
				t.Errorf("to pull the stick is no decision: %v", err)
			}
			if err := os.Rename(filepath.Dir(twin.path)+"-out", filepath.Dir(twin.path)); err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(had, twinText(t, twin)) || len(readAll(t, l.path).Entries) != 5 {
				t.Error("something was changed")
			}
			aside, err := twin.SetAside()
			if err != nil || aside != twin.path+".aside-1" {
				t.Fatalf("%s, %v", aside, err)
			}
			if err := twin.Make(); err != nil {
				t.Fatal(err)
			}
			follows(t, twin, 5)
			note(t, l, "goes on")
			follows(t, twin, 1)
			if data, _ := os.ReadFile(aside); !bytes.Equal(had, data) {
				t.Error("what was set aside is not what it was")
			}
		})
	}
}

// A log that was put back is told by what its twin is known to have held, though the stick
// is out; and no more once the log has its entries again, or the twin says otherwise.
func TestTwinAheadByWhatItHeld(t *testing.T) {
	l, twin := rolledBack(t)
	dir := filepath.Dir(twin.path)
	if err := os.Rename(dir, dir+"-out"); err != nil {
		t.Fatal(err)
	}
	if s := twin.Follow(); errors.Is(s.Err, ErrTwinAhead) || !errors.Is(s.Err, ErrTwinAway) || !strings.Contains(s.Err.Error(), "coolhold twin DIR begins one") {
		t.Errorf("nothing is known of it: %+v", s)
	}
	for name, look := range map[string]func(*Twin) TwinState{"look": (*Twin).Look, "follow": (*Twin).Follow} {
		tw := again(t, twin)
		tw.Held(7)
		for range 2 {
			s := look(tw)
			if !errors.Is(s.Err, ErrTwinAhead) || !errors.Is(s.Err, ErrTwinAway) || s.From != 6 || s.Twin != 7 || s.Behind() != 0 {
				t.Fatalf("%s: %+v", name, s)
			}
			for _, says := range []string{"entries 6 to 7", "coolhold restore", "put the stick in; if it is lost", "twin --none --by NAME --why TEXT"} {
				if !strings.Contains(s.Err.Error(), says) {
					t.Errorf("%s does not say %q: %v", name, says, s.Err)
				}
			}
		}
		if _, err := tw.log.Append(bg, saves("x", 1)); !errors.Is(err, ErrTwinAhead) {
			t.Errorf("%s: saved: %v", name, err)
		}
		if tw.Held(5); !errors.Is(look(tw).Err, ErrTwinAway) || tw.Ahead() != nil {
			t.Errorf("%s: what it held is in the log: %v", name, tw.Ahead())
		}
	}
	// A journal that is gone says nothing of the log.
	if err := os.Remove(l.path + ".journal"); err != nil {
		t.Fatal(err)
	}
	whole := again(t, twin)
	whole.Held(5)
	if s := whole.Look(); errors.Is(s.Err, ErrTwinAhead) {
		t.Errorf("the log has all: %+v", s)
	}
	note(t, whole.log, "six")
	note(t, whole.log, "seven, another")
	if err := os.Rename(dir+"-out", dir); err != nil {
		t.Fatal(err)
	}
	seen := again(t, twin)
	seen.Held(9)
	if s := seen.Look(); !errors.Is(s.Err, ErrTwinUnlike) || errors.Is(s.Err, ErrTwinAhead) || seen.Ahead() != nil {
		t.Errorf("the twin says otherwise: %+v", s)
	}
}

// A twin that the log does not have any more keeps nobody from it, and not even when a
// look that was begun before ends.
func TestTwinIsLeft(t *testing.T) {
	l, twin := rolledBack(t)
	if s := twin.Look(); !errors.Is(s.Err, ErrTwinAhead) {
		t.Fatalf("%+v", s)
	}
	began, answer := make(chan struct{}), make(chan struct{})
	twin.open = func(name string, flag int, perm os.FileMode) (twinFile, error) {
		close(began)
		<-answer
		return openTwinFile(name, flag, perm)
	}
	done := make(chan TwinState)
	go func() { done <- twin.Look() }()
	<-began
	if s := twin.Look(); !errors.Is(s.Err, ErrTwinBusy) || !errors.Is(s.Err, ErrTwinAhead) {
		t.Errorf("that nothing is stored is said meanwhile: %+v", s)
	}
	twin.Leave()
	close(answer)
	if s := <-done; !errors.Is(s.Err, ErrTwinAhead) {
		t.Errorf("%+v", s)
	}
	note(t, l, "goes on")
}

// A log that went on after it was put back is another than its twin. What happens
// now can be recorded; the twin stays as it is.
func TestTwinUnlike(t *testing.T) {
	l, twin := rolledBack(t)
	had := twinText(t, twin)
	for n := range 3 {
		note(t, l, fmt.Sprint("another ", n)) // nobody looked yet
		s := twin.Follow()
		if !errors.Is(s.Err, ErrTwinUnlike) || !strings.Contains(s.Err.Error(), "its entry 6 is another than the log's; nothing was changed") || s.From != 6 || s.Twin != 7 {
			t.Fatalf("%d: %+v", n, s)
		}
		if s := again(t, twin).Look(); !errors.Is(s.Err, ErrTwinUnlike) {
			t.Fatalf("%d: %+v", n, s)
		}
	}
	if !bytes.Equal(had, twinText(t, twin)) {
		t.Error("the twin was changed")
	}
	// The last line may be the same and one before it another.
	lines := bytes.SplitAfter(journalText(t, l.path), []byte("\n"))
	lines[3] = []byte(lineInJournal(strings.Replace(string(lines[3][:len(lines[3])-10]), "Ada", "Ida", 1)))
	other := bytes.Join(lines, nil)
	rewrite(t, twin.path, other)
	if s := again(t, twin).Follow(); !errors.Is(s.Err, ErrTwinUnlike) || s.From != 3 {
		t.Errorf("%+v", s)
	}
	if !bytes.Equal(other, twinText(t, twin)) {
		t.Error("the twin was changed")
	}
}

// A twin of another log, even one of that name, is left alone.
func TestTwinOfAnotherLog(t *testing.T) {
	l, twin := twinned(t)
	stranger := lineInJournal(`{"journal":1,"log":"00000000000000000000000000000000","tag":"KM"}`)
	for _, content := range []string{stranger, stranger + lineInJournal(`{"seq":1}`), "a letter\n", "a letter"} {
		rewrite(t, twin.path, []byte(content))
		if s := again(t, twin).Follow(); !errors.Is(s.Err, ErrTwinUnlike) || !strings.Contains(s.Err.Error(), "its first line is not that of this log; name another folder") {
			t.Errorf("%q: %+v", content, s)
		}
		if string(twinText(t, twin)) != content {
			t.Errorf("%q was changed", content)
		}
	}
	note(t, l, "goes on")
}

// No bit of a twin can turn without being seen at the next start, and nothing is
// written then.
func TestTwinDamaged(t *testing.T) {
	_, twin := twinned(t)
	whole := twinText(t, twin)
	draw := rand.New(rand.NewPCG(1, 2))
	seen := map[error]int{}
	for range 200 {
		at := draw.IntN(len(whole))
		if len(seen) < 1 {
			at = len(whole) - 3 // also the last line
		}
		bad := bytes.Clone(whole)
		bad[at] ^= 1 << draw.IntN(8)
		rewrite(t, twin.path, bad)
		tw := again(t, twin)
		s := tw.Follow()
		i := slices.IndexFunc([]error{ErrTwinDamaged, ErrTwinUnlike}, func(e error) bool { return errors.Is(s.Err, e) })
		lost := s.Err == nil && bytes.Equal(whole, twinText(t, twin)) // its last line feed: it is broken off, and was brought up
		if i < 0 && !lost || i >= 0 && !bytes.Equal(bad, twinText(t, twin)) {
			t.Fatalf("byte %d, %02x for %02x: %+v", at, bad[at], whole[at], s)
		}
		seen[[]error{nil, ErrTwinDamaged, ErrTwinUnlike}[i+1]]++
	}
	if seen[ErrTwinDamaged] < 150 {
		t.Errorf("%v", seen)
	}
}

// A bad line of the journal is not handed on, and does not make the twin bad.
func TestTwinOfADamagedJournal(t *testing.T) {
	l, twin := twinned(t)
	had := twinText(t, twin)
	rewrite(t, l.path+".journal", spoilBytes(had, len(had)/2))
	if s := l.Twin(filepath.Dir(twin.path)).Follow(); !errors.Is(s.Err, ErrDamaged) || errors.Is(s.Err, ErrTwinDamaged) || !strings.HasPrefix(s.Err.Error(), l.path+".journal") || !strings.Contains(s.Err.Error(), "that of the twin does") {
		t.Errorf("%+v", s)
	}
	lines := bytes.SplitAfter(had, []byte("\n"))
	rewrite(t, twin.path, bytes.Join(lines[:2], nil))
	if s := l.Twin(filepath.Dir(twin.path)).Follow(); !errors.Is(s.Err, ErrDamaged) || s.Twin != 1 {
		t.Errorf("%+v", s)
	}
	if !bytes.Equal(twinText(t, twin), bytes.Join(lines[:2], nil)) {
		t.Error("a bad line was handed on")
	}
	os.Remove(l.path + ".journal") // until the next save makes it anew
	if s := twin.Follow(); s.Err == nil || errors.Is(s.Err, ErrTwinAhead) || errors.Is(s.Err, ErrTwinUnlike) {
		t.Errorf("%+v", s)
	}
	note(t, l, "six")
	rewrite(t, twin.path, had)
	follows(t, twin, 1)
}

// A stick that is pulled never stops a save, and it catches up when it is back.
func TestTwinPulled(t *testing.T) {
	l, twin := twinned(t)
	dir := filepath.Dir(twin.path)
	out := dir + "-out"
	if err := os.Rename(dir, out); err != nil {
		t.Fatal(err)
	}
	for n := range uint64(3) {
		note(t, l, fmt.Sprint("away ", n))
		if s := twin.Follow(); !errors.Is(s.Err, ErrTwinAway) || s.Behind() != n+1 {
			t.Fatalf("%+v", s)
		}
	}
	// The folder of a stick that is not in may be there: no twin is begun in it.
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	if s := twin.Follow(); !errors.Is(s.Err, ErrTwinAway) || s.Behind() != 3 {
		t.Fatalf("%+v", s)
	}
	if names, _ := os.ReadDir(dir); len(names) > 0 {
		t.Errorf("begun where no stick is: %v", names)
	}
	if err := errors.Join(os.Remove(dir), os.Rename(out, dir)); err != nil {
		t.Fatal(err)
	}
	follows(t, twin, 3)
	// What comes back is compared from its first line: it may be another stick, or one
	// that suffered.
	if err := os.Rename(dir, out); err != nil {
		t.Fatal(err)
	}
	if s := twin.Follow(); !errors.Is(s.Err, ErrTwinAway) {
		t.Fatalf("%+v", s)
	}
	whole := journalText(t, l.path)
	rewrite(t, filepath.Join(out, filepath.Base(twin.path)), spoilBytes(whole, len(whole)/2))
	if err := os.Rename(out, dir); err != nil {
		t.Fatal(err)
	}
	if s := twin.Follow(); !errors.Is(s.Err, ErrTwinDamaged) {
		t.Errorf("%+v", s)
	}
	if err := l.Twin(filepath.Join(dir, "none")).Make(); !errors.Is(err, ErrTwinAway) {
		t.Errorf("made in a folder that is not there: %v", err)
	}
	if err := l.Twin(twin.path).Make(); !errors.Is(err, ErrTwinAway) {
		t.Errorf("made in a file: %v", err)
	}
}

// A spentFile is a file on a disk that is full, or fails, after so many bytes.
type spentFile struct {
	twinFile
	left *int
	why  error
}

func (f spentFile) WriteAt(b []byte, at int64) (int, error) {
	n := min(len(b), *f.left)
	*f.left -= n
	if _, err := f.twinFile.WriteAt(b[:n], at); err != nil || n == len(b) {
		return n, err
	}
	return n, &fs.PathError{Op: "write", Path: "twin", Err: f.why}
}

func (f spentFile) Sync() error {
	if *f.left == 0 {
		return &fs.PathError{Op: "sync", Path: "twin", Err: f.why}
	}
	return f.twinFile.Sync()
}

// onStick lets a twin's file be another.
func (t *Twin) onStick(f func(twinFile) twinFile) {
	t.open = func(name string, flag int, perm os.FileMode) (twinFile, error) {
		file, err := openTwinFile(name, flag, perm)
		if err != nil {
			return nil, err
		}
		return f(file), nil
	}
}

// A stick may be full after any number of bytes.
func TestTwinFull(t *testing.T) {
	l, twin := twinned(t)
	for n := range 40 {
		left := n * 37
		note(t, l, fmt.Sprint("full ", n))
		before := len(twinText(t, twin))
		full := again(t, twin)
		full.onStick(func(f twinFile) twinFile { return spentFile{f, &left, syscall.ENOSPC} })
		s := full.Follow()
		if took := len(twinText(t, twin)) - before; s.Err == nil != (left > 0) || s.Err != nil && (!errors.Is(s.Err, ErrTwinStuck) || !errors.Is(s.Err, syscall.ENOSPC) || s.Behind() != 1 || s.Brought != 0) {
			t.Fatalf("%d bytes left, %d taken: %+v", n*37, took, s)
		}
		note(t, l, fmt.Sprint("goes on ", n))
		if s := twin.Follow(); s.Err != nil || s.Behind() != 0 {
			t.Fatalf("room again: %+v", s)
		}
		same(t, twin)
	}
}

// A carefulFile sees that what is written is synced, and that nothing is cut.
type carefulFile struct {
	twinFile
	unsynced, cuts *int
	fails          error
}

func (f carefulFile) WriteAt(b []byte, at int64) (int, error) {
	*f.unsynced += len(b)
	return f.twinFile.WriteAt(b, at)
}

func (f carefulFile) Sync() error {
	if f.fails == nil {
		*f.unsynced = 0
	}
	return errors.Join(f.fails, f.twinFile.Sync())
}

func (f carefulFile) Truncate(n int64) error {
	*f.cuts++
	return f.twinFile.Truncate(n)
}

// An entry counts as brought up once it is synced. The beginning of a line that another
// program is just writing is not cut: it would be cut out of what that has synced.
func TestTwinIsSyncedAndNotCut(t *testing.T) {
	l, twin := twinned(t)
	var unsynced, cuts int
	careful := func(fails error) {
		twin.onStick(func(f twinFile) twinFile { return carefulFile{f, &unsynced, &cuts, fails} })
	}
	careful(nil)
	note(t, l, "six")
	whole := journalText(t, l.path)
	rewrite(t, twin.path, whole[:len(whole)-20])
	follows(t, twin, 1)
	if unsynced != 0 || cuts != 0 {
		t.Errorf("%d bytes are not synced, cut %d times", unsynced, cuts)
	}
	note(t, l, "seven")
	careful(&fs.PathError{Op: "sync", Path: "twin", Err: syscall.EIO})
	if s := twin.Follow(); !errors.Is(s.Err, ErrTwinStuck) || s.Brought != 0 || s.Behind() != 1 {
		t.Errorf("not synced: %+v", s)
	}
	careful(nil)
	if s := twin.Follow(); s.Err != nil {
		t.Errorf("%+v", s)
	}
	same(t, twin)
	rewrite(t, twin.path, append(journalText(t, l.path), "no line of this log"...))
	if s := twin.Follow(); s.Err != nil || cuts != 1 {
		t.Errorf("%+v, cut %d times", s, cuts)
	}
	same(t, twin)
}

// A twin that can only be read is compared all the same.
func TestTwinReadOnly(t *testing.T) {
	readOnly := func(tw *Twin) *Twin {
		tw.open = func(name string, flag int, perm os.FileMode) (twinFile, error) {
			if flag != os.O_RDONLY {
				return nil, &fs.PathError{Op: "open", Path: name, Err: syscall.EROFS}
			}
			return openTwinFile(name, flag, perm)
		}
		return tw
	}
	l, twin := twinned(t)
	if s := readOnly(twin).Follow(); s.Err != nil {
		t.Errorf("nothing to write: %+v", s)
	}
	note(t, l, "six")
	if s := twin.Follow(); !errors.Is(s.Err, ErrTwinStuck) || !errors.Is(s.Err, syscall.EROFS) || s.Behind() != 1 {
		t.Errorf("%+v", s)
	}
	note(t, l, "seven")
	_, ahead := rolledBack(t)
	if s := readOnly(ahead).Follow(); !errors.Is(s.Err, ErrTwinAhead) {
		t.Errorf("%+v", s)
	}
}

// waitingFile answers a write when it is told to.
type waitingFile struct {
	twinFile
	began, answer chan struct{}
}

func (f waitingFile) WriteAt(b []byte, at int64) (int, error) {
	f.began <- struct{}{}
	<-f.answer
	return f.twinFile.WriteAt(b, at)
}

// While a stick does not answer, saves go on and nobody waits for it.
func TestTwinThatDoesNotAnswer(t *testing.T) {
	l, twin := twinned(t)
	note(t, l, "six")
	began, answer := make(chan struct{}, 9), make(chan struct{})
	twin.onStick(func(f twinFile) twinFile { return waitingFile{f, began, answer} })
	done := make(chan TwinState)
	go func() { done <- twin.Follow() }()
	<-began
	for n := range 3 {
		note(t, l, fmt.Sprint("meanwhile ", n))
		if s := twin.Follow(); !errors.Is(s.Err, ErrTwinBusy) {
			t.Errorf("%+v", s)
		}
	}
	close(answer)
	if s := <-done; s.Err != nil || s.Twin < 6 {
		t.Errorf("%+v", s)
	}
	twin.open = openTwinFile
	if s := twin.Follow(); s.Err != nil || s.Twin != 9 {
		t.Errorf("%+v", s)
	}
	same(t, twin)
}

// Several programs save into one log and bring up one twin.
func TestTwinOfSeveralPrograms(t *testing.T) {
	_, twin := twinned(t)
	var all sync.WaitGroup
	for p := range 3 {
		mine := again(t, twin)
		all.Go(func() {
			for i := range 20 {
				if _, err := mine.log.Append(within(Patience*20), saves(fmt.Sprint("p", p, " ", i), 1+i%3)); err != nil {
					t.Error(err)
				}
				if s := mine.Follow(); s.Err != nil {
					t.Error(s.Err)
				}
			}
		})
	}
	all.Wait()
	if s := twin.Follow(); s.Err != nil {
		t.Error(s.Err)
	}
	same(t, twin)
}

// What is sealed lies beside the twin, each seal in a file of its own.
func TestTwinKeepsSeals(t *testing.T) {
	l := aSealedHour(t)
	twin := l.Twin(t.TempDir())
	if err := twin.Make(); err != nil {
		t.Fatal(err)
	}
	v := holds(t, l.path)
	follows(t, twin, uint64(v.Entries))
	if len(v.Seals) != 2 {
		t.Fatalf("%d seals", len(v.Seals))
	}
	for _, s := range v.Seals {
		name := fmt.Sprintf("%s-%d.seal", strings.TrimSuffix(twin.path, ".twin"), s.Seal.Entries)
		if data, err := os.ReadFile(name); err != nil || string(data) != s.Sealed.Note {
			t.Errorf("%s: %v", name, err)
		}
	}
	if names, _ := os.ReadDir(filepath.Dir(twin.path)); len(names) != 3 {
		t.Errorf("%d files", len(names))
	}
}
