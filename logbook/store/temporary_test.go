package store

import (
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
	"time"

	"coolhold/logbook"
)

// What a log is made of is for its owner alone; beside one that was opened to others,
// what is made anew is too.
func TestRightsOfALog(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has other rights")
	}
	l := fresh(t)
	add(t, l, draft("a", logbook.Note{}))
	rights := func(want os.FileMode) {
		t.Helper()
		if err := l.Beat(stamp(0)); err != nil {
			t.Fatal(err)
		}
		for _, end := range []string{"", ".journal", ".beat"} {
			if info, err := os.Stat(l.path + end); err != nil || info.Mode().Perm() != want {
				t.Errorf("%q: %v, %v, want %v", end, info.Mode(), err, want)
			}
		}
	}
	rights(0o600)
	copied := filepath.Join(t.TempDir(), "copy")
	if err := l.Copy(bg, copied); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(copied); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the copy: %v, %v", info.Mode(), err)
	}
	for _, err := range []error{os.Chmod(l.path, 0o664), os.Remove(l.path + ".journal"), os.Remove(l.path + ".beat")} {
		if err != nil {
			t.Fatal(err)
		}
	}
	add(t, l, draft("b", logbook.Note{}))
	rights(0o664)
}

// While a copy is read no folder names it, so that no end of the program leaves it.
func TestCopyToReadHasNoName(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("here a file that is open keeps its name")
	}
	l, dir := fresh(t), t.TempDir()
	add(t, l, draft("a", logbook.Note{}))
	t.Setenv("TMPDIR", dir)
	err := ReadLines(bg, l.path, func(lines Lines) error {
		left, err := os.ReadDir(dir)
		n := 0
		if err == nil {
			err = lines.Each(func([]byte) { n++ })
		}
		if len(left) > 0 || n != 1 {
			t.Errorf("%v, %d lines", left, n)
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

// What a killed program left goes: only of that name, only when old.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	now := time.Now()
	for name, old := range map[string]bool{
		"coolhold-reading-1.tmp": true, "coolhold-reading-2.tmp": false, "coolhold-3.copy": true, "monday.coolhold": true, "coolhold-reading-4.coolhold": true,
	} {
		path, at := filepath.Join(dir, name), now
		if old {
			at = now.Add(-leftAfter - time.Minute)
		}
		if err := os.WriteFile(path, []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(path, at, at); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(filepath.Join(dir, "coolhold-reading-5.tmp"), 0o700); err != nil {
		t.Fatal(err)
	}
	sweep(dir, now)
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 5 {
		t.Errorf("%v, %v", left, err)
	}
	if _, err := os.Stat(filepath.Join(dir, "coolhold-reading-1.tmp")); !os.IsNotExist(err) {
		t.Errorf("the old one is still there: %v", err)
	}
}

// A copy on its way to a stick lies in a folder of its own, which a killed program leaves:
// the next that makes one removes it when it is old, and never what else lies in it.
func TestFoldersOfCopiesAreSwept(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("TMPDIR", dir)
	t.Setenv("TMP", dir) // on Windows
	sweeps = sync.Once{} // as in a program that has just begun
	now := time.Now()
	put := func(folder, file string, age time.Duration) {
		t.Helper()
		at := filepath.Join(dir, folder)
		if err := os.MkdirAll(at, 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(at, file), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(at, now.Add(-age), now.Add(-age)); err != nil {
			t.Fatal(err)
		}
	}
	old := leftAfter + time.Minute
	put("coolhold-copy-1", "copy.coolhold", old)
	put("coolhold-copy-2", "copy.coolhold.part-77", old)
	put("coolhold-copy-3", "copy.coolhold", time.Minute)
	put("coolhold-copy-4", "letter.txt", old)
	put("my-coolhold-copy-5", "copy.coolhold", old)
	path, remove, err := TemporaryCopy()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, stays := range map[string]bool{"coolhold-copy-1": false, "coolhold-copy-2": false, "coolhold-copy-3": true, "coolhold-copy-4": true, "my-coolhold-copy-5": true} {
		if _, err := os.Stat(filepath.Join(dir, name)); (err == nil) != stays {
			t.Errorf("%s: %v, it is to stay: %t", name, err, stays)
		}
	}
	remove()
	if _, err := os.Stat(filepath.Dir(path)); !os.IsNotExist(err) {
		t.Errorf("its own folder: %v", err)
	}
}
