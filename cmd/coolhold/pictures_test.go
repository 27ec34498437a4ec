package main

import (
	"bytes"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coolhold/logbook"
)

// The photos among the enclosures are found by their content, whatever they are called;
// of the others it is said why they are not to be seen, and a certificate is none.
func TestPicturesInAFolder(t *testing.T) {
	dir, squares := t.TempDir(), filepath.Join("..", "..", "testdata", "photos")
	put := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	copied := func(from, to string) logbook.Enclosed {
		data, err := os.ReadFile(filepath.Join(squares, from))
		if err != nil {
			t.Fatal(err)
		}
		b, _, _, err := readPhoto(put(to, data))
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	var all []logbook.Enclosure
	add := func(b logbook.Enclosed) string {
		all = append(all, logbook.Enclosure{Enclosed: b})
		return b.Hash
	}
	renamed := copied("turned.jpg", "IMG_7.jpg")
	renamed.File = "as-it-was-called.jpg"
	seen := add(renamed)
	add(renamed) // of another thing
	before := copied("chunk.png", "chunk.png")
	changed := add(before)
	put("chunk.png", []byte("worked over"))
	gone := add(logbook.Enclosed{File: "gone.jpg", Hash: strings.Repeat("ab", 32), Bytes: 9, Taken: &logbook.Taken{None: logbook.TimeAbsent}})
	older := add(logbook.Enclosed{File: "older.JPG", Hash: strings.Repeat("cd", 32), Bytes: 9}) // of before times were looked for
	heic := add(copied("still.heic", "still.heic"))
	named := copied("README.md", "text.jpg")
	if named.Taken == nil || named.Taken.None != logbook.TimeBroken {
		t.Errorf("what is called a photo and is none: %+v", named.Taken)
	}
	text := add(named)
	add(copied("README.md", "certificate.pdf"))
	all[len(all)-1].Hash = strings.Repeat("ef", 32) // not there, and no photo
	held, _, _, err := readPhoto(put("kept.pdf", []byte("a certificate")))
	if err != nil {
		t.Fatal(err)
	}
	add(held)
	got, err := picturesIn(dir, all, func(int, int) {})
	if err != nil || len(got) != 6 {
		t.Fatalf("%d pictures, %v", len(got), err)
	}
	if p, err := jpeg.Decode(bytes.NewReader(got[seen].JPEG)); err != nil || p.Bounds().Dx() != 24 || got[seen].Why != "" || got[seen].W != 24 {
		t.Errorf("%+v, %v", got[seen], err)
	}
	for hash, why := range map[string]string{
		changed: "the file of this name in the folder has other content than was enclosed", gone: "nothing in the folder has its content", older: "nothing in the folder has its content",
		heic: "a picture of the kind HEIC is not drawn here", text: "the file does not begin as a picture does",
	} {
		if p := got[hash]; p.Why != why || p.JPEG != nil {
			t.Errorf("%+v, want %q", p, why)
		}
	}
	if _, err := picturesIn(filepath.Join(dir, "none"), all, func(int, int) {}); err == nil || !strings.Contains(err.Error(), "none") {
		t.Errorf("a folder that is not there: %v", err)
	}
}
