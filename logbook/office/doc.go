// Package office is what a firm's office holds of its laptops' logs, and how it comes
// there. It reads no file, asks for no time and knows no database.
//
// Each laptop's log stays its truth. What it sends is a parcel: a run of its lines with
// what proves them. What the office gives back is a receipt.
//
// # Parcel
//
// All up to the lines is UTF-8, lines end in one line feed:
//
//	coolhold parcel 1
//	first N
//	edge HASH HASH …
//	seal LENGTH
//	NOTE
//	LINES
//
// N is the entry that the first line is, decimal, at least 1. The hashes, base64 of 44
// characters each, are the right edge of the log's hash tree over the entries before
// (see Edge); for none the line is "edge". NOTE is a seal (package seal) of LENGTH
// bytes, with the key of the laptop, over the entries up to the last line; LINES are the
// lines, each ended by a line feed, as one zstd frame. A parcel without lines ends
// after NOTE: it says "I hold N with root R", first is one more than what is sealed.
//
// It proves itself: the edge and the lines give the root that was sealed, or it is
// refused whole. Which way it comes, and how often, does not matter.
//
// # Receipt
//
// A signed note (golang.org/x/mod/sumdb/note) with the key of the office, as a seal is:
//
//	coolhold receipt 1
//	log ID TAG
//	branch B
//	entries N
//	root ROOT
//	taken TIME
//
// It says that the office holds the first N entries of that log, with that root, on
// disk. B is 0, but for a log that went on in two ways (see Branch).
package office

import "errors"

// What can be wrong. Each comes wrapped in one line that says what was found.
var (
	// ErrParcel: the bytes are not a parcel, or it does not prove itself.
	ErrParcel = errors.New("this is no whole parcel")
	// ErrReceipt: the bytes are not a receipt.
	ErrReceipt = errors.New("this is no receipt")
	// ErrUnknownKey: none of the keys that are admitted signed it.
	ErrUnknownKey = errors.New("its key is not admitted")
	// ErrUnproven: what the office holds does not prove itself.
	ErrUnproven = errors.New("what the office holds does not give its root")
)
