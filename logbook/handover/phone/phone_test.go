package phone

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/handover"
)

func of(c *crew.Crew) handover.Handover {
	return handover.Of(c.Book, c.H.Site, audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}), handover.Query{Now: c.H.At})
}

func html(t *testing.T, l handover.Leaf, call string) string {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, l, call); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// A read is what a reader of HTML finds in a page.
type read struct {
	elements []string
	attrs    map[string][]string // by element and name
	text     string
}

// parsed reads a page strictly: every element is closed.
func parsed(t *testing.T, page string) read {
	t.Helper()
	got := read{attrs: map[string][]string{}}
	dec := xml.NewDecoder(strings.NewReader(page))
	dec.Entity = map[string]string{}
	var text strings.Builder
	within := []string{}
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("it is not well formed: %v\n%s", err, page)
		}
		switch k := tok.(type) {
		case xml.StartElement:
			got.elements, within = append(got.elements, k.Name.Local), append(within, k.Name.Local)
			for _, a := range k.Attr {
				got.attrs[k.Name.Local+" "+a.Name.Local] = append(got.attrs[k.Name.Local+" "+a.Name.Local], a.Value)
			}
		case xml.EndElement:
			within = within[:len(within)-1]
		case xml.CharData:
			if !slices.Contains(within, "style") {
				text.Write(k)
			}
		}
	}
	got.text = strings.Join(strings.Fields(text.String()), " ")
	return got
}

// One file, without a script or a way out, with what a reader for the blind goes by; and
// every sentence of the leaf is in it.
func TestTheFileForAPhone(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Pressure: logbook.PressureNone, Call: &logbook.Call{Name: "Ona Invented", Phone: "+00 (1) 23-45"}}))
	h := of(c)
	lid, _ := h.ChamberPage("A")
	for _, leaf := range []handover.Leaf{h.Leaf(), lid} {
		page := html(t, leaf, "+00 (1) 23-45")
		got := parsed(t, page)
		for _, want := range []string{"header", "main", "footer", "h1", "h2", "section", "table", "title"} {
			if !slices.Contains(got.elements, want) {
				t.Errorf("no %s in it", want)
			}
		}
		for _, never := range []string{"script", "link", "img", "iframe", "form", "object"} {
			if slices.Contains(got.elements, never) {
				t.Errorf("%s in it", never)
			}
		}
		if strings.Contains(page, "http") || strings.Contains(page, "url(") || strings.Contains(page, "@import") {
			t.Error("it leads out of itself")
		}
		if got.attrs["html lang"][0] != "en" || !slices.Contains(got.attrs["meta name"], "viewport") || len(got.attrs["th scope"]) < len(leaf.Parts[0].Loud) {
			t.Errorf("no language, viewport or heads of the table: %q", got.attrs)
		}
		if dial := got.attrs["a href"]; len(dial) != 1 || dial[0] != "tel:+0012345" {
			t.Errorf("it leads to %q", dial)
		}
		for _, part := range leaf.Parts {
			if !strings.Contains(got.text, part.Title) {
				t.Errorf("%q is not headed", part.Title)
			}
		}
		for _, says := range leaf.Says() {
			if want := strings.Join(strings.Fields(says), " "); !strings.Contains(got.text, want) {
				t.Errorf("%q does not stand there:\n%s", want, got.text)
			}
		}
		if page != html(t, leaf, "+00 (1) 23-45") {
			t.Error("other bytes the second time")
		}
	}
}

// What somebody typed never acts: neither as an element, in an attribute, nor on a screen.
func TestHostileTexts(t *testing.T) {
	c := crew.OnSite(t)
	bad := `"><script>alert(1)</script><img src=x onerror=x> &amp; ' ` + "\x1b[2J\u202e"
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Caps: bad, Text: bad, Shut: []string{bad}, Call: &logbook.Call{Name: "Ona " + bad, Phone: bad, Firm: bad}}),
		acts.LeaveAs(c.H, logbook.LeftAs{Section: logbook.SectionID{Chamber: "A", Way: "FG"}, End: bad, Mark: bad}))
	h := of(c)
	got := parsed(t, html(t, h.Leaf(), h.Call.Phone))
	if slices.Contains(got.elements, "script") || slices.Contains(got.elements, "img") || len(got.attrs["a href"]) > 0 {
		t.Errorf("it acts: %q %q", got.elements, got.attrs)
	}
	if n := strings.Count(got.text, `"><script>alert(1)</script><img src=x onerror=x> &amp; ' ·[2J·`); n < 7 {
		t.Errorf("it stands there %d times:\n%s", n, got.text)
	}
}

// A number is dialled as it was said, or not at all.
func TestDial(t *testing.T) {
	for said, want := range map[string]string{
		"+00 12/34-5.6": "tel:+00123456", "0123 (45)": "tel:012345", "": "", "ask Ona": "", "012345 ext 6": "", "01": "", "javascript:1": "", "1+234": "", "012345, 067890": "",
	} {
		if got := string(dial(said)); got != want {
			t.Errorf("%q is dialled as %q, want %q", said, got, want)
		}
	}
}

type full struct{}

var errFull = errors.New("disk full")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestAFullDiskIsSaid(t *testing.T) {
	if err := Write(full{}, of(crew.OnSite(t)).Leaf(), ""); !errors.Is(err, errFull) {
		t.Errorf("got %v", err)
	}
}
