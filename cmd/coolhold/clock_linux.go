package main

import (
	"os"
	"strings"
	"time"

	"golang.org/x/sys/unix"
)

// bootClock is the time since the machine started, sleep included: Go's own
// monotonic clock stops on Linux while a lid is closed.
func bootClock() time.Duration {
	var ts unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_BOOTTIME, &ts); err != nil {
		return 0
	}
	return time.Duration(ts.Nano())
}

// bootID names this start of the machine.
func bootID() string {
	id, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(id))
}

// systemID is what the system calls this machine, "" where it does not say.
func systemID() string {
	id, err := os.ReadFile("/etc/machine-id")
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(id))
}
