package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"coolhold/logbook"
)

// remake is a made-up step: it makes a part of the log anew.
func remake(name string) step {
	return func(b *bolt.Tx) error {
		pause("changing")
		var all []value
		err := b.Bucket([]byte(name)).ForEach(func(k, v []byte) error {
			all = append(all, value{bytes.Clone(k), bytes.Clone(v)})
			return nil
		})
		if err := errors.Join(err, b.DeleteBucket([]byte(name))); err != nil {
			return err
		}
		anew, err := b.CreateBucket([]byte(name))
		for _, v := range all {
			err = errors.Join(err, anew.Put(v.key, v.stored))
		}
		return err
	}
}

// twoSteps lead to format 4.
var twoSteps = []step{remake("meta"), remake("site")}

// formatIn is the format that a file says it has.
func formatIn(t testing.TB, path string) (n string) {
	t.Helper()
	raw(t, path, func(b *bolt.Tx) error {
		payload, _ := unsum([]byte("format"), b.Bucket([]byte("meta")).Get([]byte("format")))
		n = string(payload)
		return nil
	})
	return n
}

// wholeLog makes sure that a file is a log of that format in which nothing is
// wrong, with those lines.
func wholeLog(t testing.TB, path string, format int, lines [][]byte) {
	t.Helper()
	var has [][]byte
	r, err := verifyCopy(path, path, checking{format: format, deep: true, each: func(line []byte, _ logbook.Entry) { has = append(has, line) }})
	if err != nil || len(r.Faults) > 0 || !r.Deep {
		t.Fatalf("%s: %v, %v", path, r.Faults, err)
	}
	if !bytes.Equal(bytes.Join(has, nil), bytes.Join(lines, nil)) {
		t.Errorf("%s has %d lines, should have %d", path, r.Entries, len(lines))
	}
}

func TestMigrate(t *testing.T) {
	l := aDay(t)
	path := clone(t, l.path)
	want, lines, old := dumpLog(t, l), storedLines(t, path), spoil(t, path)
	var taken []string
	mark := func(name string) step {
		return func(b *bolt.Tx) error { taken = append(taken, name); return remake("meta")(b) }
	}
	m, err := open(path, []step{mark("a"), mark("b")})
	if err != nil {
		t.Fatal(err)
	}
	if got := dumpLog(t, m); got != want || fmt.Sprint(taken) != "[a b]" || formatIn(t, path) != "4" {
		t.Errorf("steps %q, format %s, migrated to\n%s\nfrom\n%s", taken, formatIn(t, path), got, want)
	}
	wholeLog(t, path, 4, lines)
	if again, err := open(path, []step{mark("c"), mark("d")}); err != nil || len(taken) != 2 {
		t.Errorf("opened again: %v, %q", err, taken)
	} else {
		add(t, again, draft("more", logbook.Note{}))
		inStep(t, path)
	}
	if three, err := open(path, []step{mark("a"), mark("b"), mark("e")}); err != nil || fmt.Sprint(taken) != "[a b e]" || three.id != l.id {
		t.Errorf("one step more: %v, %q", err, taken)
	}
	if kept := spoil(t, path+".before-v4"); !bytes.Equal(kept, old) {
		t.Error("what was kept is not what was")
	}
	wholeLog(t, path+".before-v5", 4, storedLines(t, path))
	if left := parts(filepath.Dir(path)); len(left) > 0 {
		t.Errorf("left %q", left)
	}
}

// A program without the steps refuses what one with them wrote, and one that has
// the log open does not write into an older one that took its place.
func TestMigratedAndOlderPrograms(t *testing.T) {
	l := aDay(t)
	path := clone(t, l.path)
	old := spoil(t, path)
	m, err := open(path, twoSteps)
	if err != nil {
		t.Fatal(err)
	}
	_, restore := Restore(bg, path, path+".restored", stamp(0))
	all := entrances(path)
	all["restore"] = restore
	_, all["append"] = l.at(path).Append(bg, saves("x", 1))
	all["view"] = l.at(path).View(bg, func(logbook.Reader) error { return nil })
	for name, err := range all {
		t.Log(name)
		wantLine(t, err, ErrNewer, "format 4, this one reads up to 2")
	}
	wholeLog(t, path, 4, storedLines(t, l.path))
	rewrite(t, path, old)
	if _, err := m.Append(bg, saves("x", 1)); err == nil || !strings.Contains(err.Error(), "open it once") {
		t.Errorf("append to an older format: %v", err)
	}
}

// entrances are the ways in which a file is opened that may be no log of ours.
func entrances(path string) map[string]error {
	_, open := Open(path)
	_, read := ReadAll(bg, path)
	_, site := ReadSite(bg, path, "meadow", time.Time{})
	_, verify := Verify(bg, path, false)
	_, deep := Verify(bg, path, true)
	return map[string]error{"open": open, "read": read, "read a site": site, "verify": verify, "verify deep": deep}
}

// A step that breaks off, or that would harm the log, changes nothing.
func TestMigrationRefused(t *testing.T) {
	l := aSealedHour(t)
	broken := errors.New("broken")
	for want, harm := range map[string]step{
		"the step to format 3: broken": func(*bolt.Tx) error { return broken },
		"entry 4 is missing":           func(b *bolt.Tx) error { return b.Bucket([]byte("entry")).Delete(key64(4)) },
		"is no word of the format":     func(b *bolt.Tx) error { return store(b, "meta", "more", []byte("x")) },
		"is missing: the entries make it": func(b *bolt.Tx) error {
			return b.Bucket([]byte("within")).Delete(withinKey("00000000000000a1", 2))
		},
		"the seal in entry": func(b *bolt.Tx) error { return store(b, "meta", "tag", []byte("MK")) },
	} {
		path := clone(t, l.path)
		old := spoil(t, path)
		_, err := open(path, []step{harm})
		if err == nil || !strings.Contains(err.Error(), "not brought to format 3, nothing was changed: ") || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
		if !bytes.Equal(spoil(t, path), old) {
			t.Errorf("%s: the log was changed", want)
		}
		if left, _ := filepath.Glob(path + ".*"); len(left) != 1 || left[0] != path+".journal" {
			t.Errorf("%s: left %q", want, left)
		}
	}
}

// A second time keeps the old one under another name.
func TestMigrationKeepsEach(t *testing.T) {
	l := aDay(t)
	path := clone(t, l.path)
	rewrite(t, path+".before-v4", []byte("of an earlier try"))
	if _, err := open(path, twoSteps); err != nil {
		t.Fatal(err)
	}
	if string(spoil(t, path+".before-v4")) != "of an earlier try" {
		t.Error("the earlier one was replaced")
	}
	wholeLog(t, path+".before-v4-2", firstFormat, storedLines(t, l.path))
}

// migrateEnv makes the test binary a program that brings the log it names up, and
// dieEnv says at which of the points between it is killed.
const (
	migrateEnv = "COOLHOLD_STORE_TEST_MIGRATE"
	dieEnv     = "COOLHOLD_STORE_TEST_DIE"
)

func migrateAndDie(path string) int {
	left, _ := strconv.Atoi(os.Getenv(dieEnv))
	pause = func(at string) {
		if at == "opened" {
			return
		}
		if left--; left == 0 {
			self, _ := os.FindProcess(os.Getpid())
			_ = self.Kill()
			time.Sleep(time.Hour) // is dead long before
		}
	}
	if _, err := open(path, twoSteps); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

// Killed at any point between: a whole log has the name, the old one or the new,
// nothing is lost, and the next try brings it up.
func TestKilledWhileMigrating(t *testing.T) {
	l := aDay(t)
	lines := storedLines(t, l.path)
	seen := map[string]int{}
	for n := 1; ; n++ {
		path := clone(t, l.path)
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), migrateEnv+"="+path, dieEnv+"="+strconv.Itoa(n))
		cmd.Stderr = os.Stderr
		err := cmd.Run()
		has := formatIn(t, path)
		seen[has]++
		switch has {
		case "2":
			wholeLog(t, path, 2, lines)
		case "4":
			wholeLog(t, path, 4, lines)
			wholeLog(t, path+".before-v4", 2, lines)
		default:
			t.Fatalf("killed at point %d: format %s", n, has)
		}
		inStep(t, path)
		onlyParts(t, path)
		m, again := open(path, twoSteps)
		if again != nil {
			t.Fatalf("killed at point %d, then: %v", n, again)
		}
		wholeLog(t, path, 4, lines)
		add(t, m, draft("after", logbook.Note{}))
		inStep(t, path)
		if err == nil {
			break
		}
	}
	if seen["2"] < 8 || seen["4"] != 2 {
		t.Errorf("killed with these formats left: %v", seen)
	}
}

// onlyParts makes sure that nothing stands beside a log but what the package
// comment names.
func onlyParts(t testing.TB, path string) {
	t.Helper()
	beside, _ := filepath.Glob(path + "?*")
	for _, name := range beside {
		end := strings.TrimPrefix(name, path)
		if end != ".journal" && end != ".before-v4" && !strings.HasPrefix(end, ".part-") {
			t.Errorf("%s stands beside it", name)
		}
	}
}

// Who waits for the lock while the log is brought up has the old file in his
// hands: he must not write into it, nor read it.
func TestWhoWaitsWhileMigrating(t *testing.T) {
	inHand(t)
	defer func() { pause = func(string) {} }()
	for _, c := range []struct {
		name string
		call func(*Log) error
		more int // entries
	}{
		{"append", func(l *Log) error { _, err := l.Append(bg, saves("waited", 2)); return err }, 2},
		{"view", func(l *Log) error {
			return l.View(bg, func(r logbook.Reader) error { r.Welds("meadow"); return nil })
		}, 0},
		{"copy", func(l *Log) error { return l.Copy(bg, l.path+".copy") }, 0},
		{"open", func(l *Log) error { _, err := open(l.path, l.steps); return err }, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			day := aDay(t)
			lines := storedLines(t, day.path)
			path := clone(t, day.path)
			waits := newLog(path, twoSteps)
			waits.id, waits.tag = day.id, day.tag
			between(t, func() error { _, err := open(path, twoSteps); return err })
			if err := c.call(waits); err != nil {
				t.Fatal(err)
			}
			wholeLog(t, path+".before-v4", firstFormat, lines)
			if now := storedLines(t, path); len(now) != len(lines)+c.more || formatIn(t, path) != "4" {
				t.Errorf("the log has %d entries, format %s", len(now), formatIn(t, path))
			}
			inStep(t, path)
			if c.name == "copy" {
				wholeLog(t, path+".copy", 4, lines)
			}
			if left, _ := filepath.Glob(path + ".before-v4-2"); left != nil {
				t.Error("it was brought up twice")
			}
		})
	}
}

// inHand skips what cannot be on Windows: that a file which somebody has open loses its
// name.
func inHand(t *testing.T) {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("Windows gives the name of an open file to no other")
	}
}

// Of many programs that find an older log at once one brings it up, once, and what the
// others then write stays.
func TestManyMigrateAtOnce(t *testing.T) {
	l := aDay(t)
	for round := range 5 {
		path := clone(t, l.path)
		var all sync.WaitGroup
		for i := range 6 {
			all.Go(func() {
				m, err := open(path, twoSteps)
				for tries := 0; errors.Is(err, ErrLocked) && tries < 100; tries++ {
					m, err = open(path, twoSteps)
				}
				if err == nil {
					_, err = m.Append(within(time.Minute), saves(fmt.Sprintf("p%d", i), 1))
				}
				if err != nil {
					t.Errorf("round %d: %v", round, err)
				}
			})
		}
		all.Wait()
		if has, want := len(storedLines(t, path)), len(storedLines(t, l.path))+6; has != want {
			t.Errorf("round %d: %d entries, want %d", round, has, want)
		}
		inStep(t, path)
		if left, _ := filepath.Glob(path + ".before-v4*"); len(left) != 1 {
			t.Errorf("round %d: kept %q", round, left)
		}
		if left, _ := filepath.Glob(path + ".changing"); left != nil {
			t.Errorf("round %d: left %q", round, left)
		}
	}
}

// inUse is a copy of a log that was read: what is saved next takes one opening.
func inUse(t *testing.T, l *Log, path string) *Log {
	t.Helper()
	c := l.at(path)
	if _, err := c.Book(bg, "meadow"); err != nil {
		t.Fatal(err)
	}
	return c
}

// between lets f run at the next opening of a file, between that and the lock.
func between(t *testing.T, f func() error) {
	t.Helper()
	pause = func(at string) {
		if at != "opened" {
			return
		}
		pause = func(string) {}
		if err := f(); err != nil {
			t.Error(err)
		}
	}
}

// A program without the steps that waited refuses the new file, and stores nothing
// in the old one, where nobody would find it.
func TestOlderProgramWaitsWhileMigrating(t *testing.T) {
	inHand(t)
	defer func() { pause = func(string) {} }()
	day := aDay(t)
	path := clone(t, day.path)
	lines := storedLines(t, path)
	l := inUse(t, day, path)
	between(t, func() error { _, err := open(path, twoSteps); return err })
	_, err := l.Append(bg, saves("x", 1))
	wantLine(t, err, ErrNewer, "format 4, this one reads up to 2")
	wholeLog(t, path, 4, lines)
	wholeLog(t, path+".before-v4", firstFormat, lines)
}

// The lock of a log that was moved away is no lock on what stands there now.
func TestLogMovedAwayWhileWaiting(t *testing.T) {
	inHand(t)
	defer func() { pause = func(string) {} }()
	l := aDay(t)
	path := clone(t, l.path)
	used := inUse(t, l, path)
	between(t, func() error { return os.Rename(path, path+".away") })
	_, err := used.Append(bg, saves("x", 1))
	wantLine(t, err, ErrNoLog, "but its journal is there")
	wholeLog(t, path+".away", firstFormat, storedLines(t, l.path))
}

// A log of the format before any release is refused in one line by whatever opens
// it, and nothing is made beside it. It had larger pages.
func TestFormatOneIsRefused(t *testing.T) {
	for _, size := range []int{oldPageSize, pageSize} {
		path := filepath.Join(t.TempDir(), "old.log")
		db, err := bolt.Open(path, 0o666, &bolt.Options{PageSize: size})
		if err != nil {
			t.Fatal(err)
		}
		err = db.Update(func(b *bolt.Tx) error {
			for _, name := range []string{"meta", "entry", "hash", "site", "joint", "weld", "shift", "day", "open"} {
				if _, err := b.CreateBucket([]byte(name)); err != nil {
					return err
				}
			}
			return errors.Join(store(b, "meta", "format", []byte("1")), store(b, "meta", "id", bytes.Repeat([]byte("a"), 32)),
				store(b, "meta", "tag", []byte("KM")), store(b, "entry", string(key64(1)), []byte(`{"seq":1,"id":"x.0","kind":"note","v":1,"body":{}}`)))
		})
		if err := errors.Join(err, db.Close()); err != nil {
			t.Fatal(err)
		}
		rewrite(t, path+".journal", []byte(`{"seq":1,"id":"x.0","kind":"note","v":1,"body":{}}`+"\n"+`{"seq":2}`+"\n"))
		old, journal := spoil(t, path), spoil(t, path+".journal")
		l := newLog(path, nil)
		l.id, l.tag = strings.Repeat("a", 32), "KM"
		all := entrances(path)
		_, all["restore"] = Restore(bg, path, path+".restored", stamp(0))
		_, all["append"] = l.Append(bg, saves("x", 1))
		all["view"] = l.View(bg, func(logbook.Reader) error { return nil })
		all["copy"] = l.Copy(bg, path+".copy")
		_, all["with steps"] = open(path, twoSteps)
		for name, err := range all {
			if err == nil {
				t.Errorf("%s: not refused", name)
				continue
			}
			if err.Error() != path+": the log was made before the first release and cannot be read: format 1; make a new log; this one is not touched" {
				t.Errorf("%s, pages of %d bytes:\n%v", name, size, err)
			}
			wantLine(t, err, ErrOld, "")
		}
		if !bytes.Equal(spoil(t, path), old) || !bytes.Equal(spoil(t, path+".journal"), journal) {
			t.Error("something was changed")
		}
		if left, _ := filepath.Glob(path + ".*"); len(left) != 1 {
			t.Errorf("beside it stands %q", left)
		}
	}
}
