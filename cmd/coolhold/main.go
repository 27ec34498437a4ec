// Command coolhold is a logbook in the terminal for the electrofusion welds of
// a ground loop.
package main

import (
	"crypto/rand"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/inconshreveable/mousetrap"

	_ "coolhold/cmd/coolhold/early"
	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/store"
	"coolhold/tui"
)

func main() { os.Exit(run(os.Args[1:], realEdges())) }

// waitingLine says of a verb why it does not go on.
func waitingLine(path, holder string) {
	if holder == "" {
		holder = "another program"
	}
	fmt.Fprintf(os.Stderr, "coolhold: %s: %s has the log; waiting, at most %v\n", logbook.Clean(path), holder, store.Patience)
}

// edges are all that comes in from outside the program, handed in at this one
// place so that a test can hold the clock and read the screen.
type edges struct {
	in       io.Reader
	out, err io.Writer
	now      func() fusion.Stamp
	keys     func() time.Duration // tells a scanner from a hand: real time, where now may be paced or held
	getenv   func(string) string
	rand     io.Reader
	tell     *acts.Telling      // of the verb's --same and --other; nil: a screen asks
	twin     *string            // of --twin, "" where it is not given
	ascii    *string            // of --ascii, "" where it is not given
	said     *watched           // err, once the program runs
	bar      *progress          // how far a verb is; nil: nobody looks
	clicked  func() bool        // a double click started it, in a window that closes with it; nil: no
	paced    func(*tui.Program) // how long the screens wait, and how often they are drawn; nil: as for eyes
}

func realEdges() edges {
	return edges{in: os.Stdin, out: os.Stdout, err: os.Stderr, now: now, keys: bootClock, getenv: os.Getenv, rand: rand.Reader, clicked: mousetrap.StartedByExplorer}
}
