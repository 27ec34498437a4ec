package store

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"coolhold/logbook"
)

// A writer is a second program that appends to the log and says what it got
// acknowledged.
type writer struct {
	cmd *exec.Cmd
	out *bufio.Reader
}

func startWriter(t *testing.T, path string) *writer {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childEnv+"="+path)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill() }) // if the test ended early
	return &writer{cmd, bufio.NewReader(out)}
}

// acked reads up to n acknowledged seqs, all that come if n is negative.
func (w *writer) acked(n int) (seqs []uint64) {
	for ; n != 0; n-- {
		var seq uint64
		if _, err := fmt.Fscanln(w.out, &seq); err != nil {
			break
		}
		seqs = append(seqs, seq)
	}
	return seqs
}

// Killed in mid-write, again and again: nothing that was acknowledged is gone,
// no save is there by half, and the journal agrees.
func TestKilledWhileWriting(t *testing.T) {
	l := fresh(t)
	random := rand.New(rand.NewPCG(1, 2))
	total := 0
	for round := range 25 {
		w := startWriter(t, l.path)
		seqs := w.acked(random.IntN(8))
		for range random.IntN(30000) { // dies at another place each time
			_ = random.Uint64()
		}
		if err := w.cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		seqs = append(seqs, w.acked(-1)...)
		_ = w.cmd.Wait() // killed
		if _, err := Open(l.path); err != nil {
			t.Fatal(err)
		}
		entries := readAll(t, l.path).Entries
		if n := len(seqs); n > 0 && seqs[n-1] > uint64(len(entries)) {
			t.Fatalf("round %d: entry %d was acknowledged, there are %d", round, seqs[n-1], len(entries))
		}
		wholeSaves(t, entries)
		inStep(t, l.path)
		total += len(seqs)
	}
	if total < 25 {
		t.Errorf("only %d saves were acknowledged: the rounds did not write", total)
	}
}

// wholeSaves makes sure that every note is followed by the rest of its save.
func wholeSaves(t *testing.T, entries []logbook.Entry) {
	t.Helper()
	for i := 0; i < len(entries); {
		var n, of int
		text := entries[i].Open().(logbook.Note).Text
		_, counts, _ := strings.Cut(text, ", ")
		if _, err := fmt.Sscanf(counts, "%d of %d", &n, &of); err != nil || n != 1 || i+of > len(entries) {
			t.Fatalf("entry %d (%s): its save is not whole, %v", i+1, text, err)
		}
		i += of
	}
}

// Two programs, and several goroutines in one of them, write, read and copy the
// same log at once.
func TestManyAtOnce(t *testing.T) {
	l := fresh(t)
	dir := t.TempDir()
	w := startWriter(t, l.path)
	first := w.acked(1)
	if len(first) == 0 {
		t.Fatal("the other program wrote nothing")
	}
	var all sync.WaitGroup
	do := func(n int, f func(i int) error) {
		all.Go(func() {
			for i := range n {
				if err := f(i); err != nil {
					t.Error(err)
				}
			}
		})
	}
	for g := range 2 {
		do(15, func(i int) error {
			_, err := l.Append(within(10*time.Second), saves(fmt.Sprintf("g%d-%d", g, i), 2))
			return err
		})
	}
	do(30, func(int) error {
		return l.View(within(10*time.Second), func(r logbook.Reader) error { r.Sites(); return nil })
	})
	do(5, func(i int) error { return l.Copy(within(10*time.Second), filepath.Join(dir, fmt.Sprint(i))) })
	do(5, func(int) error { _, err := ReadAll(within(10*time.Second), l.path); return err })
	seqs := append(first, w.acked(-1)...)
	if err := w.cmd.Wait(); err != nil {
		t.Error(err)
	}
	all.Wait()
	entries := readAll(t, l.path).Entries
	if want := 2*15*2 + 13*(1+2+3) + 1; len(entries) != want || len(seqs) != 40 {
		t.Errorf("%d entries, want %d; the other program had %d saves acknowledged", len(entries), want, len(seqs))
	}
	wholeSaves(t, entries)
	for i := range 5 {
		path := filepath.Join(dir, fmt.Sprint(i))
		if _, err := Open(path); err != nil { // makes its journal
			t.Fatal(err)
		}
		sound(t, path)
		if c := readAll(t, path).Entries; !reflect.DeepEqual(c, entries[:len(c)]) {
			t.Errorf("copy %d differs", i)
		}
	}
}
