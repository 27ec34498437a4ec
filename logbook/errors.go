package logbook

import (
	"context"
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

// What became of a save that did not go through as usual. A save that failed
// otherwise is not stored, and was looked up where that was not certain.
var (
	// ErrInUse: another program keeps the log. Nothing is stored.
	ErrInUse = errors.New("the log is in use by another program")
	// ErrNotKnown: it failed in the middle and cannot be looked up either.
	ErrNotKnown = errors.New("not known whether it is stored")
	// ErrStored: all of it is stored, but not all that belongs to it was done.
	ErrStored = errors.New("it is stored")
)

// Refuse is a refusal of something that has not happened yet.
func Refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrRule, fmt.Sprintf(format, args...))
}

type triedKey struct{}

// Tried marks a save that was tried before, by the id of its drafts: where it is
// stored already nothing is decided anew, since the records have it.
func Tried(ctx context.Context, id string) context.Context {
	return context.WithValue(ctx, triedKey{}, id)
}

// TriedID is the id of a save that was tried before, "" for one that was not.
func TriedID(ctx context.Context) string {
	id, _ := ctx.Value(triedKey{}).(string)
	return id
}
