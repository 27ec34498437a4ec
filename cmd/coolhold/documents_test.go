package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
)

// atDesk are edges with a documents folder of their own, and the worked example
// in a log.
func atDesk(t testing.TB) (e edges, log, folder string) {
	t.Helper()
	dir := t.TempDir()
	folder, log = filepath.Join(dir, "papers"), filepath.Join(dir, "example.coolhold")
	at := fusion.Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Boot: time.Hour, BootID: "boot-1", Machine: "laptop"}
	e = edges{
		in: strings.NewReader(""), out: &bytes.Buffer{}, err: &bytes.Buffer{},
		now:    func() fusion.Stamp { return at },
		getenv: func(name string) string { return map[string]string{"COOLHOLD_DOCUMENTS": folder}[name] },
		rand:   strings.NewReader(strings.Repeat("random", 1000)),
	}
	if code := run([]string{"demo", "--keep", log, "--no-screen"}, e); code != exitDone {
		t.Fatalf("demo: exit code %d: %s", code, e.err)
	}
	return e, log, folder
}

func base(files []string) []string {
	var out []string
	for _, f := range files {
		out = append(out, filepath.Base(f))
	}
	return out
}

// The register is laid into the documents folder, and never over another.
func TestRegisterIntoTheDocuments(t *testing.T) {
	e, log, folder := atDesk(t)
	want := [][]string{
		{"larkrise-cottage-invented-register-2026-03-09.html", "larkrise-cottage-invented-register-2026-03-09.pdf", "larkrise-cottage-invented-register-2026-03-09.xlsx"},
		{"larkrise-cottage-invented-register-2026-03-09-2.html", "larkrise-cottage-invented-register-2026-03-09-2.pdf", "larkrise-cottage-invented-register-2026-03-09-2.xlsx"},
	}
	for _, names := range want {
		files, _, err := writeRegisterFiles(e, log, "")
		if err != nil || !slices.Equal(base(files), names) {
			t.Fatalf("%q, %v", files, err)
		}
		for i, head := range []string{"<!DOCTYPE html>", "%PDF-", "PK"} {
			data, err := os.ReadFile(files[i])
			if err != nil || !bytes.HasPrefix(data, []byte(head)) || len(data) < 10_000 {
				t.Errorf("%s: %d bytes, %v", files[i], len(data), err)
			}
		}
	}
	// One of the names is taken: none is used.
	if err := os.WriteFile(filepath.Join(folder, "larkrise-cottage-invented-register-2026-03-09-3.xlsx"), []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	files, _, err := writeRegisterFiles(e, log, "larkrise-cottage-invented")
	if err != nil || len(files) != 3 || !strings.HasSuffix(files[0], "-4.html") || !strings.HasSuffix(files[1], "-4.pdf") || !strings.HasSuffix(files[2], "-4.xlsx") {
		t.Errorf("%q, %v", files, err)
	}
	if found, err := os.ReadDir(folder); err != nil || len(found) != 10 {
		t.Errorf("%d files in the folder, %v", len(found), err)
	}
}

func TestRegisterThatCannotBeWritten(t *testing.T) {
	e, log, folder := atDesk(t)
	if _, _, err := writeRegisterFiles(e, log, "nowhere"); err == nil {
		t.Error("no such site")
	}
	if _, err := os.Stat(folder); err == nil {
		t.Error("a folder was made for nothing")
	}
	if err := os.WriteFile(folder, nil, 0o600); err != nil { // a file where the folder should be
		t.Fatal(err)
	}
	if files, _, err := writeRegisterFiles(e, log, ""); err == nil || len(files) > 0 {
		t.Errorf("%q, %v", files, err)
	}
}

func TestFileNames(t *testing.T) {
	for site, want := range map[string]string{
		"meadow": "meadow", "../../etc/x": "etc-x", "a b/c\\d:e": "a-b-c-d-e", "": "site", "…": "site", "-rf": "rf",
	} {
		if got := fileName(site); got != want {
			t.Errorf("%q: %q, want %q", site, got, want)
		}
	}
}

// The labels are laid into the documents folder, and never over another.
func TestLabelsIntoTheDocuments(t *testing.T) {
	e, log, folder := atDesk(t)
	out := screens(e, log, "", "plain").Outside
	l, err := openLog(log)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"larkrise-cottage-invented-labels-2026-03-09.pdf", "larkrise-cottage-invented-labels-2026-03-09-2.pdf"} {
		said, err := out.WriteLabels(l, "larkrise-cottage-invented")
		file := filepath.Join(folder, name)
		if data, rerr := os.ReadFile(file); err != nil || rerr != nil || said != "the labels are in "+file || !bytes.HasPrefix(data, []byte("%PDF-")) {
			t.Errorf("%q, %v; %v", said, err, rerr)
		}
	}
	if _, err := out.WriteLabels(l, "nowhere"); err == nil {
		t.Error("no such site")
	}
	if found, err := os.ReadDir(folder); err != nil || len(found) != 2 {
		t.Errorf("%d files in the folder, %v", len(found), err)
	}
}

// The leaf for paper and phone and the pages for the lids are laid into the documents
// folder, and never over others.
func TestTheHandoverIntoTheDocuments(t *testing.T) {
	e, log, folder := atDesk(t)
	out := screens(e, log, "", "plain").Outside
	l, err := openLog(log)
	if err != nil {
		t.Fatal(err)
	}
	for _, base := range []string{"larkrise-cottage-invented-handover-2026-03-09", "larkrise-cottage-invented-handover-2026-03-09-2"} {
		said, err := out.WriteHandover(l, "larkrise-cottage-invented")
		if want := "the hand-over is in " + filepath.Join(folder, base) + ".html, .lids.pdf, .pdf"; err != nil || said != want {
			t.Fatalf("%q, %v; want %q", said, err, want)
		}
		for ending, begins := range map[string]string{"pdf": "%PDF-", "lids.pdf": "%PDF-", "html": "<!DOCTYPE html>"} {
			file := filepath.Join(folder, base+"."+ending)
			if data, err := os.ReadFile(file); err != nil || !bytes.HasPrefix(data, []byte(begins)) {
				t.Errorf("%s: %v", file, err)
			}
		}
	}
	if _, err := out.WriteHandover(l, "nowhere"); err == nil {
		t.Error("no such site")
	}
	if found, err := os.ReadDir(folder); err != nil || len(found) != 6 {
		t.Errorf("%d files in the folder, %v", len(found), err)
	}
}

// A register from the board shows the photos that lie among the documents and where the
// last one was chosen, and says how many of them all.
func TestPhotosInTheRegisterOfTheBoard(t *testing.T) {
	e, log, folder := atDesk(t)
	stick, verb := t.TempDir(), []string{"enclose", "--what", "the indicators", "--by", "Bo Invented", "--log", log}
	for name, dir := range map[string]string{"big-endian.jpg": filepath.Join(folder, "photos"), "turned.jpg": stick, "plain.jpg": t.TempDir()} {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "photos", name))
		if err == nil {
			err = os.MkdirAll(dir, 0o700)
		}
		file := filepath.Join(dir, name)
		if err == nil {
			err = os.WriteFile(file, data, 0o600)
		}
		if verb = append(verb, file); err != nil {
			t.Fatal(err)
		}
	}
	if code := run(verb, e); code != exitDone {
		t.Fatalf("exit code %d: %s", code, e.err)
	}
	for _, c := range []struct {
		from   []string
		shown  string
		images int
	}{{nil, " with 1 of 3 photos", 1}, {[]string{stick, filepath.Join(stick, "gone")}, " with 2 of 3 photos", 2}} {
		files, shown, err := writeRegisterFiles(e, log, "", c.from...)
		if err != nil || shown != c.shown {
			t.Fatalf("%q, %v", shown, err)
		}
		if data, err := os.ReadFile(files[1]); err != nil || bytes.Count(data, []byte("/Subtype /Image")) != c.images {
			t.Errorf("%d images in %s, %v", bytes.Count(data, []byte("/Subtype /Image")), files[1], err)
		}
		if data, err := os.ReadFile(files[0]); err != nil || bytes.Count(data, []byte("data:image/jpeg;base64,")) != c.images {
			t.Errorf("%d images in %s, %v", bytes.Count(data, []byte("data:image/jpeg;base64,")), files[0], err)
		}
	}
}
