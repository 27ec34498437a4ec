package store

import (
	"fmt"
	"os"
	"strings"
)

// peak is the most memory that this program had, in bytes. What the system says of a
// program that has ended counts what its parent had too.
func peak() (kb int64) {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		panic(err)
	}
	_, after, _ := strings.Cut(string(status), "VmHWM:")
	if _, err := fmt.Sscanf(after, "%d kB", &kb); err != nil {
		panic(err)
	}
	return kb << 10
}
