// Package crew stands for a package that only tests import.
package crew

// Needs tells whether somebody is needed.
func Needs(n int) bool { return n > 2 }
