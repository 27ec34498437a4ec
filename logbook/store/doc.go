// Package store keeps a log on disk and is the only place that knows how. What
// follows is the file format, number 1, exact enough to write another reader.
//
// # Files
//
// A log is one file, here FILE. Beside it stand
//
//	FILE.journal     every entry once more, as plain lines
//	FILE.beat        the last heartbeat, 64 bytes
//	FILE.before-vN   the log as it was before it was brought to format N
//
// The last is kept until a person removes it; a second one is named
// FILE.before-vN-2, and so on.
//
// Names that end in ".part-" and eight hex digits are unfinished copies; they
// may be deleted.
//
// # Log
//
// FILE is a bbolt database (data file version 2) with pages of 16384 bytes. A
// file that is smaller than either of its meta pages says is cut short and is
// not read. It holds nine buckets, all at the top:
//
//	meta    a word             → see below
//	entry   seq                → the entry's line
//	hash    index              → 32 bytes of the hash tree
//	site    site               → JSON {"n": order of opening from 1, "site": logbook.Site}
//	joint   site 00 label      → JSON logbook.Joint
//	weld    site 00 len weld   → JSON logbook.Weld
//	shift   site 00 shift      → JSON logbook.Shift
//	day     site 00 date 00 weld → nothing
//	open    site 00 len weld   → "walking", "fusing" or "holding"
//
// seq and index are eight bytes, big-endian. 00 is one zero byte, which no site
// holds; len is the length of the weld's number in one byte, so that KM-10000
// comes after KM-9999. date is YYYY-MM-DD, the local date on which a weld's
// fusion began; a weld stands under day from then on, also once it is cut out.
// A weld stands under open while its walk is open, its fusion runs or it is
// held.
//
// Every value in every bucket is a payload followed by four bytes: the CRC-32C
// (Castagnoli) of key and payload, big-endian. The arrows above give payloads.
//
// The words of meta and their payloads, all ASCII:
//
//	format       the number of this format, decimal
//	id           32 hex digits, drawn when the log was made
//	tag          two capitals, A to Z without I and O
//	projections  the version of the records in the buckets below, decimal
//	next         the number of the next weld, decimal
//
// # Entries
//
// The first entry has seq 1 and there is never a gap. Its payload is one line
// of JSON (UTF-8, no line break), the fields of logbook.Entry; the wall time is
// UTC with milliseconds. The id of an entry is the id of its save, a dot, and
// its place among the entries of that save from 0. These bytes, and no others,
// are what is hashed and journalled. Fields that a reader does not know are to
// be kept; kinds that it does not know are to be shown.
//
// The bucket hash is the stored form of an RFC 6962 Merkle tree (SHA-256) over
// the lines in the order of seq, entry seq being record seq-1, at the indexes of
// StoredHashIndex in golang.org/x/mod/sumdb/tlog. It therefore ends at the index
// StoredHashCount(n)-1 for n entries, which shows a log whose last entries are
// missing.
//
// An entry of kind "sealed" holds a seal, whose format is that of package seal,
// over just the entries before it. Its secret key is kept elsewhere.
//
// # Records
//
// The buckets site, joint, weld, shift, day and open, and the word next, hold
// nothing of their own: they are logbook.Apply over all entries in order,
// starting at next = 1. Where projections differs from the version of the
// program they are made anew from the entries at the next open.
//
// # Journal
//
// FILE.journal is the lines of the entries from seq 1 on, each ended by one
// line feed. A save is committed to the log, then appended to the journal and
// synced, then acknowledged, all under the log's exclusive lock. So a last line
// without its line feed was never acknowledged and is cut; a journal that is
// behind is brought up from the log; and a journal that holds an entry which
// the log does not shows that the log lost something. A missing journal is made
// anew.
//
// # Heartbeat
//
// FILE.beat is 64 bytes, overwritten in place and not synced:
//
//	 0  4  "beat"
//	 4  1  version, 1
//	 5  1  length of the boot id, 0 to 36
//	 6  2  minutes that local time is ahead of UTC, signed
//	 8 36  boot id, filled up with zero bytes
//	44  8  boot clock, milliseconds
//	52  8  wall clock, milliseconds since 1970 UTC, signed
//	60  4  CRC-32C of bytes 0 to 59
//
// Numbers are big-endian. A file of another length or content is no heartbeat.
//
// # Locks
//
// The log is opened for one transaction and closed again: a save takes the
// exclusive lock of bbolt for about a millisecond, a keyed read the shared one.
// Whoever reads the whole log copies it under the shared lock and reads the
// copy. No lock outlives a call, so two programs can work with one log.
package store
