package register_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"coolhold/logbook/register"
)

// browser is one that prints without a screen; where none is installed the test is skipped.
func browser(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Skip("no chromium: what a browser prints is not looked at")
	return ""
}

// On paper nothing can be unfolded, so what is folded on a screen is printed, of a clear
// weld as of any other.
func TestWhatIsFoldedIsPrinted(t *testing.T) {
	program, dir := browser(t), t.TempDir()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext")
	}
	for name, rep := range map[string]register.Report{"sample": register.Sample(t), "looked": register.Looked(t)} {
		page := pageOf(t, rep)
		src, doc := filepath.Join(dir, name+".html"), filepath.Join(dir, name+".pdf")
		if err := os.WriteFile(src, []byte(page), 0o600); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.CommandContext(t.Context(), program, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+filepath.Join(dir, "browser"),
			"--no-pdf-header-footer", "--print-to-pdf="+doc, "file://"+src).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		printed := bare(output(t, "pdftotext", "-raw", doc, "-"))
		folded := readPage(t, page).all("details")
		if len(folded) < 4 {
			t.Fatalf("%s: only %d are folded", name, len(folded))
		}
		for _, d := range folded {
			for _, n := range d.all("li", "dd") {
				if says := bare(n.says()); !strings.Contains(printed, says) {
					t.Errorf("%s: %q is not printed: %q", name, d.all("summary")[0].says(), n.says())
					break
				}
			}
		}
	}
}

// bare is a text without blanks: where a line breaks does not count.
func bare(s string) string { return strings.Join(strings.Fields(s), "") }
