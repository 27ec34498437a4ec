package a4

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

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

// The leaf of twelve circuits is one page of A4 upright; that of more goes on, and every
// leaf gives the same bytes each time.
func TestOnePage(t *testing.T) {
	for n, most := range map[int]int{1: 1, 5: 1, 12: 1, 30: 3} {
		h, _ := site(t, n)
		out := pdf(t, h.Leaf())
		if got := len(onePage.FindAll(out, -1)); got < 1 || got > most || n == 30 && got < 2 {
			t.Errorf("%d circuits are on %d pages, want at most %d", n, got, most)
		}
		if !bytes.Contains(out, []byte("/MediaBox [0 0 595.28 841.89]")) || !bytes.Equal(out, pdf(t, h.Leaf())) {
			t.Errorf("%d circuits: no A4 upright, or other bytes the second time", n)
		}
		lid, _ := h.ChamberPage("A")
		if got := len(onePage.FindAll(pdf(t, lid), -1)); got != 1 && n <= 12 {
			t.Errorf("the lid of %d circuits is %d pages", n, got)
		}
	}
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
				if !strings.Contains(got, solid(says)) {
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
