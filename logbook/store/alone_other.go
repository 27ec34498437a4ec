//go:build !windows

package store

// alone is held by who changes the format. Here the log's own lock does that: it is
// kept until the new file has the name.
func alone(string) (release func(), err error) { return func() {}, nil }

// shut tells whether a file could not be opened only because another program has it for
// itself; here none can.
func shut(error) bool { return false }
