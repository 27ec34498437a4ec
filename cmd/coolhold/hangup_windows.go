package main

import (
	"os"
	"syscall"
)

// endings: a break of the console, and its closing or the end of the session.
var endings = []os.Signal{os.Interrupt, syscall.SIGTERM}
