package a4

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook/labels"
)

var at = time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)

// circuits are the labels of so many circuits of an invented chamber, with a
// joint outside it after the first circuit.
func circuits(n int) []labels.Label {
	var out []labels.Label
	for i := 1; i <= n; i++ {
		for _, leg := range []string{"A", "B"} {
			l := labels.Label{
				Purpose: labels.Joint, Joint: fmt.Sprintf("North-%d%s", i, leg), Chamber: "North", Circuit: i, Leg: leg,
				Port: i, Bar: "from ground", Weld: "KM-0001", Date: "2026-03-09", Mark: "OB", Hold: "cool until 08:40",
			}
			out = append(out, l)
			l.Purpose = labels.Leg
			out = append(out, l)
		}
		if i == 1 {
			out = append(out, labels.Label{Purpose: labels.Joint, Joint: "E1", Where: "bend in the trench"})
		}
	}
	return out
}

func pdf(t *testing.T, list []labels.Label) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, Sheet{Site: "Invented Meadow", Labels: list, At: at}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

var onePage = regexp.MustCompile(`/Type /Page\b[^s]`)

// Twelve labels a page, A4 upright, and the same bytes each time.
func TestWrite(t *testing.T) {
	for n, pages := range map[int]int{0: 1, 1: 1, 2: 1, 3: 2, 24: 9} {
		out := pdf(t, circuits(n))
		if !bytes.HasPrefix(out, []byte("%PDF-")) || len(onePage.FindAll(out, -1)) != pages {
			t.Errorf("%d circuits are on %d pages, want %d", n, len(onePage.FindAll(out, -1)), pages)
		}
		if !bytes.Contains(out, []byte("/MediaBox [0 0 595.28 841.89]")) {
			t.Errorf("no A4 upright: %s", regexp.MustCompile(`/MediaBox[^\]]*`).Find(out))
		}
		if !bytes.Equal(out, pdf(t, circuits(n))) {
			t.Errorf("%d circuits: other bytes the second time", n)
		}
	}
}

// The two labels of a joint stand side by side; a place is left empty for that.
func TestPairsStandSideBySide(t *testing.T) {
	list := circuits(2)
	cells := cellsOf(copied(list))
	if got := slices.Index(cells, nil); got != 5 || len(cells) != len(list)+1 {
		t.Fatalf("the empty place is %d of %d", got, len(cells))
	}
	for i := 0; i < len(cells); i += columns {
		if a, b := cells[i], cells[i+1]; b != nil && a.Joint != b.Joint {
			t.Errorf("%s stands beside %s", a.Joint, b.Joint)
		}
	}
	extras := []labels.Label{{Purpose: labels.Joint, Joint: "E1"}, {Purpose: labels.Joint, Joint: "E2"}, {Purpose: labels.Joint, Joint: "E3"}}
	if got := len(cellsOf(copied(extras))); got != 3 {
		t.Errorf("three single labels take %d places", got)
	}
}

// The grid stays on the page, with 8 mm free for printers that need it.
func TestGridFits(t *testing.T) {
	if right, end := left+columns*wide, top+rows*high; right > 210-8 || end > 297-8 {
		t.Errorf("the grid ends at %.1f, %.1f", right, end)
	}
}

// text is what poppler reads on the sheet.
func text(t *testing.T, list []labels.Label) string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("no pdftotext")
	}
	file := filepath.Join(t.TempDir(), "l.pdf")
	if err := os.WriteFile(file, pdf(t, list), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.CommandContext(t.Context(), tool, "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

func TestWhatStandsOnThem(t *testing.T) {
	got := text(t, []labels.Label{
		{Purpose: labels.Joint, Joint: "North-3A", Chamber: "North", Circuit: 3, Leg: "A", Bar: "from ground", Port: 3, Weld: "KM-0007", Date: "2026-03-09", Mark: "OB", Hold: "cool until 08:40"},
		{Purpose: labels.Leg, Joint: "North-3A", Chamber: "North", Circuit: 3, Leg: "A", Bar: "from ground", Port: 3},
		{Purpose: labels.Joint, Joint: "North-TG", Chamber: "North", Way: "to ground"},
		{Purpose: labels.Header, Joint: "North-TG", Chamber: "North", Way: "to ground", Pipe: "pipe 40 mm SDR 11", Site: "Invented Meadow", Phone: "call Ada, 0000 0"},
	})
	for _, want := range []string{
		"Invented Meadow | labels as of 2026-03-09 08:00, cut along the dashed lines", "page 1 of 1",
		"KM-0007", "2026-03-09", "OB", "cool until 08:40", "circuit 3, leg A", "port 3", "from ground rail", "chamber North, joint North-3A",
		"TO GROUND (TG)", "water goes to the loops here, out of the heat", "at the chamber, joint North-TG", "in the plant room, joint North-TG, Invented Meadow", "call Ada, 0000 0", "pipe 40 mm SDR 11", "cool until",
	} {
		if !strings.Contains(strings.Join(strings.Fields(got), " "), want) {
			t.Errorf("%q does not stand there:\n%s", want, got)
		}
	}
	if strings.Contains(strings.ToLower(got), "flow") {
		t.Errorf("flow is printed:\n%s", got)
	}
}

type full struct{}

var errFull = errors.New("disk full")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestAFullDiskIsSaid(t *testing.T) {
	if err := Write(full{}, Sheet{Labels: circuits(1), At: at}); !errors.Is(err, errFull) {
		t.Errorf("got %v", err)
	}
}
