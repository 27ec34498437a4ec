package main

import "os"

// hangups: this system has none.
var hangups []os.Signal
