// Command coolhold is a logbook in the terminal for the electrofusion welds of
// a ground loop.
package main

import (
	"crypto/rand"
	"io"
	"os"
	"time"

	_ "coolhold/cmd/coolhold/early"
	"coolhold/fusion"
)

func main() { os.Exit(run(os.Args[1:], realEdges())) }

// edges are all that comes in from outside the program, handed in at this one
// place so that a test can hold the clock and read the screen.
type edges struct {
	in       io.Reader
	out, err io.Writer
	now      func() fusion.Stamp
	keys     func() time.Duration // tells a scanner from a hand: real time, where now may be paced or held
	getenv   func(string) string
	rand     io.Reader
}

func realEdges() edges {
	return edges{os.Stdin, os.Stdout, os.Stderr, now, bootClock, os.Getenv, rand.Reader}
}
