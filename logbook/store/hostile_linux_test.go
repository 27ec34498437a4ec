package store

import (
	"os"
	"syscall"
)

// peakOf is the most memory that a program had, in bytes.
func peakOf(p *os.ProcessState) int64 { return p.SysUsage().(*syscall.Rusage).Maxrss << 10 }
