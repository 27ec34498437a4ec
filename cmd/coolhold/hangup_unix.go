//go:build unix

package main

import (
	"os"
	"syscall"
)

// endings are the signals that tell a program to end.
var endings = []os.Signal{syscall.SIGHUP, syscall.SIGTERM, syscall.SIGINT}
