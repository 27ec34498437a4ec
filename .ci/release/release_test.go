package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

var at = time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)

// Whatever the order, the time and the account of the machine: the same archive.
func TestArchivesDependOnTheirFilesAlone(t *testing.T) {
	one := []file{{"b/page.1", []byte("page"), false}, {"program", []byte("runs"), true}, {"a", nil, false}}
	two := []file{one[1], one[2], one[0]}
	for name, pack := range map[string]func(string, []file, time.Time) ([]byte, error){"tar": tarred, "zip": zipped} {
		first, err := pack("folder", one, at)
		if err != nil {
			t.Fatal(err)
		}
		second, err := pack("folder", two, at.In(time.FixedZone("elsewhere", 3600)).Add(time.Millisecond))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(first, second) {
			t.Errorf("%s: the same files in another order and zone give other bytes", name)
		}
		if later, _ := pack("folder", one, at.Add(time.Hour)); bytes.Equal(first, later) {
			t.Errorf("%s: it does not bear the time of the revision", name)
		}
	}
}

// What is unpacked is what was packed, and only the program runs.
func TestArchivesAreReadBack(t *testing.T) {
	files := []file{{"a", []byte("text"), false}, {"program", []byte("runs"), true}}
	packed, err := tarred("folder", files, at)
	if err != nil {
		t.Fatal(err)
	}
	gz, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for r := tar.NewReader(gz); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(r)
		if err != nil || !h.ModTime.Equal(at) || h.Uid != 0 || h.Uname != "" {
			t.Errorf("%s: %v, %v, of %d %q", h.Name, err, h.ModTime, h.Uid, h.Uname)
		}
		got = append(got, h.Name+" "+h.FileInfo().Mode().String()+" "+string(data))
	}
	want := []string{"folder/a -rw-r--r-- text", "folder/program -rwxr-xr-x runs"}
	if !slices.Equal(got, want) {
		t.Errorf("tar: %q, want %q", got, want)
	}
	if packed, err = zipped("folder", files, at); err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		t.Fatal(err)
	}
	got = nil
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(r)
		if err != nil || !f.Modified.Equal(at) {
			t.Errorf("%s: %v, %v", f.Name, err, f.Modified)
		}
		got = append(got, f.Name+" "+f.Mode().String()+" "+string(data))
	}
	if !slices.Equal(got, want) {
		t.Errorf("zip: %q, want %q", got, want)
	}
}

// The list names each module of the licence list once, with its licence; a reader finds
// every reference.
func TestBillOfMaterials(t *testing.T) {
	text, err := os.ReadFile("../../" + licenceList)
	if err != nil {
		t.Fatal(err)
	}
	listed, err := readLicences(string(text))
	if err != nil {
		t.Fatal(err)
	}
	for i := range listed {
		if listed[i].Path == golang {
			listed[i].Version = "go1.26.8"
		}
	}
	s := source{version: "v1.0.0", revision: strings.Repeat("0123456789", 4), at: at, goVersion: "go1.26.8", modules: listed}
	list, err := s.listed("coolhold github.com/spf13/cobra@v1.10.2\ngithub.com/spf13/cobra@v1.10.2 github.com/spf13/pflag@v1.0.9\ngithub.com/spf13/cobra@v1.10.2 example.org/not-linked@v1.0.0\n")
	if err != nil {
		t.Fatal(err)
	}
	var b bom
	if err := json.Unmarshal(list, &b); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(text), "\n") - 2; len(b.Components) != n || n < 20 {
		t.Errorf("%d components, %d lines in %s", len(b.Components), n, licenceList)
	}
	if b.Format != "CycloneDX" || b.Metadata.Component.Version != "v1.0.0" || b.Metadata.Timestamp != "2026-03-09T08:00:00Z" {
		t.Errorf("it begins with %+v", b.Metadata)
	}
	if !regexp.MustCompile(`^urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`).MatchString(b.Serial) {
		t.Errorf("serial number %q", b.Serial)
	}
	refs := map[string]bool{"coolhold": true}
	for _, c := range b.Components {
		if refs[c.Ref] || c.Version == "" || len(c.Licences) == 0 || !strings.HasPrefix(c.PURL, "pkg:golang/") {
			t.Errorf("a component is listed twice or not whole: %+v", c)
		}
		refs[c.Ref] = true
	}
	for _, d := range b.Dependent {
		for _, on := range append(d.On, d.Ref) {
			if !refs[on] {
				t.Errorf("%s needs %s, which is not listed", d.Ref, on)
			}
		}
		if d.Ref == "pkg:golang/github.com/spf13/cobra@v1.10.2" && !slices.Equal(d.On, []string{"pkg:golang/github.com/spf13/pflag@v1.0.10"}) {
			t.Errorf("cobra needs %v", d.On)
		}
	}
	if again, _ := s.listed(""); bytes.Equal(again, list) {
		t.Error("the graph changes nothing")
	}
}

// What is not as the revision is built by nobody again, so it is not built at all; nor is
// a platform that nobody knows.
func TestWhatIsRefused(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	for _, args := range [][]string{
		{"init", "-q"}, {"add", "-A"},
		{"-c", "user.name=invented", "-c", "user.email=invented@example.org", "commit", "-q", "--allow-empty", "-m", "x"},
	} {
		if out, err := exec.Command("git", args...).CombinedOutput(); err != nil {
			t.Fatalf("git %v: %v: %s", args, err, out)
		}
	}
	if err := os.WriteFile("changed", nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := run("out", "", nil); err == nil || !strings.Contains(err.Error(), "the tree is not the revision") || !strings.Contains(err.Error(), "changed") {
		t.Errorf("a changed tree: %v", err)
	}
	if err := run("out", "plan9/mips", nil); err == nil || !strings.Contains(err.Error(), "plan9/mips") {
		t.Errorf("an unknown platform: %v", err)
	}
	if _, err := os.Stat("out"); !errors.Is(err, os.ErrNotExist) {
		t.Error("something was made")
	}
}

// An earlier release goes; what else lies in the folder stays. The sums are of the files.
func TestPut(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "dist")
	if err := put(dir, map[string][]byte{"coolhold-v1.zip": []byte("old")}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "notes"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := put(dir, map[string][]byte{"coolhold-v2.zip": []byte("abc"), "coolhold-v2.cdx.json": nil}); err != nil {
		t.Fatal(err)
	}
	var names []string
	found, err := os.ReadDir(dir)
	for _, f := range found {
		names = append(names, f.Name())
	}
	if want := []string{"SHA256SUMS", "coolhold-v2.cdx.json", "coolhold-v2.zip", "notes"}; err != nil || !slices.Equal(names, want) {
		t.Errorf("%v, want %v; %v", names, want, err)
	}
	text, err := os.ReadFile(filepath.Join(dir, sums))
	want := "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855  coolhold-v2.cdx.json\n" +
		"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  coolhold-v2.zip\n" // FIPS 180-4: of nothing, of "abc"
	if err != nil || string(text) != want {
		t.Errorf("%v\n%s", err, text)
	}
}

// Whoever unpacks an archive finds what its README shows and tells to begin with.
func TestWhatTheReadmeLeadsToIsInTheArchive(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	in, led := texts(string(readme)), 0
	for _, m := range regexp.MustCompile(`\]\(([^):#]+)\)`).FindAllStringSubmatch(string(readme), -1) {
		if led++; !slices.Contains(in, m[1]) {
			t.Errorf("%s is shown and not in the archive", m[1])
		}
	}
	for _, name := range in {
		if _, err := os.Stat("../../" + name); err != nil {
			t.Error(err)
		}
	}
	if led < 3 || !slices.Contains(in, "testdata/plans/hillfoot.toml") {
		t.Errorf("%d places are led to; in the archive: %q", led, in)
	}
}
