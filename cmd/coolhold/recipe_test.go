package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// recipe is the fenced block that follows the mark in DEVELOPERS.md.
func recipe(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.ReplaceAll(string(data), "\r", "")
	_, text, found := strings.Cut(text, "<!-- recipe -->\n```sh\n")
	text, _, closed := strings.Cut(text, "```\n")
	if !found || !closed {
		t.Fatal("DEVELOPERS.md has no recipe")
	}
	return text
}

// The recipe with common tools works as it stands in the documentation, and it
// finds what it is to find.
func TestTheRecipe(t *testing.T) {
	for _, tool := range []string{"bash", "openssl", "sha256sum", "base64", "paste"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("no %s here", tool)
		}
	}
	script := recipe(t)
	e, _, _ := sealEdges(t)
	l := smallLog(t, e)
	for _, text := range []string{`a \ and a %d`, "äöü", "two  spaces", "last"} {
		addNote(t, e, l, text)
	}
	k, err := laptopKey(e)
	if err != nil {
		t.Fatal(err)
	}
	b, err := sealNow(e, l.Path(), head(e, "Ada Invented"), "")
	if err != nil {
		t.Fatal(err)
	}
	lines, err := os.ReadFile(l.Path() + ".journal")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, seal, journal string
		signed, same        bool
	}{
		{"as sealed", b.Note, string(lines), true, true},
		{"another name", strings.Replace(b.Note, "Ada", "Ida", 1), string(lines), false, true},
		{"another entry", b.Note, strings.Replace(string(lines), "two  spaces", "two spaces", 1), true, false},
	} {
		out := cook(t, script, k.Public(), c.seal, c.journal)
		signed := strings.Contains(out, "Signature Verified Successfully")
		same := strings.Count(out, b.Root) == 2
		if signed != c.signed || same != c.same || !strings.Contains(out, "root "+b.Root) {
			t.Errorf("%s: %s", c.name, out)
		}
	}
}

func cook(t *testing.T, script, key, seal, journal string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{"the.seal": seal, "the.journal": journal} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	cmd := exec.Command("bash", "-c", script)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "KEY="+key, "SEAL=the.seal", "JOURNAL=the.journal")
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v: %s", err, &out)
	}
	return out.String()
}
