package store

import "testing"

func TestHolderIn(t *testing.T) {
	const locks = "1: FLOCK  ADVISORY  WRITE 999999999 08:02:1311 0 EOF\n" +
		"1: -> FLOCK  ADVISORY  WRITE 1 08:02:1312 0 EOF\n" +
		"2: POSIX  ADVISORY  WRITE 1 08:02:1312 0 EOF\n" +
		"3: FLOCK  ADVISORY  READ -1 08:02:1313 0 EOF\n" +
		"4: FLOCK\n"
	for file, want := range map[string]string{
		"08:02:1311": "process 999999999", // of no name any more
		"08:02:1312": "",                  // one waits, the other lock is no bbolt's
		"08:02:1313": "",                  // of another container
		"08:03:1311": "",
	} {
		if has := holderIn(locks, file); has != want {
			t.Errorf("%s: %q, want %q", file, has, want)
		}
	}
}
