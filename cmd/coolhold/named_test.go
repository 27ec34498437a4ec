package main

import (
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"
)

// A file is found by what a person types, or what a terminal writes for one that is
// dropped on it.
func TestNamedFile(t *testing.T) {
	home := t.TempDir()
	e := edges{getenv: func(key string) string { return map[string]string{"HOME": home}[key] }}
	file := filepath.Join(home, "my job's (1) plan.toml")
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "plans", "hillfoot.toml"))
	if err == nil {
		err = os.WriteFile(file, data, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	typed := []string{file, "  " + file + " ", `"` + file + `"`, "~/my job's (1) plan.toml", `"~/my job's (1) plan.toml"`}
	if runtime.GOOS != "windows" {
		typed = append(typed, strings.NewReplacer(" ", `\ `, "(", `\(`, ")", `\)`, "'", `\'`).Replace(file), "file://"+file)
	}
	for _, name := range typed {
		in, err := readNamed(e, "plan", name)
		if err != nil || in.Says != "11 joints in 1 chamber" || in.Text != string(data) || in.Name != filepath.Base(file) {
			t.Errorf("%s: %+v, %v", name, in.Says, err)
		}
	}
	for name, want := range map[string]string{
		"":                 "no file is named",
		"~/none.toml":      filepath.Join(home, "none.toml"),
		"~other/none.toml": "cannot read ~other/none.toml",
		file + "x":         "check the name",
		"~":                "cannot read " + home,
	} {
		if _, err := readNamed(e, "plan", name); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", name, err, want)
		}
	}
	if _, err := readNamed(e, "kit", file); err == nil {
		t.Error("a plan is taken for a kit")
	}
}

// A folder lists what can be chosen: folders first, hidden ones not, and the files that
// people write.
func TestListFolder(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"b.toml", "A.TOML", "notes.txt", ".hidden.toml", "log.coolhold"} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"tables", ".git"} {
		if err := os.Mkdir(filepath.Join(dir, name), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	f, err := listFolder(edges{getenv: os.Getenv}, "plan", dir)
	if want := []string{"tables/", "A.TOML", "b.toml"}; err != nil || !slices.Equal(f.Names, want) || f.Above != filepath.Dir(dir) {
		t.Errorf("%+v, %v", f, err)
	}
	if _, err := listFolder(edges{getenv: os.Getenv}, "plan", filepath.Join(dir, "none")); err == nil {
		t.Error("a folder that is not there has no error")
	}
}

// Photos are chosen from where the last one came from, the newest first; what is none is
// refused, and a stick that is out is no fault.
func TestAPhotoIsChosen(t *testing.T) {
	e := edges{getenv: os.Getenv}
	stick := filepath.Join(t.TempDir(), "DCIM")
	if err := os.CopyFS(stick, os.DirFS(filepath.Join("..", "..", "testdata", "photos"))); err != nil {
		t.Fatal(err)
	}
	for i, name := range []string{"plain.jpg", "still.heic", "chunk.png"} {
		at := time.Date(2036, 3, 9, 10+i, 0, 0, 0, time.UTC)
		if err := os.Chtimes(filepath.Join(stick, name), at, at); err != nil {
			t.Fatal(err)
		}
	}
	photos := new(lastFolder)
	if f, err := photos.list(e, "photo", ""); err != nil || slices.Contains(f.Names, "plain.jpg") {
		t.Errorf("before any: %+v, %v", f, err)
	}
	in, err := photos.after(e, "photo", filepath.Join(stick, "big-endian.jpg"))
	if err != nil || in.Photo == nil || in.Photo.File != "big-endian.jpg" || in.Photo.Taken.Offset != "+01:00" || in.Says != "JPEG, time in the file 2026-03-09 10:14:02 +01:00" {
		t.Errorf("%+v, %v", in, err)
	}
	f, err := photos.list(e, "photo", "")
	if err != nil || f.Path != stick || len(f.Names) < 10 || !slices.Equal(f.Names[:3], []string{"chunk.png", "still.heic", "plain.jpg"}) || slices.Contains(f.Names, "README.md") {
		t.Errorf("%+v, %v", f, err)
	}
	if f, err := photos.list(e, "plan", ""); err != nil || f.Path == stick {
		t.Errorf("a plan: %+v, %v", f, err)
	}
	if _, err := photos.after(e, "photo", filepath.Join(stick, "README.md")); err == nil || !strings.Contains(err.Error(), "is no photo") {
		t.Errorf("a text: %v", err)
	}
	if err := os.RemoveAll(stick); err != nil {
		t.Fatal(err)
	}
	if f, err := photos.list(e, "photo", ""); err != nil || f.Path == stick {
		t.Errorf("with the stick out: %+v, %v", f, err)
	}
}
