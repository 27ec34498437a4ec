package main

import (
	"strconv"
	"time"

	"golang.org/x/sys/windows"
	"golang.org/x/sys/windows/registry"
)

// bootClock is the time since the machine started, sleep included. A fast
// start-up does not reset it, and the number below does not change then either.
func bootClock() time.Duration { return windows.DurationSinceBoot() }

// bootID is the number of this start, which the system counts.
func bootID() string {
	const path = `SYSTEM\CurrentControlSet\Control\Session Manager\Memory Management\PrefetchParameters`
	key, err := registry.OpenKey(registry.LOCAL_MACHINE, path, registry.QUERY_VALUE)
	if err != nil {
		return ""
	}
	defer key.Close()
	n, _, err := key.GetIntegerValue("BootId")
	if err != nil {
		return ""
	}
	return strconv.FormatUint(n, 10)
}

// systemID is what the system calls this machine, "" where it does not say.
func systemID() string {
	key, err := registry.OpenKey(registry.LOCAL_MACHINE, `SOFTWARE\Microsoft\Cryptography`, registry.QUERY_VALUE|registry.WOW64_64KEY)
	if err != nil {
		return ""
	}
	defer key.Close()
	id, _, _ := key.GetStringValue("MachineGuid")
	return id
}
