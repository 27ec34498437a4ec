package main

import (
	"bufio"
	"fmt"

	"github.com/spf13/cobra"
)

// A double click on the program must start it, not a lecture.
func init() { cobra.MousetrapHelpText = "" }

// staysReadable keeps the window of a program that was started by a double click until
// somebody has read what stands in it: the system closes it with the program. A board
// that was left without a word closes at once.
func staysReadable(e edges, code int, said bool) {
	if e.clicked == nil || code == exitDone && !said || !e.clicked() {
		return
	}
	fmt.Fprint(e.err, "\nPress Enter to close this window. ")
	_, _ = bufio.NewReader(e.in).ReadString('\n') // an end is as good
}
