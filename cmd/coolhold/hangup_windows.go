package main

import (
	"os"
	"syscall"
)

var hangups = []os.Signal{syscall.SIGTERM}
