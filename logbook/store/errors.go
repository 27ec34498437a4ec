package store

import (
	"errors"
	"fmt"

	"coolhold/logbook"
)

// What can be wrong with a log as a whole. Each comes wrapped in one line that
// names the file and says what to do.
var (
	// ErrLocked: another program kept the log open for as long as we waited.
	ErrLocked = logbook.ErrInUse
	// ErrNoLog: no file has that name, or another log took its place.
	ErrNoLog = errors.New("there is no such log")
	// ErrExists: what would be written stands there already.
	ErrExists = errors.New("a file of that name is there already")
	// ErrNewer: the format is newer than this program.
	ErrNewer = errors.New("the log was written by a newer coolhold")
	// ErrOld: the format is one that was written before any release.
	ErrOld = errors.New("the log was made before the first release and cannot be read")
	// ErrDamaged: bytes in the file are not what was written.
	ErrDamaged = errors.New("the log is damaged")
	// ErrJournalAhead: the log lost entries that its journal has.
	ErrJournalAhead = errors.New("the journal holds entries that the log does not")
)

// refuse words an error for a person: where, what was wrong, what to do.
func refuse(path string, what error, detail, todo string) error {
	if detail != "" {
		detail = ": " + detail
	}
	return fmt.Errorf("%s: %w%s; %s", path, what, detail, todo)
}

// restoreAdvice is what to do about a log that cannot be gone on with.
const restoreAdvice = "coolhold restore makes the log anew from its journal, else go by a copy"

// damaged is the refusal of a file whose bytes are not what was written.
func damaged(path, detail string) error {
	return refuse(path, ErrDamaged, detail, "keep the file as it is; "+restoreAdvice)
}
