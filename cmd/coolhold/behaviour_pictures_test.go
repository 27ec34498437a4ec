package main

import (
	"bytes"
	"compress/zlib"
	"crypto/sha256"
	"fmt"
	"html"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/charmbracelet/x/ansi"
)

// The pictures of the README are what the program shows of the worked example: the
// board as a list and as a drawing, in the theme for the sun, which paints its own
// page; and the first page of its register, sealed. -update draws them anew (make
// pictures).
func TestBehaviourOfThePictures(t *testing.T) {
	if testing.Short() || raced {
		t.Skip("one thing is done after another here: there is nothing to race")
	}
	s := larkrise(t)
	b := s.boardIn("bright")
	b.resize(80, 24)
	picture(t, "board.svg", "The board of coolhold on its worked example", b.model.View())
	b.press("7", "up", "up", "up", "right", "right")
	b.sees("▸3B")
	picture(t, "drawing.svg", "The board of coolhold as a drawing of the chamber", b.model.View())
	doc := filepath.Join(s.dir, "register.pdf")
	s.done("seal", "--by", "Hedda Roan")
	s.done("register", "--out", doc)
	firstPage(t, s, doc)
}

// firstPage is the picture of a register's first page. What paints a PDF does not paint
// the same bytes in every version; so beside the picture is kept what the page draws, and
// which picture was painted of that: both must be as they are now.
func firstPage(t *testing.T, s *told, doc string) {
	t.Helper()
	const name = "register.png"
	if *update {
		tool, err := exec.LookPath("pdftoppm")
		if err != nil {
			t.Fatalf("%s is not painted anew: install poppler", name)
		}
		if out, err := exec.CommandContext(t.Context(), tool, "-png", "-r", "80", "-singlefile", doc, strings.TrimSuffix(pictureFile(name), ".png")).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}
	painted, err := os.ReadFile(pictureFile(name))
	if err != nil {
		t.Fatal(err)
	}
	drawn := s.masked(instructions(t, doc))
	if strings.Count(drawn, "Tj") < 20 {
		t.Fatalf("the first page hardly draws a word:\n%s", drawn)
	}
	golden(t, "example", name, fmt.Sprintf("sha256 of %s: %x\n%s", name, sha256.Sum256(painted), drawn))
}

// instructions are what the first page of a PDF draws, its words as text.
func instructions(t *testing.T, doc string) string {
	t.Helper()
	return pagesDrawn(t, doc)[0]
}

// pagesDrawn are what the pages of a PDF draw, an instruction a line.
func pagesDrawn(t *testing.T, doc string) (pages []string) {
	t.Helper()
	data, err := os.ReadFile(doc)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range bytes.Split(data, []byte("stream\n"))[1:] {
		r, err := zlib.NewReader(bytes.NewReader(part))
		if err != nil {
			continue
		}
		text, _ := io.ReadAll(r) // what follows the stream is none of it
		if bytes.Contains(text, []byte(" Tf")) {
			pages = append(pages, shown.ReplaceAllStringFunc(string(text), spelledOut))
		}
	}
	if len(pages) == 0 {
		t.Fatal("no page is found")
	}
	return pages
}

var (
	shown   = regexp.MustCompile(`(?s)\((?:\\.|[^\\)])*\) ?Tj`)
	escaped = regexp.MustCompile(`(?s)\\.`)
)

// spelledOut is a text as a PDF writes it, two bytes a letter and some of them escaped.
func spelledOut(tj string) string {
	raw := escaped.ReplaceAllStringFunc(tj[1:strings.LastIndex(tj, ")")], func(e string) string {
		if e == `\r` {
			return "\r"
		}
		return e[1:]
	})
	var letters []uint16
	for i := 0; i+1 < len(raw); i += 2 {
		letters = append(letters, uint16(raw[i])<<8|uint16(raw[i+1]))
	}
	return "(" + string(utf16.Decode(letters)) + ") Tj"
}

func pictureFile(name string) string { return filepath.Join("..", "..", "testdata", name) }

func picture(t *testing.T, name, what, frame string) {
	t.Helper()
	drawn := drawnFrame(t, what, frame)
	if *update {
		if err := os.WriteFile(pictureFile(name), []byte(drawn), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	kept, err := os.ReadFile(pictureFile(name))
	if err != nil {
		t.Fatal(err)
	}
	if string(kept) != drawn {
		t.Errorf("%s is not what the program shows:\n%s", name, firstUnlike(string(kept), drawn))
	}
}

// A pen of a terminal: what the escapes so far have set.
type pen struct {
	ink, page string
	bold      bool
}

const cellW, cellH = 9, 19

// drawnFrame is a frame as a drawing: the words, and a page only where the escapes
// in the frame paint one.
func drawnFrame(t *testing.T, what, frame string) string {
	t.Helper()
	lines := strings.Split(frame, "\n")
	var out strings.Builder
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" role="img" aria-label="%s">`+"\n", cellW*ansi.StringWidth(lines[0]), cellH*len(lines), what)
	out.WriteString(`<g font-family="DejaVu Sans Mono,Menlo,Consolas,monospace" font-size="14.5" xml:space="preserve" shape-rendering="crispEdges">` + "\n")
	for row, line := range lines {
		p, col := pen{ink: "currentColor"}, 0
		for i, part := range strings.Split(line, "\x1b[") {
			if i > 0 {
				codes, rest, _ := strings.Cut(part, "m")
				p, part = p.after(t, codes), rest
			}
			if part != "" {
				out.WriteString(p.draws(part, col, row))
				col += ansi.StringWidth(part)
			}
		}
	}
	return out.String() + "</g></svg>\n"
}

// after is the pen after one escape. One that is not known here fails the test: the
// picture would show something else than a terminal.
func (p pen) after(t *testing.T, codes string) pen {
	t.Helper()
	for _, code := range strings.Split(strings.ReplaceAll(codes, "8;5;", "8:5:"), ";") {
		switch code {
		case "", "0":
			p = pen{ink: "currentColor"}
		case "1":
			p.bold = true
		case "38:5:16":
			p.ink = "#000000"
		case "38:5:88":
			p.ink = "#870000"
		case "38:5:231":
			p.ink = "#ffffff"
		case "38:5:238":
			p.ink = "#444444"
		case "48:5:16":
			p.page = "#000000"
		case "48:5:88":
			p.page = "#870000"
		case "48:5:231":
			p.page = "#ffffff"
		default:
			t.Fatalf("escape %q is not drawn here", codes)
		}
	}
	return p
}

var inked = regexp.MustCompile(`\S(.*\S)?`)

// draws is a run of cells in one look.
func (p pen) draws(text string, col, row int) string {
	out := ""
	if p.page != "" {
		out = fmt.Sprintf(`<rect x="%d" y="%d" width="%d" height="%d" fill="%s"/>`+"\n", cellW*col, cellH*row, cellW*ansi.StringWidth(text), cellH, p.page)
	}
	at := inked.FindStringIndex(text)
	if at == nil {
		return out
	}
	weight := ""
	if p.bold {
		weight = ` font-weight="bold"`
	}
	said := text[at[0]:at[1]]
	return out + fmt.Sprintf(`<text x="%d" y="%.1f" textLength="%d" fill="%s"%s>%s</text>`+"\n",
		cellW*(col+ansi.StringWidth(text[:at[0]])), float64(cellH*row)+14.5, cellW*ansi.StringWidth(said), p.ink, weight, html.EscapeString(said))
}
