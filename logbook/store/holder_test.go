package store

import (
	"errors"
	"fmt"
	"os"
	"runtime"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
)

// Who is shut out is told by whom, once while it waits and then at its end.
func TestShutOutNamesTheHolder(t *testing.T) {
	l := fresh(t)
	db, err := bolt.Open(l.path, 0, &bolt.Options{Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var heard []string
	WhenWaiting(func(path, holder string) { heard = append(heard, path+" "+holder) })
	defer WhenWaiting(nil)
	began := time.Now()
	_, err = l.Append(within(tellsAfter*3/2), saves("x", 1))
	if took := time.Since(began); took < tellsAfter {
		t.Errorf("waited for %v", took)
	}
	wantLine(t, err, ErrLocked, "try again in a moment")
	if len(heard) != 1 || !strings.HasPrefix(heard[0], l.path) {
		t.Errorf("told %q", heard)
	}
	var by interface{ Holder() string }
	if !errors.As(err, &by) {
		t.Fatalf("%v does not say who has it", err)
	}
	if runtime.GOOS != "linux" || by.Holder() == "" {
		t.Skip("SKIPPED: this system does not tell who has a lock")
	}
	us := fmt.Sprintf("(process %d)", os.Getpid())
	if !strings.HasSuffix(by.Holder(), us) || !strings.Contains(err.Error(), us) || !strings.Contains(heard[0], us) {
		t.Errorf("holder %q, told %q, %v; want us, %s", by.Holder(), heard, err, us)
	}
}
