package store

import (
	"fmt"
	"testing"

	"coolhold/logbook"
)

// benchLog is a log of 2,000 entries.
func benchLog(b testing.TB) *Log {
	l := aDay(b)
	for i := range 8 {
		if _, err := l.Append(bg, saves(fmt.Sprint("fill ", i), 250)); err != nil {
			b.Fatal(err)
		}
	}
	return l
}

var _ logbook.Entry
