package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/store"
)

// mended is where it is said that a file of the log was put right: on stderr, but
// on the board's own screen while that stands.
var mended = &teller{to: func(line string) { fmt.Fprintln(os.Stderr, "coolhold: "+logbook.Clean(line)) }}

type teller struct {
	mu sync.Mutex
	to func(string)
}

func (t *teller) say(line string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.to(line)
}

// into says it elsewhere from now on, until back is called.
func (t *teller) into(to func(string)) (back func()) {
	t.mu.Lock()
	defer t.mu.Unlock()
	was := t.to
	t.to = to
	return func() {
		t.mu.Lock()
		defer t.mu.Unlock()
		t.to = was
	}
}

// lookVerb is the hidden entry by which the board runs this program once more.
const lookVerb = "look-through"

// longestLook is how long a log is looked through beside the board.
const longestLook = 2 * time.Minute

// newLookThrough is the verb that nobody types: it looks through a copy of a log in a
// program of its own, which a page may end without harm to the board.
func newLookThrough() *cobra.Command {
	return &cobra.Command{
		Use: lookVerb + " LOG COPY", Hidden: true, Args: cobra.ExactArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			found, err := store.LookThrough(context.Background(), args[0], args[1])
			if err != nil {
				return exitWith(exitLog, err)
			}
			if err := os.Remove(args[1]); err != nil { // the board may be gone
				return exitWith(exitLog, err)
			}
			return json.NewEncoder(cmd.OutOrStdout()).Encode(found)
		},
	}
}

// A watch looks through the log that the screens show, once they stand, and keeps
// what came up.
type watch struct {
	shown *shownLog
	done  context.Context // over: the screens are gone
	looks sync.WaitGroup
	mu    sync.Mutex
	begun *store.Log // the log that was looked through last, or is
	lines []string
}

// news is shell.Outside.News.
func (w *watch) news() []string {
	l := w.shown.log()
	w.mu.Lock()
	defer w.mu.Unlock()
	if l != nil && l != w.begun {
		w.begun = l
		w.looks.Go(func() { w.look(l) })
	}
	lines := w.lines
	w.lines = nil
	return lines
}

func (w *watch) add(line string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.lines = append(w.lines, line)
}

// end waits until no copy is left: the screens are gone.
func (w *watch) end(over func()) {
	over()
	w.looks.Wait()
}

// look has a log looked through, and lets nothing more be saved in it where that
// could write over something.
func (w *watch) look(l *store.Log) {
	found, err := lookThrough(w.done, l.Path())
	switch {
	case w.done.Err() != nil:
	case err != nil:
		w.add(fmt.Sprintf("%s was not looked through (%v): coolhold verify", l.Path(), err))
	case found.Stop:
		l.Stop(errors.New(found.What))
		w.add("NOTHING MORE IS SAVED: leave, then coolhold restore. " + found.What)
	case found.What != "":
		w.add(found.What)
	}
}

// lookThrough runs this program once more on a copy of the log.
func lookThrough(ctx context.Context, path string) (found store.Looked, err error) {
	ctx, cancel := context.WithTimeout(ctx, longestLook)
	defer cancel()
	self, err := os.Executable()
	if err != nil {
		return found, err
	}
	tmp, err := os.CreateTemp("", "coolhold-*.copy")
	if err != nil {
		return found, err
	}
	defer os.Remove(tmp.Name())
	if err := tmp.Close(); err != nil {
		return found, err
	}
	out, err := exec.CommandContext(ctx, self, lookVerb, path, tmp.Name()).Output()
	if err != nil {
		return found, firstLine(err)
	}
	return found, json.Unmarshal(out, &found)
}

// firstLine is why a program ended: what it said first, else how.
func firstLine(err error) error {
	var ended *exec.ExitError
	if errors.As(err, &ended) && len(ended.Stderr) > 0 {
		line, _, _ := bytes.Cut(ended.Stderr, []byte("\n"))
		return errors.New(string(bytes.TrimPrefix(line, []byte("coolhold: "))))
	}
	return err
}
