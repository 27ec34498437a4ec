package seal

import (
	"crypto/ed25519"
	"encoding/base64"
	"fmt"
	"io"
	"strings"
	"unicode"

	"golang.org/x/mod/sumdb/note"
)

// A Key signs seals. Whoever has its secret can sign in its name.
type Key struct {
	signer         note.Signer
	secret, public string
}

// maxKeyName keeps a seal with one signature within its 400 bytes.
const maxKeyName = 24

// NewKey draws a key. The name stands at its signatures; it has at most 24
// bytes, no space and no plus.
func NewKey(random io.Reader, name string) (Key, error) {
	if name == "" || len(name) > maxKeyName || !isName(name) || strings.ContainsFunc(name, unicode.IsSpace) || strings.Contains(name, "+") {
		return Key{}, fmt.Errorf("%w: its name %q must have 1 to %d bytes and neither a space nor a plus, such as a-invented", ErrKey, name, maxKeyName)
	}
	seed := make([]byte, ed25519.SeedSize)
	if _, err := io.ReadFull(random, seed); err != nil {
		return Key{}, fmt.Errorf("no key could be drawn: %w", err)
	}
	public, err := publicOf(name, seed)
	if err != nil {
		return Key{}, err
	}
	parts := strings.SplitN(public, "+", 3) // name, number, key
	return ReadKey("PRIVATE+KEY+" + parts[0] + "+" + parts[1] + "+" + encoded(seed))
}

// encoded is the base64 of the byte 1, for Ed25519, and key.
func encoded(key []byte) string {
	return base64.StdEncoding.EncodeToString(append([]byte{1}, key...))
}

func publicOf(name string, seed []byte) (string, error) {
	pair := ed25519.NewKeyFromSeed(seed)
	public, err := note.NewEd25519VerifierKey(name, pair.Public().(ed25519.PublicKey))
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrKey, err)
	}
	return public, nil
}

// ReadKey reads a secret key as Secret gives it. White space around it does not
// matter. The error, ErrKey, does not repeat what was read.
func ReadKey(text string) (Key, error) {
	text = strings.TrimSpace(text)
	signer, err := note.NewSigner(text)
	if err != nil {
		return Key{}, fmt.Errorf("%w: not a whole secret key", ErrKey)
	}
	parts := strings.SplitN(text, "+", 5) // NewSigner found all five
	seed, err := base64.StdEncoding.DecodeString(parts[4])
	if err != nil || len(seed) != 1+ed25519.SeedSize {
		return Key{}, fmt.Errorf("%w: not a whole secret key", ErrKey)
	}
	public, err := publicOf(signer.Name(), seed[1:])
	return Key{signer, text, public}, err
}

// Secret is the key as one line, to be kept from everybody else.
func (k Key) Secret() string { return k.secret }

// Public is the public key as one line, to be given to whoever will check.
func (k Key) Public() string { return k.public }

// ReadPublic reads a public key as Public gives it. White space around it does
// not matter.
func ReadPublic(text string) (note.Verifier, error) {
	v, err := note.NewVerifier(strings.TrimSpace(text))
	if err != nil {
		return nil, fmt.Errorf("%w: not a whole public key: %w", ErrKey, err)
	}
	return v, nil
}

// Signer signs other notes with the key.
func (k Key) Signer() note.Signer { return k.signer }
