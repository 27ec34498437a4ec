package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
)

func file(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "photos", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// What other software wrote into a file is read as it wrote it: how it was called is in
// testdata/README.md.
func TestOtherSoftware(t *testing.T) {
	absent, broken := logbook.Taken{None: logbook.TimeAbsent}, logbook.Taken{None: logbook.TimeBroken}
	for name, want := range map[string]Said{
		"plain.jpg":         {JPEG, absent, 1},
		"big-endian.jpg":    {JPEG, logbook.Taken{Local: "2026:03:09 10:14:02", Offset: "+01:00"}, 1},
		"little-endian.jpg": {JPEG, logbook.Taken{Local: "2026:03:09 10:31:40"}, 1},
		"turned.jpg":        {JPEG, logbook.Taken{Local: "2026:03:09 10:40:00", Offset: "-03:30"}, 6},
		"blank.jpg":         {JPEG, absent, 1},
		"words.jpg":         {JPEG, broken, 1},
		"cut.jpg":           {JPEG, broken, 1},
		"progressive.jpg":   {JPEG, absent, 1},
		"chunk.png":         {PNG, logbook.Taken{Local: "2026:03:09 11:00:00", Offset: "+00:00"}, 1},
		"still.heic":        {HEIC, logbook.Taken{Local: "2026:03:09 11:20:05", Offset: "+01:00"}, 1},
	} {
		said, is, err := Of(bytes.NewReader(file(t, name)))
		if said != want || !is || err != nil {
			t.Errorf("%s: %+v, %t, %v; want %+v", name, said, is, err, want)
		}
	}
}

// An EXIF that points nowhere is a fault and no absence.
func TestAnEXIFThatPointsNowhere(t *testing.T) {
	data := bytes.Clone(file(t, "big-endian.jpg"))
	at := bytes.Index(data, []byte("MM\x00*"))
	binary.BigEndian.PutUint32(data[at+4:], 0x00ffff00)
	if said, is, err := Of(bytes.NewReader(data)); !is || err != nil || said.Taken != (logbook.Taken{None: logbook.TimeBroken}) {
		t.Errorf("%+v, %t, %v", said, is, err)
	}
}

// The first bytes say what a file is, not its name; of a kind that is not read that is
// said, and a film or a text is no photo.
func TestKinds(t *testing.T) {
	for head, want := range map[string]Kind{
		"II*\x00": TIFF, "MM\x00*": TIFF, "GIF89a": GIF, "BM1234\x00\x00\x00\x00": BMP, "RIFF\x00\x01\x02\x03WEBP": WebP,
		"\x00\x00\x00\x18ftypmp42": "", "RIFF\x00\x01\x02\x03WAVE": "", "": "", "\xff\xd8": "", "BMW": "", "first": "",
	} {
		said, is, err := Of(strings.NewReader(head))
		if said.Kind != want || is != (want != "") || err != nil || Is(strings.NewReader(head)) != is {
			t.Errorf("%q: %+v, %t, %v", head, said, is, err)
		}
		if is && (said.Taken.None != logbook.TimeUnread || said.Taken.String() != "a time in this kind of file is not read") {
			t.Errorf("%q: %+v", head, said.Taken)
		}
	}
}

func TestTimeOfAPhoto(t *testing.T) {
	zone := time.FixedZone("", 3600)
	for _, c := range []struct {
		taken logbook.Taken
		want  string
		exact bool
	}{
		{logbook.Taken{Local: "2026:03:09 10:14:02", Offset: "-03:30"}, "2026-03-09T10:14:02-03:30", true},
		{logbook.Taken{Local: "2026:03:09 10:14:02"}, "2026-03-09T10:14:02+01:00", false},
		{logbook.Taken{None: logbook.TimeAbsent}, "0001-01-01T00:00:00Z", false},
	} {
		if at, exact := c.taken.Time(zone); at.Format(time.RFC3339) != c.want || exact != c.exact {
			t.Errorf("%+v: %s, %t", c.taken, at.Format(time.RFC3339), exact)
		}
	}
	for _, c := range []struct{ at, offset, local, none string }{
		{"2026:03:09 10:14:02", "Z", "2026:03:09 10:14:02", ""}, {" 2026:03:09 10:14:02 ", "", "2026:03:09 10:14:02", ""},
		{"2026:13:09 10:14:02", "", "", logbook.TimeBroken}, {"2026-03-09 10:14:02", "", "", logbook.TimeBroken}, {"    :  :     :  :  ", "", "", logbook.TimeAbsent},
		{"2026:03:09 10:14:02.5", "", "", logbook.TimeBroken}, {"2026:03:09 10:14:02\x1b[2J", "", "", logbook.TimeBroken},
	} {
		if got := takenOf(c.at, c.offset, false); got.Local != c.local || got.None != c.none || got.Offset != "" {
			t.Errorf("%q: %+v", c.at, got)
		}
	}
}

// squares are the colours of a picture's four quarters, by their first letters, line by
// line.
func squares(t *testing.T, s Small) string {
	t.Helper()
	p, err := jpeg.Decode(bytes.NewReader(s.JPEG))
	if err != nil {
		t.Fatal(err)
	}
	if p.Bounds().Dx() != s.W || p.Bounds().Dy() != s.H {
		t.Errorf("it is %v, said to be %d by %d", p.Bounds(), s.W, s.H)
	}
	out := ""
	for _, at := range []image.Point{{s.W / 4, s.H / 4}, {3 * s.W / 4, s.H / 4}, {s.W / 4, 3 * s.H / 4}, {3 * s.W / 4, 3 * s.H / 4}} {
		out += colourOf(p.At(at.X, at.Y))
	}
	return out
}

func colourOf(c color.Color) string {
	r, g, b, _ := c.RGBA()
	switch hi := uint32(0x8000); {
	case r > hi && g > hi && b > hi:
		return "w"
	case r > hi && g < hi && b < hi:
		return "r"
	case g > hi && r < hi && b < hi:
		return "g"
	case b > hi && r < hi && g < hi:
		return "b"
	}
	return "?"
}

// A small photo stands upright, whatever way the phone was held.
func TestSmallStandsUpright(t *testing.T) {
	for name, size := range map[string]string{"plain.jpg": "24x16", "turned.jpg": "24x16", "chunk.png": "24x16", "progressive.jpg": "24x16"} {
		data := file(t, name)
		said, _, err := Of(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		s, err := MakeSmall(bytes.NewReader(data), said, 480)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got := squares(t, s); got != "rgbw" || fmt.Sprintf("%dx%d", s.W, s.H) != size {
			t.Errorf("%s: %s, %d by %d", name, got, s.W, s.H)
		}
		again, _ := MakeSmall(bytes.NewReader(data), said, 480)
		if !bytes.Equal(again.JPEG, s.JPEG) {
			t.Errorf("%s is made otherwise a second time", name)
		}
		if s, err = MakeSmall(bytes.NewReader(data), said, 12); err != nil || s.W != 12 || s.H != 8 {
			t.Errorf("%s within 12 dots: %d by %d, %v", name, s.W, s.H, err)
		}
	}
}

// Each of the eight ways that EXIF counts is turned back: the stored corners, line by
// line, of a picture that is "rg" over "bw" upright.
func TestEachWayIsTurned(t *testing.T) {
	colours := map[rune]color.RGBA{'r': {200, 0, 0, 255}, 'g': {0, 160, 0, 255}, 'b': {0, 0, 200, 255}, 'w': {230, 230, 230, 255}}
	for turn, stored := range map[int]string{0: "rgbw", 1: "rgbw", 2: "grwb", 3: "wbgr", 4: "bwrg", 5: "rbgw", 6: "gwrb", 7: "wgbr", 8: "brwg", 9: "rgbw"} {
		wide, high := 3, 2 // of a square, upright
		if turn >= 5 && turn <= 8 {
			wide, high = high, wide
		}
		p := image.NewRGBA(image.Rect(0, 0, 2*wide, 2*high))
		for i := range 4 * wide * high {
			x, y := i%(2*wide), i/(2*wide)
			p.SetRGBA(x, y, colours[rune(stored[x/wide+2*(y/high)])])
		}
		out, got := turned(p, turn), ""
		if out.Rect != image.Rect(0, 0, 6, 4) {
			t.Errorf("way %d: it is %v", turn, out.Rect)
			continue
		}
		for i := range 24 {
			got += colourOf(out.At(i%6, i/6))
		}
		if want := "rrrggg" + "rrrggg" + "bbbwww" + "bbbwww"; got != want {
			t.Errorf("way %d: %s", turn, got)
		}
	}
}

// headed is a PNG of that size that holds no dot of it.
func headed(w, h uint32) []byte {
	ihdr := binary.BigEndian.AppendUint32([]byte("IHDR"), w)
	ihdr = append(binary.BigEndian.AppendUint32(ihdr, h), 8, 2, 0, 0, 0)
	out := binary.BigEndian.AppendUint32([]byte("\x89PNG\r\n\x1a\n"), 13)
	return binary.BigEndian.AppendUint32(append(out, ihdr...), crc32.ChecksumIEEE(ihdr))
}

// A picture that says it is huge is not decoded, one that has no decoder here or breaks
// off is not drawn; each says why.
func TestWhatIsNotDrawn(t *testing.T) {
	wide := bytes.Clone(file(t, "plain.jpg"))
	at := bytes.Index(wide, []byte{0xff, 0xc0})
	binary.BigEndian.PutUint16(wide[at+5:], 60000)
	binary.BigEndian.PutUint16(wide[at+7:], 60000)
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"huge JPEG", wide, "at 60000 by 60000 dots it is too large to be drawn here"},
		{"huge PNG", headed(30000, 30000), "at 30000 by 30000 dots it is too large to be drawn here"},
		{"long PNG", headed(1<<30, 1), "at 1073741824 by 1 dots it is too large to be drawn here"},
		{"cut off", file(t, "plain.jpg")[:300], "the picture cannot be read to its end"},
		{"no dots", headed(10, 10), "the picture cannot be read to its end"},
		{"head alone", file(t, "plain.jpg")[:10], "the picture cannot be read to its end"},
		{"HEIC", file(t, "still.heic"), "a picture of the kind HEIC is not drawn here"},
	} {
		said, is, err := Of(bytes.NewReader(c.data))
		if !is || err != nil {
			t.Errorf("%s: %t, %v", c.name, is, err)
		}
		if s, err := MakeSmall(bytes.NewReader(c.data), said, 480); err == nil || err.Error() != c.want || s.JPEG != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// What comes in several passes takes more memory, so less of it is let in.
func TestPassesCost(t *testing.T) {
	if progressive(bytes.NewReader(file(t, "plain.jpg"))) || !progressive(bytes.NewReader(file(t, "progressive.jpg"))) || !progressive(strings.NewReader("\xff\xd8\xff")) {
		t.Error("one pass or several is told wrongly")
	}
	const dots = 24 * 16
	for name, takes := range map[string]int{"plain.jpg": 4, "progressive.jpg": 20} {
		data := file(t, name)
		for memory, drawn := range map[int]bool{dots * takes: true, dots*takes - 24: false} {
			if _, err := makeSmall(bytes.NewReader(data), Said{Kind: JPEG, Turn: 1}, 480, memory); (err == nil) != drawn {
				t.Errorf("%s in %d bytes: %v", name, memory, err)
			}
		}
	}
}

// counted counts what is read, and fails where it is told to.
type counted struct {
	io.ReadSeeker
	read  int
	fails error // once so much was read
	after int
}

func (c *counted) Read(p []byte) (int, error) {
	if c.read > c.after && c.fails != nil {
		return 0, c.fails
	}
	n, err := c.ReadSeeker.Read(p)
	c.read += n
	return n, err
}

// A file that sends its reader back and forth is left after a bounded part, a reader that
// fails is no fault of the file.
func TestReadingIsBounded(t *testing.T) {
	box := func(name string, size uint64, body string) string {
		return string(binary.BigEndian.AppendUint64(append([]byte{0, 0, 0, 1}, name...), size)) + body
	}
	back := "\x00\x00\x00\x18ftypheic" + strings.Repeat("\x00", 12) + box("free", 1<<64-24, strings.Repeat("x", 4096)) // its next box begins before it
	long := string(file(t, "plain.jpg")[:2]) + strings.Repeat("\xff\xe2\x00\x02", 1<<20)
	for name, data := range map[string]string{"back": back, "long": long} {
		src := &counted{ReadSeeker: strings.NewReader(data)}
		said, is, err := Of(src)
		if !is || err != nil || said.Taken.Local != "" || src.read > readMost+4096 {
			t.Errorf("%s: %+v, %t, %v after %d bytes", name, said, is, err, src.read)
		}
	}
	gone, late := errors.New("the stick is gone"), file(t, "big-endian.jpg")
	late = slices.Concat(late[:2], []byte("\xff\xe2\xf0\x00"), make([]byte, 0xf000-2), late[2:]) // its EXIF comes behind much else
	if said, _, err := Of(bytes.NewReader(late)); err != nil || said.Taken.Offset != "+01:00" {
		t.Fatalf("%+v, %v", said, err)
	}
	for _, after := range []int{0, 5000} {
		if _, _, err := Of(&counted{ReadSeeker: bytes.NewReader(late), fails: gone, after: after}); !errors.Is(err, gone) {
			t.Errorf("a stick that is pulled after %d bytes: %v", after, err)
		}
	}
}

// Whatever a file holds, it is read without a panic and in bounds, and what is kept of it
// is a time as EXIF writes one or a code.
func FuzzPhoto(f *testing.F) {
	names, err := filepath.Glob("../../testdata/photos/*.*")
	if err != nil || len(names) < 10 {
		f.Fatal(names, err)
	}
	for _, name := range names {
		f.Add(file(f, filepath.Base(name)))
	}
	f.Add(headed(30000, 3))
	f.Fuzz(func(t *testing.T, data []byte) {
		src := &counted{ReadSeeker: bytes.NewReader(data)}
		said, is, err := Of(src)
		if err != nil || src.read > readMost+8192 {
			t.Fatalf("%v, %d bytes read of %d", err, src.read, len(data))
		}
		taken := said.Taken
		if is == (said.Kind == "") || is && (said.Turn < 1 || said.Turn > 8 || (taken.Local == "") != (taken.None != "")) {
			t.Fatalf("%+v, %t", said, is)
		}
		if _, err := time.Parse(local, taken.Local); taken.Local != "" && (err != nil || len(taken.Local) != len(local)) || taken.Offset != "" && !offsets.MatchString(taken.Offset) {
			t.Fatalf("%+v", taken)
		}
		if !is {
			return
		}
		if s, err := makeSmall(bytes.NewReader(data), said, 32, 1<<20); err == nil && (s.W < 1 || s.H < 1 || s.W > 32 || s.H > 32 || len(s.JPEG) == 0) {
			t.Fatalf("%d by %d, %d bytes", s.W, s.H, len(s.JPEG))
		}
	})
}
