//go:build unix

package main

import (
	"os"
	"syscall"
)

// hangups leaves SIGTERM and SIGINT to the screen library, which catches them
// itself: two that say quit at once would wait for each other.
var hangups = []os.Signal{syscall.SIGHUP}
