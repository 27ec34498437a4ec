package office

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook/seal"
)

const (
	receiptHeading = "coolhold receipt 1"
	takenLayout    = "2006-01-02T15:04:05-07:00"
)

// A Receipt says what an office holds of a log.
type Receipt struct {
	Log, Tag string
	Branch   int
	Entries  int64
	Root     tlog.Hash
	Taken    time.Time // by the clock of the office, to the second
}

// text is what is signed.
func (r Receipt) text() string {
	return fmt.Sprintf("%s\nlog %s %s\nbranch %d\nentries %d\nroot %s\ntaken %s\n",
		receiptHeading, r.Log, r.Tag, r.Branch, r.Entries, r.Root, r.Taken.Format(takenLayout))
}

// Sign is the receipt as a note with the key of the office.
func (r Receipt) Sign(k seal.Key) ([]byte, error) {
	return note.Sign(&note.Note{Text: r.text()}, k.Signer())
}

// ReadReceipt reads a receipt that one of the keys signed. The error is ErrReceipt.
func ReadReceipt(data []byte, known ...note.Verifier) (r Receipt, err error) {
	n, err := note.Open(data, note.VerifierList(known...))
	if err == nil {
		r, err = parseReceipt(n.Text)
	}
	var other *note.UnverifiedNoteError
	if errors.As(err, &other) {
		err = errors.New("another key signed it")
	}
	if err != nil {
		return Receipt{}, fmt.Errorf("%w: %w", ErrReceipt, err)
	}
	return r, nil
}

// parseReceipt reads only the very bytes that text writes.
func parseReceipt(text string) (r Receipt, err error) {
	var root, taken string
	_, err = fmt.Sscanf(text, receiptHeading+"\nlog %s %s\nbranch %d\nentries %d\nroot %s\ntaken %s\n", &r.Log, &r.Tag, &r.Branch, &r.Entries, &root, &taken)
	if err != nil {
		return r, errors.New("its lines are not those of a receipt")
	}
	if r.Root, err = tlog.ParseHash(root); err != nil {
		return r, err
	}
	if r.Taken, err = time.Parse(takenLayout, taken); err != nil {
		return r, err
	}
	_, offset := r.Taken.Zone()
	r.Taken = r.Taken.In(time.FixedZone("", offset))
	if r.text() != text || strings.Count(text, "\n") != 6 {
		return r, errors.New("its lines are not in their order and form")
	}
	return r, nil
}
