//go:build unix

package main

import (
	"os"
	"syscall"
)

var hangups = []os.Signal{syscall.SIGHUP, syscall.SIGTERM}
