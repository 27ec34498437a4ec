package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"coolhold/cmd/coolhold/example"
	"coolhold/logbook/acts"
	"coolhold/logbook/store"
	"coolhold/tui/shell"
)

// A further table goes into the log that is shown: two laptops on one site have
// logs that hold the same site.
func TestAFurtherTableGoesIntoTheLogThatIsShown(t *testing.T) {
	dir := t.TempDir()
	own, stick := filepath.Join(dir, "own.coolhold"), filepath.Join(dir, "stick.coolhold")
	if _, _, err := writeExample(realEdges(), own, ""); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(own)
	if err = errors.Join(err, os.WriteFile(stick, raw, 0o600)); err != nil {
		t.Fatal(err)
	}
	outside := screens(realEdges(), own, "", "plain").Outside
	tables := func(l shell.Log) int {
		t.Helper()
		book, err := l.Book(context.Background(), "")
		if err != nil {
			t.Fatal(err)
		}
		return len(book.Sites()[0].Tables)
	}
	if _, err := outside.OpenLog(filepath.Join(dir, "none")); !errors.Is(err, store.ErrNoLog) {
		t.Errorf("a log that is not there: %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, "none")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a log was made: %v", err)
	}
	l, err := outside.OpenLog(stick)
	if err != nil || l.Path() != stick {
		t.Fatalf("opened %v, %v", l, err)
	}
	h := acts.Head{ID: "take", At: now(), By: "Hedda Roan", Site: siteOf(t, l)}
	in, err := outside.ReadInput("table", "../../testdata/tables/valley.toml")
	if err != nil || in.Says != "6 fittings in 5 bands" {
		t.Fatalf("read %q, %v", in.Says, err)
	}
	if _, err := l.Append(context.Background(), acts.TakeTable(h, in.File)); err != nil || tables(l) != 2 {
		t.Errorf("taken into %v, %v", l, err)
	}
	mine, err := openLog(own)
	if err != nil || tables(mine) != 1 || mine.Tag() != example.Tag {
		t.Errorf("one's own log has %d tables, %v", tables(mine), err)
	}
}

func siteOf(t *testing.T, l shell.Log) (id string) {
	t.Helper()
	book, err := l.Book(context.Background(), "")
	if err != nil {
		t.Fatal(err)
	}
	return book.Sites()[0].ID
}
