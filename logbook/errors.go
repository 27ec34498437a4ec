package logbook

import (
	"errors"
	"fmt"
)

// Sentinels of the acts; each comes wrapped in a line for a person.
var (
	ErrUnknown = errors.New("not in this log")
	ErrRule    = errors.New("refused")
	ErrExists  = errors.New("already in this log")
	// ErrReadOnly: the log can be shown, and nothing can be stored in it.
	ErrReadOnly = errors.New("the log cannot be written")
)

// Refuse is a refusal of something that has not happened yet.
func Refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrRule, fmt.Sprintf(format, args...))
}
