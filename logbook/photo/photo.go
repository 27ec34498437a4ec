// Package photo reads what the file of a photo says of itself: of which kind it is, when
// its EXIF says that it was taken, how it is to be turned; and makes it small for a page.
//
// The file comes from outside. What is read of it is bounded (readMost), what a picture
// would take in memory is asked of its head before it is decoded (memoryMost), and a fault
// in the file is an answer and no error: a photo that tells no time is still a photo.
package photo

import (
	"bytes"
	"errors"
	"io"
	"regexp"
	"strings"
	"time"

	"github.com/bep/imagemeta"

	"coolhold/logbook"
)

// A Kind is the kind of a picture's file, by its first bytes.
type Kind string

// The kinds that are known. Of the first three the EXIF is read, the first two are drawn.
const (
	JPEG Kind = "JPEG"
	PNG  Kind = "PNG"
	HEIC Kind = "HEIC"
	TIFF Kind = "TIFF"
	WebP Kind = "WebP"
	GIF  Kind = "GIF"
	BMP  Kind = "BMP"
)

// readMost is how much is read of a file for its EXIF, in bytes, jumps back counted each
// time. A phone puts it into the first 64 kB or names its place there.
const readMost = 1 << 20

// A Said is what a photo's file says of itself.
type Said struct {
	Kind  Kind
	Taken logbook.Taken
	Turn  int // 1 to 8, as EXIF counts how a picture is to be turned; 1: not
}

// Endings are what names of photos end in.
var Endings = []string{".jpg", ".jpeg", ".png", ".heic", ".heif", ".tif", ".tiff", ".webp", ".gif", ".bmp"}

// Of reads what a file says of itself; false: it does not begin as a picture does. Errors
// of the reader are errors, faults of the file are not.
func Of(r io.ReadSeeker) (Said, bool, error) {
	head, err := begins(r)
	if err != nil {
		return Said{}, false, err
	}
	kind, is := kindOf(head)
	if !is {
		return Said{}, false, nil
	}
	said := Said{Kind: kind, Turn: 1}
	format, read := map[Kind]imagemeta.ImageFormat{JPEG: imagemeta.JPEG, PNG: imagemeta.PNG, HEIC: imagemeta.HEIF}[kind]
	if !read {
		said.Taken.None = logbook.TimeUnread
		return said, true, nil
	}
	src := &sparing{r: r, left: readMost}
	t, err := tagsOf(src, format)
	if src.err != nil {
		return Said{}, false, src.err
	}
	broken := err != nil || kind == JPEG && !t.seen && bytes.Contains(head, []byte("Exif\x00\x00")) // the library is silent on one that is cut off
	said.Taken = takenOf(t.taken, t.offset, broken)
	if t.turn >= 1 && t.turn <= 8 {
		said.Turn = int(t.turn)
	}
	return said, true, nil
}

// Is tells whether a file begins as a picture does.
func Is(r io.ReadSeeker) bool {
	head, err := begins(r)
	_, is := kindOf(head)
	return is && err == nil
}

// begins are the first bytes of a file.
func begins(r io.ReadSeeker) ([]byte, error) {
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return nil, err
	}
	head := make([]byte, 4096)
	n, err := io.ReadFull(r, head)
	if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
		err = nil
	}
	if err == nil {
		_, err = r.Seek(0, io.SeekStart)
	}
	return head[:n], err
}

// magic are the first bytes of each kind; a dot is any byte.
var magic = []struct {
	kind Kind
	re   *regexp.Regexp
}{
	{JPEG, regexp.MustCompile(`(?s)^\xff\xd8\xff`)},
	{PNG, regexp.MustCompile(`(?s)^\x89PNG\r\n\x1a\n`)},
	{HEIC, regexp.MustCompile(`(?s)^....ftyp(hei|hev|mif1|msf1|avif|avis)`)},
	{TIFF, regexp.MustCompile(`(?s)^(II\*\x00|MM\x00\*)`)},
	{WebP, regexp.MustCompile(`(?s)^RIFF....WEBP`)},
	{GIF, regexp.MustCompile(`(?s)^GIF8[79]a`)},
	{BMP, regexp.MustCompile(`(?s)^BM....\x00\x00\x00\x00`)},
}

func kindOf(head []byte) (Kind, bool) {
	latin := make([]rune, 0, 64) // a byte a letter, so that an expression can speak of bytes
	for _, b := range head[:min(len(head), 64)] {
		latin = append(latin, rune(b))
	}
	for _, m := range magic {
		if m.re.MatchString(string(latin)) {
			return m.kind, true
		}
	}
	return "", false
}

// tags are what is wanted of an EXIF.
type tags struct {
	taken, offset string
	turn          uint16
	seen          bool // any tag at all
}

// tagsOf reads them. What was read before a fault counts.
func tagsOf(r io.ReadSeeker, format imagemeta.ImageFormat) (t tags, err error) {
	_, err = imagemeta.Decode(imagemeta.Options{
		R: r, ImageFormat: format, Sources: imagemeta.EXIF,
		ShouldHandleTag: func(i imagemeta.TagInfo) bool {
			t.seen = true
			return i.Namespace == "IFD0" && i.Tag == "Orientation" || i.Namespace == "IFD0/ExifIFDP" && (i.Tag == "DateTimeOriginal" || i.Tag == "OffsetTimeOriginal")
		},
		HandleTag: func(i imagemeta.TagInfo) error {
			switch v := i.Value.(type) {
			case uint16:
				t.turn = v
			case string:
				if i.Tag == "DateTimeOriginal" {
					t.taken = v
				} else if i.Tag == "OffsetTimeOriginal" {
					t.offset = v
				}
			}
			return nil
		},
		LimitNumTags: 1000, LimitTagSize: 4096,
	})
	return t, err
}

// local is how EXIF writes a time.
const local = logbook.TakenLayout

var offsets = regexp.MustCompile(`^[+-]\d\d:\d\d$`)

// takenOf is the time as it was written. One of zeros and blanks is that of a clock that
// was never set.
func takenOf(at, offset string, broken bool) logbook.Taken {
	at, offset = strings.Trim(at, " \x00"), strings.Trim(offset, " \x00")
	switch _, err := time.Parse(local, at); {
	case strings.Trim(at, " :0") == "" && !broken:
		return logbook.Taken{None: logbook.TimeAbsent}
	case err != nil || len(at) != len(local):
		return logbook.Taken{None: logbook.TimeBroken}
	case !offsets.MatchString(offset):
		return logbook.Taken{Local: at}
	}
	return logbook.Taken{Local: at, Offset: offset}
}

// A sparing reader gives no more than so many bytes in all, however often they are asked
// for, so that no file holds a reader for ever.
type sparing struct {
	r    io.ReadSeeker
	left int
	err  error // of the reader itself
}

var errTooMuch = errors.New("more is to be read of it than of any photo")

// Read gives what is left to give.
func (s *sparing) Read(p []byte) (int, error) {
	if s.left <= 0 {
		return 0, errTooMuch
	}
	n, err := s.r.Read(p[:min(len(p), s.left)])
	s.left -= n
	if err != nil && !errors.Is(err, io.EOF) {
		s.err = err
	}
	return n, err
}

// Seek is a jump, which counts as the least that is read after it.
func (s *sparing) Seek(offset int64, whence int) (int64, error) {
	s.left -= 16
	if s.left <= 0 {
		return 0, errTooMuch
	}
	return s.r.Seek(offset, whence)
}
