package a4

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/handover"
)

// circuits is the plan of an invented site of so many circuits on one chamber.
func circuits(n int) string {
	var p strings.Builder
	p.WriteString("site = \"Invented Meadow\"\nclient = \"invented client\"\nfirm = \"invented firm\"\naddress = \"invented address\"\n[[chamber]]\nname = \"A\"\nlid = \"by the gate\"\nports = [\n")
	for i := range 2 * n {
		row, rail := "low", "from ground"
		if i >= n {
			row, rail = "high", "to ground"
		}
		fmt.Fprintf(&p, "{no = %d, row = %q, rail = %q},\n", i+1, row, rail)
	}
	p.WriteString("]\n")
	for i := range n {
		fmt.Fprintf(&p, "[[chamber.circuit]]\nno = %d\nod_mm = 40\nsdr = 11\nlength_m = 240\nports = [%d, %d]\nfitting = \"coupler 40\"\ntape = \"blue\"\n", i+1, i+1, n+i+1)
	}
	for _, way := range []string{"from ground", "to ground"} {
		fmt.Fprintf(&p, "[[chamber.header]]\nway = %q\nod_mm = 63\nsdr = 11\nlength_m = 14\nfitting = \"coupler 63\"\n", way)
	}
	return p.String()
}

// site is one of so many circuits, each of which was opened alone, with all said of it.
func site(t *testing.T, n int) (handover.Handover, *crew.Crew) {
	t.Helper()
	c := crew.On(t, circuits(n), crew.TableText)
	for i := range n {
		c.Do(acts.CheckFlow(c.H, logbook.FlowChecked{Section: logbook.SectionID{Chamber: "A", Circuit: i + 1}, LPM: new(28.5), Shut: logbook.ShutBoth, Others: logbook.OthersStill}))
	}
	c.Do(acts.FillFluid(c.H, logbook.FluidFilled{Content: logbook.ContentReady, Name: "invented fluid", FreezingC: new(fusion.Celsius(-14_00)), Instrument: "R-1", MeantFor: logbook.Yes}),
		acts.LeaveAs(c.H, logbook.LeftAs{Pressure: logbook.PressureStands, Bar: new(2.0), Shut: []string{"fill"}, Caps: "both ends", Fill: "tee", Purge: "valves", Call: &logbook.Call{Name: "Ona Invented", Phone: "01 23"}}))
	return of(c), c
}

func of(c *crew.Crew) handover.Handover {
	return handover.Of(c.Book, c.H.Site, audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}), handover.Query{Now: c.H.At})
}

func pdf(t *testing.T, leaves ...handover.Leaf) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, crew.Morning.Local(), leaves...); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

var onePage = regexp.MustCompile(`/Type /Page\b[^s]`)

// The leaf of five circuits is one page of A4 upright; that of more goes on where its
// letters would be too small, with what a plumber must know first on its first page, and every
// leaf gives the same bytes each time.
func TestOnePage(t *testing.T) {
	for n, most := range map[int]int{1: 1, 5: 1, 12: 2, 30: 3} {
		h, _ := site(t, n)
		out := pdf(t, h.Leaf())
		if got := len(onePage.FindAll(out, -1)); got < 1 || got > most || n == 30 && got < 2 {
			t.Errorf("%d circuits are on %d pages, want at most %d", n, got, most)
		}
		if !bytes.Contains(out, []byte("/MediaBox [0 0 595.28 841.89]")) || !bytes.Equal(out, pdf(t, h.Leaf())) {
			t.Errorf("%d circuits: no A4 upright, or other bytes the second time", n)
		}
		if first, _, _ := strings.Cut(text(t, h.Leaf()), "\f"); !strings.Contains(first, "Ona Invented, 01 23") || !strings.Contains(first, "take it for") && !strings.Contains(first, "SHUT: fill") {
			t.Errorf("%d circuits: what must be known first is not on page 1:\n%s", n, first)
		}
		lid, _ := h.ChamberPage("A")
		if got := len(onePage.FindAll(pdf(t, lid), -1)); got != 1 && n <= 12 {
			t.Errorf("the lid of %d circuits is %d pages", n, got)
		}
	}
}

// much is a site with much against it, as one has it that is not in order.
func much(t *testing.T) handover.Handover {
	t.Helper()
	_, c := site(t, 5)
	one := logbook.SectionID{Chamber: "A", Circuit: 1}
	two := logbook.SectionID{Chamber: "A", Circuit: 2}
	dead := logbook.FlowChecked{Section: one, LPM: new(0.0), Shut: logbook.ShutBoth, Others: logbook.OthersStill}
	crossed := logbook.FlowChecked{Section: two, LPM: new(22.0), Shut: logbook.ShutBoth, Others: logbook.OthersFlow, Seen: []logbook.FlowSeen{{Section: logbook.SectionID{Chamber: "A", Circuit: 3}}}}
	slow := logbook.Purged{Section: logbook.SectionID{Chamber: "A", Circuit: 3}, LPM: new(9.0), Minutes: new(20.0), AfterBubble: new(20.0), Bypassed: logbook.Yes, Strainer: logbook.Yes, Turned: logbook.Yes}
	part := logbook.FluidFilled{Section: one, Content: logbook.ContentReady, Name: "another invented fluid", SharePct: new(30.0), Inhibitor: "as delivered", Batch: "B-17", FreezingC: new(fusion.Celsius(-12_00)), Instrument: "R-1", MeantFor: logbook.No}
	water := logbook.FluidFilled{Section: two, Content: logbook.ContentWater}
	for _, act := range []acts.Act{acts.CheckFlow(c.H, dead), acts.CheckFlow(c.H, crossed), acts.RecordPurge(c.H, slow), acts.FillFluid(c.H, part), acts.FillFluid(c.H, water), acts.LeaveAs(c.H, logbook.LeftAs{Section: one, LPM: new(12.0), Open: []string{"1", "2", "3"}})} {
		c.Wait(time.Minute)
		c.Do(act)
	}
	return of(c)
}

// A leaf with much on it, as a site has it that is not in order, is one page still; none of
// its letters is smaller than can be read, on one page or several.
func TestALeafWithMuchOnIt(t *testing.T) {
	h := much(t)
	if got := len(onePage.FindAll(pdf(t, h.Leaf()), -1)); got != 1 {
		t.Errorf("it is %d pages", got)
	}
	long, _ := site(t, 30)
	for name, leaf := range map[string]handover.Leaf{"much": h.Leaf(), "thirty": long.Leaf()} {
		sizes := fontSize.FindAllStringSubmatch(content(t, leaf), -1)
		if len(sizes) == 0 {
			t.Fatalf("%s: no size is found", name)
		}
		for _, m := range sizes {
			if pt, err := strconv.ParseFloat(m[1], 64); err != nil || pt < leastSize {
				t.Errorf("%s: letters of %s points", name, m[1])
			}
		}
	}
}

var fontSize = regexp.MustCompile(`/F\S+ ([0-9.]+) Tf`)

// content are the pages of a leaf as they are drawn, unpacked.
func content(t *testing.T, leaf handover.Leaf) string {
	t.Helper()
	var all strings.Builder
	for _, part := range bytes.Split(pdf(t, leaf), []byte("stream\n"))[1:] {
		r, err := zlib.NewReader(bytes.NewReader(part))
		if err != nil {
			continue
		}
		text, _ := io.ReadAll(r)
		if bytes.Contains(text, []byte(" Tf")) {
			all.Write(text)
		}
	}
	return all.String()
}

// text is what poppler reads, in the order in which it was drawn.
func text(t *testing.T, leaves ...handover.Leaf) string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("no pdftotext")
	}
	file := filepath.Join(t.TempDir(), "l.pdf")
	if err := os.WriteFile(file, pdf(t, leaves...), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.CommandContext(t.Context(), tool, "-raw", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// solid is a text without blanks: where a line breaks does not count.
func solid(s string) string { return strings.Join(strings.Fields(s), "") }

// Every sentence of a leaf stands in its PDF, on one page or on several; of a lid the ports
// are drawn instead.
func TestThePDFSaysAllOfIt(t *testing.T) {
	for _, n := range []int{1, 12, 30} {
		h, _ := site(t, n)
		lid, _ := h.ChamberPage("A")
		for _, leaf := range []handover.Leaf{h.Leaf(), lid} {
			got := solid(text(t, leaf))
			for i, p := range leaf.Parts {
				if len(p.Ports) > 0 {
					leaf.Parts[i].Rows = nil
					for _, port := range p.Ports {
						if want := fmt.Sprintf("%sport%d", port.Joint, port.No); !strings.Contains(got, want) {
							t.Errorf("%d circuits: port %d with %s is not drawn", n, port.No, port.Joint)
						}
					}
				}
			}
			if pages := len(onePage.FindAll(pdf(t, leaf), -1)); (pages > 1) != strings.Contains(got, fmt.Sprintf("page%dof%d", pages, pages)) || pages > 1 && !strings.Contains(got, solid(leaf.Kind)+",continued") {
				t.Errorf("%d circuits, %s: %d pages are not numbered and headed", n, leaf.Title, pages)
			}
			for _, says := range leaf.Says() {
				if !strings.Contains(got, solid(strings.ReplaceAll(says, handover.Box, ""))) {
					t.Errorf("%d circuits, %s: %q does not stand there:\n%s", n, leaf.Title, says, got)
				}
			}
		}
	}
}

// A text that would act on a terminal, that the font has no letters for, or that is longer
// than a page is drawn, and nothing of it is cut.
func TestHostileTexts(t *testing.T) {
	c := crew.OnSite(t)
	long := strings.Repeat("long words ", 18)
	c.Do(acts.LeaveAs(c.H, logbook.LeftAs{Caps: "a\x1b[2Jb <script>x</script> 焊", Fill: strings.Repeat("x", 190), Text: long, Shut: []string{"ü\u202ev"}}))
	got := solid(text(t, of(c).Leaf()))
	for _, want := range []string{"a·[2Jb<script>x</script>[U+710A]", strings.Repeat("x", 190), solid(long), "SHUT:ü·v"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q does not stand there:\n%s", want, got)
		}
	}
}

type full struct{}

var errFull = errors.New("disk full")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestAFullDiskIsSaid(t *testing.T) {
	h, _ := site(t, 1)
	if err := Write(full{}, crew.Morning.Local(), h.Leaf()); !errors.Is(err, errFull) {
		t.Errorf("got %v", err)
	}
}

// A box to tick on the page for a lid is 7 mm a side, for a pencil in a glove, three a
// joint; nothing else is drawn in their cells.
func TestBoxesOfALidTakeAPencil(t *testing.T) {
	h, _ := site(t, 4)
	lid, _ := h.ChamberPage("A")
	want := 0
	for _, p := range lid.Parts {
		if p.Table == nil {
			continue
		}
		for _, row := range p.Table.Rows {
			want += strings.Count(strings.Join(row, " "), handover.Box)
		}
	}
	const side = "19.84" // points
	drawn := content(t, lid)
	if got := len(regexp.MustCompile(` `+side+` -?`+side+` re`).FindAllString(drawn, -1)); want < 3*8 || got != want {
		t.Errorf("%d boxes of 7 mm, want %d", got, want)
	}
	if strings.Contains(text(t, lid), "[") {
		t.Error("a box is written, not drawn")
	}
}
