package whole

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
)

// holds checks that a folder has just these files.
func holds(t *testing.T, dir string, want map[string]string) {
	t.Helper()
	found, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range found {
		data, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if text, known := want[f.Name()]; !known || string(data) != text || err != nil {
			t.Errorf("%s holds %q, %v", f.Name(), data, err)
		}
	}
	if len(found) != len(want) {
		t.Errorf("%d files, want %d", len(found), len(want))
	}
}

func TestNewReplacesNothing(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a")
	if err := New(path, Bytes([]byte("first"), 0o600)); err != nil {
		t.Fatal(err)
	}
	filled := false
	err := New(path, func(string) error { filled = true; return nil })
	if !errors.Is(err, fs.ErrExist) || filled {
		t.Errorf("second time: %v, filled %t", err, filled)
	}
	quicker := func(part string) error {
		return errors.Join(Bytes([]byte("mine"), 0o600)(part), os.WriteFile(filepath.Join(dir, "b"), []byte("theirs"), 0o600))
	}
	if err := New(filepath.Join(dir, "b"), quicker); !errors.Is(err, fs.ErrExist) {
		t.Errorf("another program was quicker: %v", err)
	}
	holds(t, dir, map[string]string{"a": "first", "b": "theirs"})
}

// Of many at once one writes the file, and it is whole.
func TestNewAtOnce(t *testing.T) {
	dir := t.TempDir()
	errs := make([]error, 20)
	var all sync.WaitGroup
	for i := range errs {
		all.Go(func() { errs[i] = New(filepath.Join(dir, "a"), Bytes([]byte("whole"), 0o600)) })
	}
	all.Wait()
	made := 0
	for _, err := range errs {
		if err == nil {
			made++
		} else if !errors.Is(err, fs.ErrExist) {
			t.Error(err)
		}
	}
	if made != 1 {
		t.Errorf("made %d times", made)
	}
	holds(t, dir, map[string]string{"a": "whole"})
}

func TestReplace(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a")
	for _, text := range []string{"first", "second"} {
		if err := Replace(path, Bytes([]byte(text), 0o600)); err != nil {
			t.Fatal(err)
		}
		holds(t, dir, map[string]string{"a": text})
	}
}

// What breaks off in the middle leaves what stood there, and nothing else.
func TestBreaksOff(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a")
	if err := os.WriteFile(path, []byte("before"), 0o600); err != nil {
		t.Fatal(err)
	}
	full := errors.New("no space left")
	half := func(part string) error {
		return errors.Join(Bytes([]byte("half of"), 0o600)(part), full)
	}
	if err := Replace(path, half); !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
	if err := New(filepath.Join(dir, "b"), half); !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
	if err := New(filepath.Join(dir, "c"), func(string) error { return nil }); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("nothing was made: %v", err)
	}
	holds(t, dir, map[string]string{"a": "before"})
	if err := Replace(filepath.Join(dir, "none", "a"), Bytes(nil, 0o600)); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a folder that is not there: %v", err)
	}
}

// A folder, a link and a device stay what they are.
func TestOnlyAFileIsReplaced(t *testing.T) {
	dir := t.TempDir()
	folder, link := filepath.Join(dir, "folder"), filepath.Join(dir, "link")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	names := []string{folder}
	linked := os.Symlink(filepath.Join(dir, "away"), link) == nil
	if _, err := os.Lstat(link); err != nil { // some say that they made one
		linked = false
	}
	switch {
	case linked:
		names = append(names, link)
	case runtime.GOOS != "windows":
		t.Error("no link was made")
	default:
		t.Log("not tried on links: none can be made here")
	}
	if runtime.GOOS != "windows" {
		names = append(names, os.DevNull)
	}
	for _, name := range names {
		before, _ := os.Lstat(name)
		if err := Replace(name, Bytes(nil, 0o600)); !errors.Is(err, ErrNoFile) {
			t.Errorf("%s: %v", name, err)
		}
		if after, err := os.Lstat(name); err != nil || after.Mode() != before.Mode() {
			t.Errorf("%s became another thing: %v", name, err)
		}
	}
	if err := New(link, Bytes(nil, 0o600)); linked && !errors.Is(err, fs.ErrExist) {
		t.Errorf("a link to nothing was written through: %v", err)
	}
}

// A file that another has open: elsewhere the new one takes its name and the other
// goes on with the old one; on Windows the new one waits, and then says who is in the
// way. Nothing is ever there by half.
func TestReplaceWhileOpen(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a")
	if err := os.WriteFile(path, []byte("before"), 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	err = Replace(path, Bytes([]byte("after"), 0o600))
	if has, e := io.ReadAll(f); string(has) != "before" || e != nil {
		t.Errorf("the other reads %q, %v", has, e)
	}
	now := "after"
	if runtime.GOOS == "windows" {
		now = "before"
	}
	if (now == "after") != (err == nil) || err != nil && !errors.Is(err, ErrOpen) {
		t.Errorf("got %v", err)
	}
	holds(t, dir, map[string]string{"a": now})
	if err := errors.Join(f.Close(), Replace(path, Bytes([]byte("later"), 0o600))); err != nil {
		t.Errorf("when it is closed: %v", err)
	}
	holds(t, dir, map[string]string{"a": "later"})
}

func TestRights(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has other rights")
	}
	path := filepath.Join(t.TempDir(), "key")
	if err := New(path, Bytes([]byte("secret"), 0o600)); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the rights are %v, %v", info.Mode(), err)
	}
}

// Where the file system has no links the name is taken first.
func TestTakeName(t *testing.T) {
	dir := t.TempDir()
	part, path := filepath.Join(dir, "part"), filepath.Join(dir, "file")
	for _, text := range []string{"new", "newer"} {
		if err := os.WriteFile(part, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := takeName(part, path); (text == "new") != (err == nil) || err != nil && !errors.Is(err, fs.ErrExist) {
			t.Errorf("%s: %v", text, err)
		}
	}
	holds(t, dir, map[string]string{"part": "newer", "file": "new"})
}

func TestFolderThatIsNotThere(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows syncs no folders")
	}
	if err := SyncFolder(filepath.Join(t.TempDir(), "none", "a")); !errors.Is(err, ErrUnsynced) || !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got %v", err)
	}
}
