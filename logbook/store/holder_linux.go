package store

import (
	"fmt"
	"os"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"

	"coolhold/logbook"
)

// holderOf names the program that has a lock on the file, as the system lists it;
// "" where it does not: on some file systems, and of another container.
func holderOf(file string) string {
	var st unix.Stat_t
	if unix.Stat(file, &st) != nil {
		return ""
	}
	locks, err := os.ReadFile("/proc/locks")
	if err != nil {
		return ""
	}
	return holderIn(string(locks), fmt.Sprintf("%02x:%02x:%d", unix.Major(st.Dev), unix.Minor(st.Dev), st.Ino))
}

// holderIn finds who has the file, in lines such as
//
//	1: FLOCK  ADVISORY  WRITE 4242 08:02:1311 0 EOF
//
// A line with an arrow is of one who waits.
func holderIn(locks, file string) string {
	for line := range strings.Lines(locks) {
		f := strings.Fields(line)
		if len(f) < 6 || f[1] != "FLOCK" || f[5] != file {
			continue
		}
		pid, err := strconv.Atoi(f[4])
		if err != nil || pid <= 0 {
			continue
		}
		name, err := os.ReadFile(fmt.Sprintf("/proc/%d/comm", pid))
		if err != nil {
			return fmt.Sprintf("process %d", pid)
		}
		return fmt.Sprintf("%s (process %d)", logbook.Clean(strings.TrimSpace(string(name))), pid)
	}
	return ""
}
