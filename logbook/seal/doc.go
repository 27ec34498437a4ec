// Package seal makes and reads seals: signed statements of what a log held at a
// moment. It reads no file and asks for no time. What follows is the format of
// a seal, number 1, exact enough to write another reader.
//
// A seal is a signed note as golang.org/x/mod/sumdb/note has it: a text, an
// empty line, and one line or more of signatures. All is UTF-8, lines end in
// one line feed. The text is
//
//	coolhold seal 1
//	log ID TAG
//	entries N
//	root ROOT
//	site SITE M
//	claimed TIME
//	day DATE
//	by NAME
//
// ID and TAG are those of the log: 32 hex digits in small letters, and two
// capitals. N is the number of entries that were sealed, decimal, at least 1:
// those with seq 1 to N. ROOT is the root of the hash tree over their lines (RFC
// 6962 with SHA-256; entry seq is leaf seq-1), in base64, 44 characters. SITE is
// the id of a site, 16 hex digits, and M the number of its entries among those N,
// decimal, at least 1: with them in hand, numbered 1 to M, nobody can have left
// one out that was there when the seal was made. TIME is
// the local time that the laptop's clock showed, RFC 3339 with seconds and an
// offset in digits (a zero offset is +00:00). DATE, YYYY-MM-DD, is the day of
// work that was signed; NAME is who sealed, at most 48 bytes without control or
// formatting characters. The lines site, day and by may each be missing; nothing
// else may.
//
// A signature line is an em dash, a space, the name of the key, a space and the
// base64 of 68 bytes: the number of the key, 4 bytes, and an Ed25519 signature
// of 64 over the text up to and with the line feed of its last line. A key's
// number is the first four bytes of the SHA-256 of its name, a line feed, the
// byte 1 and the 32 bytes of the public key. A key signs a seal once.
//
// A public key is written NAME+NUMBER+BASE64, the number in eight hex digits
// and the base64 that of the byte 1 and the public key; a secret one is
// PRIVATE+KEY+NAME+NUMBER+BASE64 with the seed of 32 bytes in its place.
//
// With one signature a seal is at most 400 bytes long and fits a QR code.
//
// What it proves: that the holder of the key stated this root; and, of a log
// whose first N entries have this root, that they are those which were sealed,
// in that order. It proves no date and no truth; a copy that was handed over
// dates it.
package seal

import "errors"

// What can be wrong with a seal. Each comes wrapped in one line that says what
// was found.
var (
	// ErrNoSeal: the bytes are not a seal.
	ErrNoSeal = errors.New("this is no seal")
	// ErrKey: the text is no key of the kind that is wanted.
	ErrKey = errors.New("this is no key")
	// ErrForged: a key that is known did not sign this text.
	ErrForged = errors.New("the signature is not the key's")
	// ErrUnsigned: none of the keys that are known signed it.
	ErrUnsigned = errors.New("none of the keys given has signed it")
	// ErrOtherLog: the seal is of another log.
	ErrOtherLog = errors.New("it seals another log")
	// ErrNotExtended: the log does not begin with what was sealed.
	ErrNotExtended = errors.New("the log does not hold what was sealed")
	// ErrStatement: what is to be sealed cannot be stated.
	ErrStatement = errors.New("this cannot be sealed")
)
