package office

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"github.com/klauspost/compress/zstd"
	"golang.org/x/mod/sumdb/note"

	"coolhold/logbook/seal"
)

const parcelHeading = "coolhold parcel 1"

// ParcelEntries is how many entries a laptop sends at once: about 60 kB, so that a link
// that breaks often loses little, and few enough rows at the office.
const ParcelEntries = 1500

// The most that a parcel holds: a bound of ours on what is held in memory. An entry is
// about 400 bytes; one alone is never longer than MostLines.
const (
	MostParcel = 16 << 20 // bytes as it is sent
	MostLines  = 64 << 20 // bytes of its lines
	mostSeal   = 4096     // with many signatures
)

// A Parcel is one that was read and that proves itself. Whose key signed it is asked of
// SignedBy.
type Parcel struct {
	seal.Statement // of the laptop: over the entries up to the last line
	Note           []byte
	Before, After  Edge     // of the tree, before the first line and after the last
	Lines          [][]byte // none: it only says what the laptop holds
	Packed         []byte   // the same as they came
}

// First is the entry that its first line is.
func (p Parcel) First() int64 { return p.Before.N + 1 }

// Pack makes a parcel of the lines after an edge and the seal over the entries up to the
// last of them. It is read back before it is given away.
func Pack(before Edge, lines [][]byte, sealed []byte) ([]byte, error) {
	var out bytes.Buffer
	fmt.Fprintf(&out, "%s\nfirst %d\n%s\nseal %d\n", parcelHeading, before.N+1, strings.TrimSpace("edge "+before.String()), len(sealed))
	out.Write(sealed)
	out.Write(Compress(lines))
	if _, err := Read(out.Bytes()); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// Read reads a parcel. The error is ErrParcel unless all of it is there, in its form, and
// its edge and lines give the root that was sealed.
func Read(data []byte) (p Parcel, err error) {
	if p, err = read(data); err != nil {
		return Parcel{}, fmt.Errorf("%w: %w", ErrParcel, err)
	}
	return p, nil
}

// Claims is what a parcel says of itself: its log's letters and the key that is said to
// have signed it. Nothing of it is proved.
func Claims(data []byte) (tag, key string, err error) {
	p, err := head(data)
	if err != nil {
		return "", "", fmt.Errorf("%w: %w", ErrParcel, err)
	}
	s, err := seal.Parse(p.Note)
	if err != nil {
		return "", "", fmt.Errorf("%w: %w", ErrParcel, err)
	}
	return p.Tag, strings.Join(s.Unknown, ", "), nil
}

func read(data []byte) (p Parcel, err error) {
	if p, err = head(data); err != nil {
		return p, err
	}
	if p.Lines, err = Expand(p.Packed); err != nil {
		return p, err
	}
	p.After = p.Before.Add(p.Lines...)
	return p, p.proves()
}

// head reads all but the lines.
func head(data []byte) (p Parcel, err error) {
	if len(data) > MostParcel {
		return p, fmt.Errorf("it is longer than %d bytes", MostParcel)
	}
	var words [4]string // behind each of the first lines' names
	for i, name := range []string{parcelHeading, "first", "edge", "seal"} {
		line, rest, ended := bytes.Cut(data, []byte("\n"))
		value, is := strings.CutPrefix(string(line), name)
		value, spaced := strings.CutPrefix(value, " ")
		if !ended || !is || spaced != (value != "") {
			return p, fmt.Errorf("line %d is not %q", i+1, name)
		}
		words[i], data = value, rest
	}
	first, err := number(words[1])
	if err != nil || first < 1 {
		return p, fmt.Errorf("its first entry %q is no number from 1", words[1])
	}
	if p.Before, err = ParseEdge(first-1, words[2]); err != nil {
		return p, err
	}
	length, err := number(words[3])
	if err != nil || length > mostSeal || length > int64(len(data)) {
		return p, fmt.Errorf("its seal is cut off")
	}
	p.Note, p.Packed = data[:length:length], data[length:]
	s, err := seal.Parse(p.Note)
	if err != nil {
		return p, err
	}
	p.Statement = s.Statement
	return p, nil
}

// number reads a decimal number as it is written here, in one way only.
func number(text string) (int64, error) {
	n, err := strconv.ParseInt(text, 10, 64)
	if err == nil && strconv.FormatInt(n, 10) != text {
		err = strconv.ErrSyntax
	}
	return n, err
}

// proves tells whether the edge and the lines are what was sealed.
func (p Parcel) proves() error {
	if p.After.N != p.Entries {
		return fmt.Errorf("it has the entries %d to %d, and what is sealed ends with %d", p.First(), p.After.N, p.Entries)
	}
	if p.After.Root() != p.Root {
		return fmt.Errorf("its lines do not give the root that was sealed")
	}
	return nil
}

// SignedBy is the key, of those that are known, whose signature holds: "name+number".
func (p Parcel) SignedBy(known ...note.Verifier) (string, error) {
	s, err := seal.Verify(p.Note, known...)
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrUnknownKey, err)
	}
	return s.Signed[0], nil
}

// Compress packs lines as a parcel has them; of none it gives nothing.
func Compress(lines [][]byte) []byte {
	if len(lines) == 0 {
		return nil
	}
	w, err := zstd.NewWriter(nil, zstd.WithEncoderConcurrency(1), zstd.WithEncoderLevel(zstd.SpeedBetterCompression))
	if err != nil {
		panic(err) // the options are ours
	}
	defer w.Close()
	return w.EncodeAll(append(bytes.Join(lines, []byte("\n")), '\n'), nil)
}

// Expand unpacks lines.
func Expand(packed []byte) ([][]byte, error) {
	if len(packed) == 0 {
		return nil, nil
	}
	r, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxMemory(MostLines))
	if err != nil {
		panic(err) // the options are ours
	}
	defer r.Close()
	text, err := r.DecodeAll(packed, nil)
	if err != nil {
		return nil, fmt.Errorf("its lines cannot be unpacked: %w", err)
	}
	if !bytes.HasSuffix(text, []byte("\n")) {
		return nil, fmt.Errorf("its lines are cut off")
	}
	return bytes.Split(text[:len(text)-1], []byte("\n")), nil
}
