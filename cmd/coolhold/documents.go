package main

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/adrg/xdg"

	"coolhold/logbook/register"
	"coolhold/logbook/whole"
)

// documents is the folder that a person looks for a document in.
func documents(e edges) string {
	if env := e.getenv("COOLHOLD_DOCUMENTS"); env != "" {
		return env
	}
	return xdg.UserDirs.Documents
}

// writeRegisterFiles writes the register of a site as PDF, as HTML and as a workbook
// into the documents folder and gives their names, and how many of its photos are in PDF
// and HTML: those that lie there, or where photos were chosen last. A file that is there is
// never written over; each is written whole or not at all.
func writeRegisterFiles(e edges, path, site string, photos ...string) (files []string, shown string, err error) {
	rep, err := reportOf(e, registering{logs: []string{path}, site: site}, register.Query{})
	if err != nil {
		return nil, "", err
	}
	rep.Pictures, shown = picturesBeside(append([]string{documents(e)}, photos...), rep.Site.Enclosed)
	made := map[string][]byte{}
	for _, ending := range []string{"pdf", "xlsx", "html"} {
		var buf bytes.Buffer
		if err := formats[ending](&buf, rep, nil); err != nil {
			return nil, "", err
		}
		made[ending] = buf.Bytes()
	}
	folder := documents(e)
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return nil, "", fmt.Errorf("the register is not written: %w", err)
	}
	base := filepath.Join(folder, fileName(rep.Site.ID)+"-register-"+rep.AsOf.Format(time.DateOnly))
	files, err = deliverNew(base, made)
	return files, shown, err
}

// fileName keeps of a text what is harmless in the name of a file.
func fileName(s string) string {
	name := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return '-'
	}, s)
	if name = strings.Trim(name, "-"); name == "" {
		return "site"
	}
	return name
}

// deliverNew writes the files under one name that none of them has yet: the
// base, or with -2, -3 … after it.
func deliverNew(base string, made map[string][]byte) ([]string, error) {
	var files []string
	name := base
	for n := 2; taken(name, made); n++ {
		name = fmt.Sprintf("%s-%d", base, n)
	}
	for _, ending := range slices.Sorted(maps.Keys(made)) {
		file := name + "." + ending
		if err := whole.New(file, whole.Bytes(made[ending], 0o666)); err != nil {
			return files, saved(file, err)
		}
		files = append(files, file)
	}
	return files, nil
}

func taken(name string, made map[string][]byte) bool {
	for ending := range made {
		if _, err := os.Lstat(name + "." + ending); err == nil {
			return true
		}
	}
	return false
}
