package main

import (
	"io/fs"
	"path/filepath"
	"strings"
)

// diskOf names the disk that a file is on, by its letter or share.
func diskOf(path string, _ fs.FileInfo) string { return strings.ToUpper(filepath.VolumeName(path)) }
