package seal

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"

	"golang.org/x/mod/sumdb/note"
)

// A Seal is a seal that was read.
type Seal struct {
	Statement
	Signed  []string // the keys, of those that are known, whose signature holds: "name+number"
	Unknown []string // the others that stand there; nothing is known of their signatures
}

// Sign makes a seal of a statement: at most 400 bytes.
func Sign(s Statement, k Key) ([]byte, error) {
	text, err := s.Text()
	if err != nil {
		return nil, err
	}
	return note.Sign(&note.Note{Text: text}, k.signer)
}

// Countersign adds the signature of one more key to a seal and keeps those that
// stand there, unchecked. A key that has signed it already signs it anew.
func Countersign(data []byte, k Key) ([]byte, error) {
	if _, err := Parse(data); err != nil {
		return nil, err
	}
	v, err := ReadPublic(k.public)
	if err != nil {
		return nil, err
	}
	n, err := open(data, v)
	if err != nil {
		return nil, err
	}
	return note.Sign(n, k.signer)
}

// Parse reads a seal and checks its form, but no signature. The error is
// ErrNoSeal.
func Parse(data []byte) (Seal, error) {
	n, err := open(data)
	if err != nil {
		return Seal{}, err
	}
	return read(n)
}

// Verify reads a seal and checks the signatures of the keys that are known.
// Anything else than ErrForged (one of them does not hold), ErrUnsigned (there
// is none of these keys) and ErrNoSeal means that at least one holds; with
// ErrUnsigned the seal is given all the same.
func Verify(data []byte, known ...note.Verifier) (Seal, error) {
	n, err := open(data, known...)
	if err != nil {
		return Seal{}, err
	}
	s, err := read(n)
	if err == nil && len(s.Signed) == 0 {
		err = fmt.Errorf("%w; it bears that of %s", ErrUnsigned, s.Unknown[0])
	}
	return s, err
}

// open reads the note; one that no known key signed is no error here.
func open(data []byte, known ...note.Verifier) (*note.Note, error) {
	n, err := note.Open(data, note.VerifierList(distinct(known)...))
	var unverified *note.UnverifiedNoteError
	var forged *note.InvalidSignatureError
	switch {
	case errors.As(err, &unverified):
		n = unverified.Note
	case errors.As(err, &forged):
		return nil, fmt.Errorf("%w: %s+%08x", ErrForged, forged.Name, forged.Hash)
	case err != nil:
		return nil, fmt.Errorf("%w: %w", ErrNoSeal, err)
	}
	return n, exact(n, data)
}

// distinct drops keys that are given twice, which note would refuse.
func distinct(known []note.Verifier) (out []note.Verifier) {
	seen := map[string]bool{}
	for _, v := range known {
		if id := KeyID(v); !seen[id] {
			seen[id] = true
			out = append(out, v)
		}
	}
	return out
}

// exact refuses a note that could be written in another way: a signature line
// twice, or base64 with bits that do not count. It makes every bit of a seal
// one that counts.
func exact(n *note.Note, data []byte) error {
	sigs := append(append([]note.Signature{}, n.Sigs...), n.UnverifiedSigs...)
	seen := map[string]bool{}
	for i, id := range ids(sigs) {
		sig := sigs[i]
		if seen[id] {
			return fmt.Errorf("%w: the key %s has signed it twice", ErrNoSeal, id)
		}
		seen[id] = true
		raw, err := base64.StdEncoding.DecodeString(sig.Base64)
		if err != nil || base64.StdEncoding.EncodeToString(raw) != sig.Base64 || len(raw) != 4+64 {
			return fmt.Errorf("%w: the signature of %s has not its form", ErrNoSeal, sig.Name)
		}
	}
	if lines := bytes.Count(data[len(n.Text):], []byte("\n")); lines != 1+len(sigs) {
		return fmt.Errorf("%w: a signature stands there twice", ErrNoSeal)
	}
	return nil
}

func read(n *note.Note) (Seal, error) {
	s, err := parseText(n.Text)
	return Seal{s, ids(n.Sigs), ids(n.UnverifiedSigs)}, err
}

func ids(sigs []note.Signature) (out []string) {
	for _, sig := range sigs {
		out = append(out, fmt.Sprintf("%s+%08x", sig.Name, sig.Hash))
	}
	return out
}

// KeyID names a key in short, as a seal's lists do: "name+number".
func KeyID(v note.Verifier) string { return fmt.Sprintf("%s+%08x", v.Name(), v.KeyHash()) }
