// Package proof makes a register that can be checked without the log it came
// from, and checks it. Beside what every register in JSON holds, such a file
// carries
//
//   - the seal: the signed note over the first n entries of the log, which names
//     the site and how many of them are its own;
//   - each of the n entries: of the site the very line that was stored, of all
//     others only the hash, so that nobody reads of another client's site. The
//     site's entries are numbered from 1: one that is left out leaves a gap, and
//     the newest one is missed by the number in the seal;
//   - what the register was asked for: site, time, filters;
//   - a signature over the file itself, as it is with an empty signature.
//
// The check reads the note and both signatures, computes the tree over the
// entries and holds its root against the seal, and makes the register anew from
// the entries. What another version of the program wrote cannot always be made
// anew to the byte: then the signature over the file stands for it alone, and
// the check says so.
package proof

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/seal"
)

// Sentinels of the check; each comes wrapped in a line for a person.
var (
	ErrNoProof = errors.New("no register with a proof")
	ErrAltered = errors.New("altered since it was written")
	ErrEntries = errors.New("its entries are not those that were sealed")
	ErrRows    = errors.New("what it lists does not follow from its entries")
)

// A Request is what a register was asked for.
type Request struct {
	Site     string       `json:"site"`
	Entries  int          `json:"entries"` // how many count, from the first: fewer than are sealed where it is as of an earlier time
	AsOf     fusion.Stamp `json:"as_of"`
	Beat     fusion.Stamp `json:"beat"`
	Day      string       `json:"day,omitempty"`
	Since    time.Time    `json:"since,omitzero"`
	Verdicts []string     `json:"verdicts,omitempty"`
}

// A Proof is what a register carries beside its rows.
type Proof struct {
	Program   string   `json:"program"` // the version that wrote it
	Asked     Request  `json:"asked"`
	Entries   []string `json:"entries"`   // every sealed entry: of the site as stored, else its hash in base64
	Signature string   `json:"signature"` // over the file with this empty
}

// Make makes a register with its proof. lines are the entries that the seal is
// over, as stored; the seal is its note.
func Make(w io.Writer, program string, q Request, lines [][]byte, sealed string, k seal.Key) error {
	s, err := seal.Parse([]byte(sealed))
	if err != nil {
		return err
	}
	if int64(len(lines)) != s.Entries {
		return fmt.Errorf("%w: %d entries, the seal is over %d", ErrEntries, len(lines), s.Entries)
	}
	q.AsOf, q.Beat = q.AsOf.Cut(), q.Beat.Cut() // as they will be read
	p := Proof{Program: program, Asked: q}
	for _, l := range lines {
		p.Entries = append(p.Entries, shown(l, q.Site))
	}
	if err := p.complete(s.Statement); err != nil {
		return err
	}
	text, err := p.write(s.Statement, sealed)
	if err != nil {
		return err
	}
	signed, err := note.Sign(&note.Note{Text: statement(s.Statement, text)}, k.Signer())
	if err != nil {
		return err
	}
	p.Signature = string(signed)
	if text, err = p.write(s.Statement, sealed); err == nil {
		_, err = w.Write(text)
	}
	return err
}

// shown is an entry as the file has it: its line where it is of the site, else the
// hash of its line.
func shown(line []byte, site string) string {
	if e, err := logbook.ReadEntry(line); err == nil && e.Site == site && e.N > 0 {
		return string(line)
	}
	return tlog.RecordHash(line).String()
}

// isLine tells a line from a hash.
func isLine(entry string) bool { return strings.HasPrefix(entry, "{") }

// complete makes sure that the entries of the site are all that the seal counts:
// it is the site that the first of them opened, and they are numbered without a
// gap.
func (p Proof) complete(s seal.Statement) error {
	n := uint64(0)
	for at, line := range p.Entries {
		if !isLine(line) {
			continue
		}
		e, err := logbook.ReadEntry([]byte(line))
		if n++; err != nil || e.Seq != uint64(at+1) || e.Site != p.Asked.Site || e.N != n {
			return fmt.Errorf("%w: entry %d is not entry %d of site %s", ErrEntries, at+1, n, p.Asked.Site)
		}
		if opened, ok := e.Open().(logbook.SiteOpened); n == 1 && (!ok || opened.UID != s.Site) {
			return fmt.Errorf("%w: the seal names another site than %s", ErrEntries, p.Asked.Site)
		}
	}
	if n != uint64(s.OfSite) {
		return fmt.Errorf("%w: %d entries of site %s, the seal counts %d", ErrEntries, n, p.Asked.Site, s.OfSite)
	}
	return nil
}

// write is the whole file, made from the entries.
func (p Proof) write(s seal.Statement, sealed string) ([]byte, error) {
	q := p.Asked
	var entries []logbook.Entry
	counted := min(len(p.Entries), max(0, q.Entries))
	for n, line := range p.Entries[:counted] {
		if !isLine(line) {
			continue
		}
		e, err := logbook.ReadEntry([]byte(line))
		if err != nil || e.Seq != uint64(n+1) {
			return nil, fmt.Errorf("%w: entry %d cannot be read", ErrEntries, n+1)
		}
		entries = append(entries, e)
	}
	book := logbook.Fold(s.Tag, entries)
	rep := register.New(book, q.Site, audit.Run(book, q.Site, q.AsOf, q.Beat), register.Query{
		Logs: []register.Log{{ID: s.Log, Tag: s.Tag, Entries: counted, Seal: &logbook.Sealed{Entries: s.Entries, Root: s.Root.String(), Note: sealed, Day: s.Day}}},
		AsOf: q.AsOf.Local(), Day: q.Day, Since: q.Since, Verdicts: q.Verdicts,
	})
	rep.Proof = p
	var text bytes.Buffer
	err := register.JSON(&text, rep)
	return text.Bytes(), err
}

// statement is the text that is signed for a file.
func statement(s seal.Statement, text []byte) string {
	sum := sha256.Sum256(text)
	return fmt.Sprintf("coolhold register 1\nlog %s %s\nentries %d\nsha256 %s\n", s.Log, s.Tag, s.Entries, hex.EncodeToString(sum[:]))
}

// A Checked is what a check found to hold.
type Checked struct {
	Seal    seal.Seal
	Signed  []string // the keys, of those known, that signed the file
	Asked   Request
	Program string
	MadeNew bool // the rows were made anew from the entries, and are these
}

// Check checks a register against the proof in it. Only keys that are known
// count. program is the version that checks: where it is the one that wrote the
// file, rows that cannot be made anew are ErrRows.
func Check(data []byte, program string, known ...note.Verifier) (Checked, error) {
	var doc struct {
		Logs  []register.Log `json:"logs"`
		Proof *Proof         `json:"proof"`
	}
	if err := json.Unmarshal(data, &doc); err != nil || doc.Proof == nil || len(doc.Logs) != 1 || doc.Logs[0].Seal == nil {
		return Checked{}, fmt.Errorf("%w: make one with register --format json --prove", ErrNoProof)
	}
	sealed := doc.Logs[0].Seal.Note
	s, err := seal.Verify([]byte(sealed), known...)
	if err != nil {
		return Checked{}, fmt.Errorf("its seal: %w", err)
	}
	c := Checked{Seal: s, Asked: doc.Proof.Asked, Program: doc.Proof.Program}
	if c.Signed, err = doc.Proof.signedBy(data, s.Statement, known); err != nil {
		return Checked{}, err
	}
	if err := doc.Proof.sealed(s.Statement); err != nil {
		return Checked{}, err
	}
	again, err := doc.Proof.write(s.Statement, sealed)
	if err != nil {
		return Checked{}, err
	}
	c.MadeNew = bytes.Equal(again, data)
	if !c.MadeNew && doc.Proof.Program == program {
		return Checked{}, ErrRows
	}
	return c, nil
}

// signedBy checks the signature over the file.
func (p Proof) signedBy(data []byte, s seal.Statement, known []note.Verifier) ([]string, error) {
	n, err := note.Open([]byte(p.Signature), note.VerifierList(known...))
	if err != nil {
		return nil, fmt.Errorf("%w: the signature over it does not hold: %w", ErrAltered, err)
	}
	quoted := quote(p.Signature)
	if bytes.Count(data, quoted) != 1 {
		return nil, fmt.Errorf("%w: its signature is not written as it was", ErrAltered)
	}
	if n.Text != statement(s, bytes.Replace(data, quoted, []byte(`""`), 1)) {
		return nil, fmt.Errorf("%w: its content is not what was signed", ErrAltered)
	}
	var ids []string
	for _, sig := range n.Sigs {
		ids = append(ids, fmt.Sprintf("%s+%08x", sig.Name, sig.Hash))
	}
	return ids, nil
}

// quote writes a text as register.JSON does.
func quote(s string) []byte {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	_ = enc.Encode(s) // a string always can be
	return bytes.TrimSpace(b.Bytes())
}

// sealed holds the entries against the root in the seal.
func (p Proof) sealed(s seal.Statement) error {
	if int64(len(p.Entries)) != s.Entries {
		return fmt.Errorf("%w: %d entries, the seal is over %d", ErrEntries, len(p.Entries), s.Entries)
	}
	var tree hashes
	for n, line := range p.Entries {
		leaf, err := leafOf(line)
		if err != nil {
			return fmt.Errorf("%w: entry %d: %w", ErrEntries, n+1, err)
		}
		more, err := tlog.StoredHashesForRecordHash(int64(n), leaf, tree)
		if err != nil {
			return fmt.Errorf("%w: %w", ErrEntries, err)
		}
		tree = append(tree, more...)
	}
	root, err := tlog.TreeHash(s.Entries, tree)
	if err != nil || root != s.Root {
		return fmt.Errorf("%w: their root is %s, the seal says %s", ErrEntries, root, s.Root)
	}
	return p.complete(s)
}

func leafOf(entry string) (tlog.Hash, error) {
	if isLine(entry) {
		return tlog.RecordHash([]byte(entry)), nil
	}
	return tlog.ParseHash(entry)
}

// hashes are stored hashes in memory, for tlog.
type hashes []tlog.Hash

// ReadHashes reads them.
func (h hashes) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, at := range indexes {
		if at < 0 || at >= int64(len(h)) {
			return nil, fmt.Errorf("hash %d is missing", at)
		}
		out[i] = h[at]
	}
	return out, nil
}
