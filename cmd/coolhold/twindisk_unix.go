//go:build !windows

package main

import (
	"fmt"
	"io/fs"
	"syscall"
)

// diskOf names the disk that a file is on.
func diskOf(_ string, info fs.FileInfo) string {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return fmt.Sprint(s.Dev)
	}
	return ""
}
