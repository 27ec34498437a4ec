package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"io"

	scale "golang.org/x/image/draw"
)

// memoryMost is what a picture may take in memory while it is made small, in bytes, and
// fileMost how long its file may be.
const (
	memoryMost = 200 << 20
	fileMost   = 64 << 20
)

// A Small is a photo made small for a page: a JPEG, turned as it is to be seen.
type Small struct {
	JPEG []byte
	W, H int
}

// MakeSmall draws a photo at most edge dots long and high. Its error says why it cannot be
// drawn, for a person.
func MakeSmall(r io.ReadSeeker, said Said, edge int) (Small, error) {
	return makeSmall(r, said, edge, memoryMost)
}

func makeSmall(r io.ReadSeeker, said Said, edge, memory int) (Small, error) {
	big, err := decoded(r, said.Kind, memory)
	if err != nil {
		return Small{}, err
	}
	at := big.Bounds()
	w, h := fits(at.Dx(), at.Dy(), edge)
	small := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(small, small.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	scale.BiLinear.Scale(small, small.Bounds(), big, at, scale.Over, nil)
	small = turned(small, said.Turn)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, small, &jpeg.Options{Quality: 75}); err != nil {
		return Small{}, err
	}
	return Small{JPEG: out.Bytes(), W: small.Rect.Dx(), H: small.Rect.Dy()}, nil
}

// fits is the size of a picture that is made no larger than edge, and never larger than it
// is.
func fits(w, h, edge int) (int, int) {
	long := max(w, h)
	if long <= edge {
		return w, h
	}
	return max(1, w*edge/long), max(1, h*edge/long)
}

// decoded is the picture, once its head has said that it is not too large.
func decoded(r io.ReadSeeker, kind Kind, memory int) (image.Image, error) {
	var head func(io.Reader) (image.Config, error)
	var whole func(io.Reader) (image.Image, error)
	switch kind {
	case JPEG:
		head, whole = jpeg.DecodeConfig, jpeg.Decode
	case PNG:
		head, whole = png.DecodeConfig, png.Decode
	default:
		return nil, fmt.Errorf("a picture of the kind %s is not drawn here", kind)
	}
	from := func() (io.Reader, error) {
		_, err := r.Seek(0, io.SeekStart)
		return io.LimitReader(r, fileMost), err
	}
	src, err := from()
	if err != nil {
		return nil, err
	}
	c, err := head(src)
	if err != nil || c.Width <= 0 || c.Height <= 0 {
		return nil, errBroken
	}
	if c.Width > memory/c.Height/bytesADot(r, kind, c) {
		return nil, fmt.Errorf("at %d by %d dots it is too large to be drawn here", c.Width, c.Height)
	}
	if src, err = from(); err != nil {
		return nil, err
	}
	big, err := whole(src)
	if err != nil {
		return nil, errBroken
	}
	return big, nil
}

var errBroken = errors.New("the picture cannot be read to its end")

// bytesADot is what a dot takes at most while a picture is decoded.
func bytesADot(r io.ReadSeeker, kind Kind, c image.Config) int {
	switch {
	case kind == JPEG && progressive(r):
		return 20 // all coefficients are kept until the last is there
	case kind == JPEG:
		return 4
	case c.ColorModel == color.RGBA64Model || c.ColorModel == color.NRGBA64Model:
		return 8
	}
	return 4
}

// progressive tells whether a JPEG comes in several passes over the picture. One whose
// head cannot be read is taken to.
func progressive(r io.ReadSeeker) bool {
	src := &sparing{r: r, left: readMost}
	if _, err := src.Seek(2, io.SeekStart); err != nil {
		return true
	}
	for head := make([]byte, 4); ; {
		if _, err := io.ReadFull(src, head[:2]); err != nil || head[0] != 0xff {
			return true
		}
		switch m := head[1]; {
		case m == 0xc0 || m == 0xc1:
			return false
		case m == 0xff: // filling
			if _, err := src.Seek(-1, io.SeekCurrent); err != nil {
				return true
			}
			continue
		case m < 0xc0 || m >= 0xd0 && m <= 0xda || m == 0xc2:
			return true
		}
		if _, err := io.ReadFull(src, head[2:]); err != nil {
			return true
		}
		if _, err := src.Seek(max(0, int64(head[2])<<8+int64(head[3])-2), io.SeekCurrent); err != nil {
			return true
		}
	}
}

// turned is a picture as EXIF says that it is to be seen: 2 to 4 mirrored or upside down,
// 5 to 8 on its side.
func turned(p *image.RGBA, turn int) *image.RGBA {
	w, h := p.Rect.Dx(), p.Rect.Dy()
	from := map[int]func(x, y int) (int, int){
		2: func(x, y int) (int, int) { return w - 1 - x, y },
		3: func(x, y int) (int, int) { return w - 1 - x, h - 1 - y },
		4: func(x, y int) (int, int) { return x, h - 1 - y },
		5: func(x, y int) (int, int) { return y, x },
		6: func(x, y int) (int, int) { return y, h - 1 - x },
		7: func(x, y int) (int, int) { return w - 1 - y, h - 1 - x },
		8: func(x, y int) (int, int) { return w - 1 - y, x },
	}[turn]
	if from == nil {
		return p
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	if turn >= 5 {
		out = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			out.SetRGBA(x, y, p.RGBAAt(from(x, y)))
		}
	}
	return out
}
