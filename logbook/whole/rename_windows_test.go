package whole

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// One that is open for a moment only is waited for.
func TestReplaceWaits(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a")
	if err := os.WriteFile(path, []byte("before"), 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	was, waits := wait, 0
	t.Cleanup(func() { wait = was })
	wait = func() {
		if waits++; waits == 3 {
			f.Close()
		}
	}
	if err := Replace(path, Bytes([]byte("after"), 0o600)); err != nil || waits != 3 {
		t.Errorf("after %d waits: %v", waits, err)
	}
	holds(t, dir, map[string]string{"a": "after"})
}

// Where it is not another program that is in the way, none is named.
func TestRefusedOtherwise(t *testing.T) {
	dir := t.TempDir()
	part, folder := filepath.Join(dir, "part"), filepath.Join(dir, "folder")
	if err := errors.Join(os.WriteFile(part, nil, 0o600), os.Mkdir(folder, 0o700)); err != nil {
		t.Fatal(err)
	}
	if err := rename(part, folder); err == nil || errors.Is(err, ErrOpen) {
		t.Errorf("got %v", err)
	}
}
