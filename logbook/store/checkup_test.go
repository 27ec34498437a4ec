package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
)

// A try does not wait, and says by whom the log is had.
func TestTry(t *testing.T) {
	l := fresh(t)
	if err := Try(l.path); err != nil {
		t.Fatalf("a log that nobody has: %v", err)
	}
	db, err := bolt.Open(l.path, 0, &bolt.Options{Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	err = Try(l.path)
	if took := time.Since(began); took > tellsAfter {
		t.Errorf("a try waited for %v", took)
	}
	var by interface{ Holder() string }
	if !errors.Is(err, ErrLocked) || !errors.As(err, &by) {
		t.Errorf("a log that is had: %v", err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if err := Try(l.path); err != nil {
		t.Errorf("a log that was let go: %v", err)
	}
	if err := Try(filepath.Join(t.TempDir(), "none")); !errors.Is(err, ErrNoLog) {
		t.Errorf("no log: %v", err)
	}
}

// Each write is timed by the clock that is handed in, and nothing stays behind.
func TestTrySync(t *testing.T) {
	dir, now := t.TempDir(), time.Duration(0)
	took, err := TrySync(dir, 3, func() time.Duration { now += now + time.Second; return now })
	if err != nil || len(took) != 3 || took[0] != 2*time.Second || took[2] != 32*time.Second {
		t.Errorf("took %v, %v", took, err)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
	if _, err := TrySync(filepath.Join(dir, "none"), 3, func() time.Duration { return 0 }); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a folder that is not there: %v", err)
	}
}
