//go:build linux

package main

import (
	"io/fs"
	"syscall"
)

func inodeOf(info fs.FileInfo) uint64 { return info.Sys().(*syscall.Stat_t).Ino }
