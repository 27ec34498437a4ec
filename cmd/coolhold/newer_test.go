//go:build unix

package main

import (
	"archive/zip"
	"context"
	"encoding/csv"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/store"
)

// cutAnew is an entry as a newer program may write it.
type cutAnew struct {
	Why string `json:"why"`
}

func (cutAnew) Kind() logbook.Kind { return "cut ordered anew" }
func (b cutAnew) Line() string     { return b.Why }

// newerLog is the example with an entry of a newer program on a weld that was clear.
func newerLog(t *testing.T, env []string) (path, weld string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "example.coolhold")
	if got := verb(t, env, "demo", "--keep", path, "--no-screen"); got.code != exitDone {
		t.Fatal(got)
	}
	for _, row := range registerRows(t, env, path) {
		if row["verdict"] == "clear" {
			weld = row["weld"]
		}
	}
	l, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	_, err = l.Append(context.Background(), func(r logbook.Reader) ([]logbook.Draft, error) {
		s := r.Sites()[0]
		w, _ := r.Weld(s.ID, weld)
		return []logbook.Draft{{ID: "future", At: s.LastAt, By: "Ada Invented", Site: s.ID, Joint: w.Joint, Weld: weld, Body: cutAnew{"it leaks"}}}, nil
	})
	if err != nil || weld == "" {
		t.Fatal(weld, err)
	}
	return path, weld
}

// registerRows are the rows of the register by the names of their columns.
func registerRows(t *testing.T, env []string, path string) (rows []map[string]string) {
	t.Helper()
	got := verb(t, env, "register", "--log", path)
	all, err := csv.NewReader(strings.NewReader(got.out)).ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatal(got, err)
	}
	for _, cells := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = cells[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// What a newer program wrote is nowhere passed over: the weld that it is about is a
// query in every list, the site says so, and the check of the log calls it no damage.
func TestAnEntryOfANewerProgram(t *testing.T) {
	t.Parallel()
	clock := holdClock(t)
	env := append(clock.env(), "COOLHOLD_KEY="+filepath.Join(t.TempDir(), "seal.key"))
	path, weld := newerLog(t, env)
	const says = "written by a newer coolhold"
	want := func(code int, text string, args ...string) string {
		t.Helper()
		got := verb(t, env, args...)
		if got.code != code || !strings.Contains(got.out, text) {
			t.Errorf("%s: exit code %d, want %d with %q: %s%s", args, got.code, code, text, got.out, got.err)
		}
		return got.out
	}
	want(exitFindings, weld+": 1 entry not read here (\"cut ordered anew\"): "+says, "audit", "--log", path)
	for _, row := range registerRows(t, env, path) {
		if row["weld"] == weld && row["verdict"] != "query" {
			t.Errorf("%s is %q", weld, row["verdict"])
		}
	}
	want(exitDone, "note   1 entry not read here", "verify", path)
	if out := want(exitDone, says, "verify", path, "--deep"); strings.Contains(out, "DOES NOT HOLD") {
		t.Error(out)
	}
	want(exitDone, `"newer-entry:`+weld, "register", "--log", path, "--format", "json")
	for _, format := range []string{"xlsx", "pdf", "html"} {
		file := filepath.Join(t.TempDir(), "register."+format)
		want(exitDone, "", "register", "--log", path, "--out", file)
		if text := documentText(t, file); !strings.Contains(text, "1 entry not read here") {
			t.Errorf("%s does not say so", format)
		}
	}
	want(exitDone, "", "seal", "--log", path)
	proved := filepath.Join(t.TempDir(), "proved.json")
	want(exitDone, "", "register", "--log", path, "--format", "json", "--prove", "--out", proved)
	want(exitDone, "PROVED      its rows", "verify", proved)
	x := openBoard(t, env, "--log", path)
	x.waitFor("1 entry not read here")
	x.close()
}

// documentText is what a person reads in a document.
func documentText(t *testing.T, file string) string {
	t.Helper()
	if filepath.Ext(file) == ".pdf" {
		tool, err := exec.LookPath("pdftotext")
		if err != nil {
			t.Skip("no pdftotext")
		}
		text, err := exec.Command(tool, "-l", "1", file, "-").Output() // its first page
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	if filepath.Ext(file) == ".html" {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	z, err := zip.OpenReader(file)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	sheet, err := z.Open("xl/worksheets/sheet1.xml")
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(sheet)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
