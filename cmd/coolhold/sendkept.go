package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"golang.org/x/mod/sumdb/note"

	"coolhold/logbook/office"
	"coolhold/logbook/seal"
	"coolhold/logbook/whole"
)

// A keptOffice is what is known of a log's office, kept beside the log. It is no fact of
// the log: lost, it costs that the office is asked once more what it has.
type keptOffice struct {
	Log     string `json:"log"`               // its id
	Office  string `json:"office,omitempty"`  // the address that the board sends to; "": none
	Key     string `json:"key,omitempty"`     // of the office, as it was met first
	Receipt string `json:"receipt,omitempty"` // the last one
	Waiting int64  `json:"waiting,omitempty"` // entries that the office keeps until the laptop is admitted

	Withdrawn *office.Withdrawal `json:"withdrawn,omitempty"` // of this laptop's key: what it sends waits

	Standing office.Standing `json:"standing,omitempty"` // as it was said last
	Parted   int64           `json:"parted,omitempty"`   // the first entry of a course of its own
	Holds    int64           `json:"holds,omitempty"`    // entries that the office has where the laptop is behind
	Upto     time.Time       `json:"upto,omitzero"`      // by the laptop's clock: the office has all that was recorded then
}

// officeOf is the name of that file.
func officeOf(path string) string { return path + ".office" }

// readOffice reads it; where there is none, or it is of another log's file that stood
// there before, only the office itself is known.
func readOffice(path, id string) (k keptOffice, err error) {
	name := officeOf(path)
	data, err := readSmall(name)
	if errors.Is(err, fs.ErrNotExist) {
		return keptOffice{Log: id}, nil
	}
	if err != nil {
		return k, err
	}
	if err := json.Unmarshal(data, &k); err != nil {
		return k, exitWith(exitInput, fmt.Errorf("%s cannot be read: %w; take it away, and name the office again with coolhold send --to", name, err))
	}
	if id != "" && k.Log != id {
		k = keptOffice{Log: id, Office: k.Office, Key: k.Key}
	}
	return k, nil
}

func (k keptOffice) write(path string) error {
	data, err := json.MarshalIndent(k, "", "  ")
	if err != nil {
		return err
	}
	name := officeOf(path)
	if err := whole.Replace(name, whole.Bytes(append(data, '\n'), 0o600)); err != nil {
		return fmt.Errorf("what the office has was not kept, and is asked for again next time: %w", saved(name, err))
	}
	return nil
}

// receipt is the last one, the zero one where there is none.
func (k keptOffice) receipt() (r office.Receipt) {
	if k.Receipt == "" {
		return r
	}
	v, err := seal.ReadPublic(k.Key)
	if err == nil {
		r, err = office.ReadReceipt([]byte(k.Receipt), v)
	}
	if err != nil || r.Log != k.Log {
		return office.Receipt{} // as if it were lost
	}
	return r
}

// met is the key of an office that signed a receipt, if it is the one that was met
// before, or is trusted now.
func (k *keptOffice) met(public, trust string) (note.Verifier, error) {
	v, err := seal.ReadPublic(public)
	if err != nil {
		return nil, fmt.Errorf("the office names no key of its own: %w", err)
	}
	switch {
	case trust != "":
		t, err := seal.ReadPublic(trust)
		if err != nil {
			return nil, err // it was looked at before
		}
		if seal.KeyID(t) != seal.KeyID(v) {
			return nil, exitWith(exitFindings, fmt.Errorf("the office signs with the key %s, and --trust names %s: nothing of it is believed", seal.KeyID(v), seal.KeyID(t)))
		}
	case k.Key == "" || k.Key == public:
	default:
		was, _ := seal.ReadPublic(k.Key)
		id := "another"
		if was != nil {
			id = seal.KeyID(was)
		}
		return nil, exitWith(exitFindings, fmt.Errorf("this is another office than before: it signs with the key %s, it was %s. If your firm says that it changed its key: coolhold send --trust '%s'", seal.KeyID(v), id, public))
	}
	return v, nil
}
