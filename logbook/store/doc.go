// Package store keeps a log on disk and is the only place that knows how. What
// follows is the file format, number 2, exact enough to write another reader.
//
// # Files
//
// A log is one file, here FILE. Beside it stand
//
//	FILE.journal     every entry once more, as plain lines
//	FILE.beat        the last heartbeat, 80 bytes
//	FILE.before-vN   the log as it was before it was brought to format N
//	FILE.journal.bad-N   a journal that was damaged and was made anew
//
// The last two are kept until a person removes them; a second log of the kind is
// named FILE.before-vN-2, and so on, a second journal bad-2.
//
// FILE, the journal and the heartbeat are for the account that made the log (0600);
// what is made beside a log that is there takes the rights of that log, which stay as
// they are: who opened it to others did so on purpose, and would be shut out.
//
// Names that end in ".part-" and eight hex digits are unfinished copies; they
// may be deleted.
//
// # Log
//
// FILE is a bbolt database (data file version 2) with pages of 4096 bytes. A
// file that is smaller than either of its meta pages says is cut short and is
// not read. It holds five buckets, all at the top:
//
//	meta    a word     → see below
//	entry   seq        → the entry's line
//	hash    index      → 32 bytes of the hash tree
//	site    uid        → JSON, see Index
//	within  uid n      → seq of the n-th entry of that site
//
// A file is refused that has more than 2^22 pages, 2^20 free ones, 2^16 branches,
// 64 buckets, 16 pages on the way to a leaf, 2^14 pages that one runs on into, or a
// bucket in a bucket. So is one whose pages are not laid out as bbolt does it: keys
// and values without a gap in the order of the keys, the first key of a page the
// one that leads to it, all leaves equally deep, each page used or free, once. The
// branches and the list of free pages are gone through at the opening and before a
// save where another program wrote; each leaf when it is touched.
//
// seq, index and n are eight bytes, big-endian. uid is the site's own id: its 16
// hex digits in the bucket site, the eight bytes that they stand for in the
// bucket within.
//
// Every value in every bucket is a payload followed by four bytes: the CRC-32C
// (Castagnoli) of key and payload, big-endian. The arrows above give payloads.
//
// The words of meta and their payloads, all ASCII:
//
//	format  the number of this format, decimal
//	id      32 hex digits, drawn when the log was made; a copy has the same
//	tag     two capitals, A to Z without I and O
//	next    the number of the next weld, decimal
//	sealed  seq of the newest entry of kind "sealed", decimal, 0 for none
//
// Format 1 had pages of 16384 bytes and was never released; it is refused.
//
// # Entries
//
// The first entry has seq 1 and there is never a gap. Its payload is one line
// of JSON (UTF-8, no line break), the fields of logbook.Entry, of which seq is
// the first; the wall time is UTC with milliseconds. These bytes, and no others,
// are what is hashed and journalled. Fields that a reader does not know are to
// be kept; kinds that it does not know are to be shown.
//
// n is the number of the entry within its site, from 1 and without gap: the
// first entry of kind "site opened" that names a site is its number 1, and every
// later one that names it has the next. An entry that names no site, or one that
// is not opened yet, has no n and is in no record.
//
// The id of an entry is the id of its save, a dot, and its place among the
// entries of that save and id, from 0. A save over several sites has one id a
// site. The entries of a save follow each other.
//
// The bucket hash is the stored form of an RFC 6962 Merkle tree (SHA-256) over
// the lines in the order of seq, entry seq being record seq-1, at the indexes of
// StoredHashIndex in golang.org/x/mod/sumdb/tlog. It therefore ends at the index
// StoredHashCount(n)-1 for n entries, which shows a log whose last entries are
// missing.
//
// An entry of kind "sealed" holds a seal, whose format is that of package seal,
// over just the entries before it. Its secret key is kept elsewhere. One of kind
// "log restored" says that the log was made anew, from its journal, its twin or
// the damaged file itself: up to which entry, and the root of the tree over these.
//
// # Index
//
// The buckets site and within, and the words next and sealed, hold nothing of
// their own. They are made of the entries, one by one in the order of seq, by
// their kinds and names: no wording, no rule and no record enters them.
//
// A row of the bucket site is JSON without spaces, its fields in this order:
//
//	uid      its key
//	site     the name that entries have for it
//	no       its place in the order of opening, from 1
//	entries  how many it has; so many stand in the bucket within
//	newest   the stamp of its last entry, as in its line
//	run      the welds that may run; left out where there are none
//	opened   its first entry, the fields of logbook.Entry as in its line
//
// uid is the one that the opening entry gives, if it is 16 hex digits in small
// letters that no site before has; else no in 16 decimal digits, or the next
// number that is free.
//
// A weld comes to the end of run, unless it stands there, with an entry of kind
// "weld begun", "fusion started", "fusion ended" or "attempt refused", with one
// of kind "correction" for the field "disturbed", and with any whose body is not
// understood: of an unknown kind, of a version above 1, or not to be read. It goes
// with "released", "disturbed", "cut out" and "walk abandoned", if understood. So
// the list may name too many, never too few; a program of fewer kinds makes it
// longer, which is no fault.
//
// next is 1, or one more than the greatest number among the welds that entries
// name as the tag, "-" and the number in at least four digits.
//
// # Journal
//
// FILE.journal is lines, each ended by one line feed: a text, TAB, and the
// CRC-32C of the text in eight small hex digits. The text of the first is
//
//	{"journal":1,"log":ID,"tag":TAG}
//
// with the format of the journal and the words id and tag of meta as strings;
// it is no entry. The others are the lines of the entries from seq 1 on.
//
// A save is committed to the log, then appended to the journal and synced, then
// acknowledged, all under the log's exclusive lock. One that fails on the way is
// looked up by its id before anything is said of it, and where it is stored what a
// failed sync may have left undone is written once more. So a last line without its
// line feed was never acknowledged and is cut; a journal that is behind is
// brought up from the log; and a journal that holds an entry which the log does
// not shows that the log lost something. A missing journal is made anew. One
// that begins with another log's first line is refused. One that is damaged at its
// beginning or end is kept as FILE.journal.bad-N and made anew, if all entries of the
// log can be read and none that the journal has is missing in it or another there.
//
// # Twin
//
// A twin is the journal once more on another disk, of the same form to the byte, in a
// file TAG-ID.twin, ID being the first eight digits of the log's id. The folder is kept
// by the program on that machine and not in the log.
//
// It is written after the save, without the log's lock, from the journal's whole lines,
// and synced. So it may be behind, and end in the middle of a line, and is brought up.
// One that goes on behind the journal's end shows that the log was put back to an older
// state: nothing is saved then. One that has another line at a place where the journal
// has one, or whose lines do not match their checksums, is left as it is. A person may
// put it aside, as TAG-ID.twin.aside-N; that is an entry of kind "twin set aside".
//
// The note of each seal in it lies beside it as TAG-ID-N.seal, N being how many entries
// it is over.
//
// # Heartbeat
//
// FILE.beat is 80 bytes, overwritten in place and not synced:
//
//	 0  4  "beat"
//	 4  1  version, 2
//	 5  1  length of the boot id, 0 to 36
//	 6  2  minutes that local time is ahead of UTC, signed
//	 8 36  boot id, filled up with zero bytes
//	44  8  boot clock, milliseconds
//	52  8  wall clock, milliseconds since 1970 UTC, signed
//	60 16  name of the machine, filled up with zero bytes
//	76  4  CRC-32C of bytes 0 to 75
//
// Numbers are big-endian. A file of another length or content is no heartbeat.
//
// # Locks
//
// The log is opened for one transaction and closed again. A save takes the
// exclusive lock of bbolt, for about a millisecond: of what others wrote it
// folds at most 256 entries there, else it lets go, reads them first and tries
// again. Readers take the shared one for at most 2000 entries at a time and
// decode them after it. Whoever reads the whole log copies it under the shared
// lock and reads the copy. No lock outlives a call, so two programs can work
// with one log.
//
// A lock counts only if the file that was opened still has the name FILE once
// the lock is had; else it is opened again.
//
// # Migration
//
// An older format is brought up at the opening, step by step from number to
// number, all under the exclusive lock: FILE is copied to an unfinished copy,
// which is changed in one transaction, checked as a whole and synced; the old
// file gets the name FILE.before-vN too, by a link or else as a copy; the new
// one takes the name FILE. Broken off anywhere, the old log or the new has the
// name, and is whole. A newer format is refused.
package store
