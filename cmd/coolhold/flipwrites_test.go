//go:build unix

package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/store"
	"coolhold/logbook/store/soaktest"
)

// A spoilt log is a sound one with its journal, written once more with one bit
// turned.
type spoilt struct {
	t             *testing.T
	s             *soaktest.Soak
	what          string // where
	path          string
	data, journal []byte // as they are right
	at            int
}

func spoiltAt(t *testing.T, counted *soaktest.Soak, dir string, n int, data, journal []byte, at int) spoilt {
	t.Helper()
	bit := byte(1) << (n / 2 % 8)
	counted.Ran()
	s := spoilt{t, counted, fmt.Sprintf("byte %d turned by %#x", at, bit), filepath.Join(dir, fmt.Sprint(n, ".coolhold")), data, journal, at}
	bad := bytes.Clone(data)
	bad[at] ^= bit
	if err := errors.Join(os.WriteFile(s.path, bad, 0o600), os.WriteFile(s.path+".journal", journal, 0o600)); err != nil {
		t.Error(err)
	}
	return s
}

// holds makes sure that nothing is lost, whatever was tried: the journal begins with
// what it had, the log is that or refuses to be read, and where nothing was stored
// only the bit is wrong with it. It gives the number of entries that came.
func (s spoilt) holds() (more int) {
	s.t.Helper()
	now, err := os.ReadFile(s.path + ".journal")
	if err != nil || !bytes.HasPrefix(now, s.journal) {
		s.s.Loses("%s: the journal lost something (%v)", s.what, err)
	}
	more = bytes.Count(now, []byte("\n")) - bytes.Count(s.journal, []byte("\n"))
	if snap, err := store.ReadAll(context.Background(), s.path); err == nil {
		if want := bytes.Count(now, []byte("\n")) - 1; len(snap.Entries) != want {
			s.s.Loses("%s: the log has %d entries, its journal %d", s.what, len(snap.Entries), want)
		}
	} else if !errors.Is(err, store.ErrDamaged) {
		s.s.Loses("%s: %v", s.what, err)
	}
	if more == 0 {
		s.mended()
	}
	return more
}

// mended turns the bit back: then all is there.
func (s spoilt) mended() {
	s.t.Helper()
	f, err := os.OpenFile(s.path, os.O_WRONLY, 0)
	if err == nil {
		_, err = f.WriteAt(s.data[s.at:s.at+1], int64(s.at))
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		s.t.Error(err)
	}
	if snap, err := store.ReadAll(context.Background(), s.path); err != nil || len(snap.Entries) != bytes.Count(s.journal, []byte("\n"))-1 {
		s.s.Loses("%s: nothing was stored, and the log is another: %d entries, %v", s.what, len(snap.Entries), err)
	}
}

func (s spoilt) removed() {
	for _, end := range []string{"", ".journal", ".beat"} {
		_ = os.Remove(s.path + end) // what is left goes with the folder
	}
}

// Whatever bit of the file is turned: a verb that writes stores what it was given,
// or refuses in one clear line, and loses nothing.
func TestSoakFlipsWritten(t *testing.T) {
	t.Parallel()
	counted := soaktest.New(t, "one bit of the file, written", "drawn by seed; a note or a seal is stored or refused in one line, and the journal keeps what it had")
	data, journal, env := sealedExample(t)
	dir, n := t.TempDir(), max(15, flips(t)/2)
	at := places(rand.New(rand.NewPCG(20260309, 2)), data, n)
	var stored, refused atomic.Int64
	var running sync.WaitGroup
	for worker := range 2 {
		running.Go(func() {
			for i := worker; i < n; i += 2 {
				s := spoiltAt(t, counted, dir, i, data, journal, at[i])
				if s.written(env, i/2) {
					stored.Add(1)
				} else {
					refused.Add(1)
				}
			}
		})
	}
	running.Wait()
	counted.Counts("%d stored, %d refused", stored.Load(), refused.Load())
	if stored.Load() == 0 || refused.Load() == 0 {
		t.Error("the flips did not show the difference between a sound log and a spoilt one")
	}
}

// written lets a verb write, tells whether it did, and takes the log away.
func (s spoilt) written(env []string, turn int) bool {
	defer s.removed()
	verb := [][]string{
		{"note", "XM-0001", "seen again", "--by", "Ada Invented", "--other"},
		{"seal", "--by", "Ada Invented"},
	}[turn%2]
	got := limited(s.t, env, append(verb, "--log", s.path)...)
	clear := got.code == exitLog && strings.Count(got.err, "\n") == 1 && strings.HasPrefix(got.err, "coolhold: "+s.path+": ")
	more := s.holds()
	if got.code == exitDone && more == 1 {
		return true
	}
	if !clear || more != 0 {
		s.s.Lies("%s, %s: exit code %d, %d entries more\n%.300s\n%.2000s", s.what, verb[0], got.code, more, got.out, got.err)
	}
	return false
}

// Whatever bit of the file is turned: the board starts or says in one line why not,
// goes on being one, stores an answer or says that it is not stored, and ends in
// order.
func TestSoakFlipsOnTheBoard(t *testing.T) {
	counted := soaktest.New(t, "one bit of the file, on the board", "drawn by seed; the board opens or says why not, stores an answer or says that it is not stored")
	data, journal, env := sealedExample(t)
	dir, n := t.TempDir(), max(2, flips(t)/10)
	count := map[string]int{}
	for i, at := range places(rand.New(rand.NewPCG(20260309, 3)), data, n) {
		s := spoiltAt(t, counted, dir, i, data, journal, at)
		count[onBoard(t, s, env)]++
		s.removed()
	}
	counted.Counts("%v", count)
}

// onBoard opens the board on a spoilt log, gives it an answer and leaves.
func onBoard(t *testing.T, s spoilt, env []string) string {
	x := openBoard(t, append(env, "COOLHOLD_THEME=", keysEnv+"="+s.path+".scanning"), "--log", s.path)
	defer x.close()
	x.gap = 0
	outcome := "stored"
	sees := func(texts ...string) func() bool {
		return func() bool {
			for _, text := range texts {
				if strings.Contains(x.screen(), text) {
					return true
				}
			}
			return x.over()
		}
	}
	shows := func(texts ...string) {
		t.Helper()
		err := x.await(sees(texts...), patience)
		select {
		case <-x.ended: // what it says when it ends is looked at below
			x.exitCode()
		default:
			if err != nil {
				t.Errorf("%s: %v", s.what, err)
			}
		}
	}
	shows("joints open.", "cannot be read")
	if !x.over() && strings.Contains(x.screen(), "joints open.") && !strings.Contains(x.screen(), "cannot be read") {
		x.press("2")
		shows("▸ weather")
		x.press("2", "1")
		shows("NOT STORED", "joints open.")
	}
	if !x.over() {
		if strings.Contains(x.screen(), "NOT STORED") || strings.Contains(x.screen(), "cannot be read") {
			outcome = "said"
		}
		x.press("ctrl+c")
	} else {
		outcome = "not opened"
	}
	code := x.exitCode()
	<-x.ended
	said := string(x.said)
	if bad := strings.Contains(said, "goroutine ") || strings.Contains(said, "fatal error"); bad || code != exitDone && code != exitLog {
		s.s.Lies("%s: exit code %d\n%.3000s", s.what, code, said)
	}
	s.holds()
	return outcome
}

// over tells whether the program has ended.
func (x *terminal) over() bool {
	select {
	case <-x.exited:
		return true
	default:
		return false
	}
}

// What is found on the copy stands on the board, and nothing more is saved where a
// page is not what was written; Esc does not take it away.
func TestBoardSaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	counted := soaktest.New(t, "a page that opening the log does not touch", "how many elements it has is another number; the board says so and saves no more")
	data, journal, env := sealedExample(t)
	for at := 2; at < len(data)/pageLength; at++ {
		s := spoiltAt(t, counted, t.TempDir(), 0, data, journal, at*pageLength+10) // how many elements a page has
		if !hidden(t, s) {
			continue
		}
		tmp := t.TempDir()
		x := openBoard(t, append(env, "COOLHOLD_THEME=", "TMPDIR="+tmp, keysEnv+"="+s.path+".scanning"), "--log", s.path)
		x.gap = 0
		x.waitFor("NOTHING MORE IS SAVED:")
		x.press("esc") // to the question whether to leave, and back
		x.waitFor("NOTHING MORE IS SAVED:")
		x.press("esc")
		x.waitFor("joints open.")
		x.press("2")
		x.waitFor("▸ weather")
		x.press("2", "1")
		x.waitFor("NOT STORED")
		x.press("ctrl+c")
		if code := x.exitCode(); code != exitDone {
			t.Errorf("exit code %d", code)
		}
		if left, err := os.ReadDir(tmp); err != nil || len(left) > 0 {
			t.Errorf("left %v (%v)", left, err)
		}
		s.holds()
		return
	}
	t.Error("no page can be spoilt that opening the log does not touch")
}

// pageLength is that of a log's pages.
const pageLength = 4096

// hidden tells whether a log can be opened and shown though a page is damaged.
func hidden(t *testing.T, s spoilt) bool {
	l, err := store.Open(s.path)
	if err != nil {
		return false
	}
	if _, err := l.Book(context.Background(), ""); err != nil {
		return false
	}
	// What is found at the start is stored as on the board.
	if _, err := l.Append(context.Background(), func(logbook.Reader) ([]logbook.Draft, error) { return nil, nil }); err != nil {
		return false
	}
	tmp := filepath.Join(t.TempDir(), "look")
	if err := os.WriteFile(tmp, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	found, err := store.LookThrough(context.Background(), s.path, tmp)
	return err == nil && found.Stop
}

// A journal that is damaged beside a log that holds shuts no verb out: it is said
// on stderr, kept and made anew; restore does the same.
func TestVerbsOnABadJournal(t *testing.T) {
	data, journal, env := sealedExample(t)
	dir := t.TempDir()
	path := filepath.Join(dir, "a.coolhold")
	write := func(journal []byte) {
		if err := errors.Join(os.WriteFile(path, data, 0o600), os.WriteFile(path+".journal", journal, 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	write(append(bytes.Clone(journal), "\n"...))
	got := limited(t, env, "copy", filepath.Join(dir, "b.coolhold"), "--log", path)
	if want := "coolhold: " + path + ": its journal was damaged (the last line is not an entry): it is kept as " + path + ".journal.bad-1"; got.code != exitDone || !strings.HasPrefix(got.err, want) {
		t.Errorf("copy: %+v", got)
	}
	middle := bytes.Clone(journal)
	middle[len(middle)/2] ^= 4
	write(middle)
	got = limited(t, env, "restore", path)
	if !strings.HasPrefix(got.out, path+": its journal was damaged (line ") || got.code != exitDone {
		t.Errorf("restore: %+v", got)
	}
	if now, err := os.ReadFile(path + ".journal"); err != nil || !bytes.Equal(now, journal) {
		t.Errorf("the journal is not what it was (%v)", err)
	}
	if kept, err := os.ReadFile(path + ".journal.bad-2"); err != nil || !bytes.Equal(kept, middle) {
		t.Errorf("the bad one is not kept (%v)", err)
	}
}
