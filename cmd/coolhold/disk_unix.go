//go:build !windows

package main

import "golang.org/x/sys/unix"

// roomOn is how many bytes this account may still write to the disk of a folder.
func roomOn(folder string) (uint64, error) {
	var st unix.Statfs_t
	if err := unix.Statfs(folder, &st); err != nil {
		return 0, err
	}
	return uint64(st.Bavail) * uint64(st.Bsize), nil
}
