//go:build !windows

package whole

import "os"

func rename(part, path string) error { return os.Rename(part, path) }
