package main

import (
	"time"

	"golang.org/x/sys/unix"
)

// bootClock is the continuous clock: on this system the monotonic clock runs on
// through sleep.
func bootClock() time.Duration {
	var ts unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_MONOTONIC, &ts); err != nil {
		return 0
	}
	return time.Duration(ts.Nano())
}

// bootID names this start of the machine.
func bootID() string {
	id, err := unix.Sysctl("kern.bootsessionuuid")
	if err != nil {
		return ""
	}
	return id
}

// systemID is what the system calls this machine, "" where it does not say.
func systemID() string {
	id, err := unix.Sysctl("kern.uuid")
	if err != nil {
		return ""
	}
	return id
}
