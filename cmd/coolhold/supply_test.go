package main

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// systems are those that the program is built for.
var systems = []string{"linux", "darwin", "windows"}

// golist asks what is linked on a system.
func golist(t *testing.T, system, format string) []string {
	t.Helper()
	cmd := exec.Command("go", "list", "-deps", "-f", format, "./cmd/coolhold")
	cmd.Dir, cmd.Env = "../..", append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list for %s: %v", system, err)
	}
	return strings.Fields(string(out))
}

// reaching are who may use what speaks over a network, besides the standard library. A
// newer excelize links a client of the web (it asks net/http for the type of an embedded
// object); the one here does not.
var reaching = map[string][]string{
	"net":        {"coolhold/logbook/office/wire", "github.com/jackc/pgx/v5", "github.com/jackc/pgpassfile", "github.com/jackc/pgservicefile", "github.com/spf13/pflag", "golang.org/x/sys/windows"},
	"net/http":   {"coolhold/logbook/office/wire"},
	"crypto/tls": {"coolhold/logbook/office/wire", "github.com/jackc/pgx/v5"},
	"net/rpc":    nil,
}

// The program talks to its office and to nobody else: on no system does anything but the
// two packages of the office speak over a network.
func TestWhoSpeaksOverANetwork(t *testing.T) {
	needsGo(t)
	for _, system := range systems {
		seen := map[string]bool{}
		for _, line := range golist(t, system, `{{if not .Standard}}{{.ImportPath}}={{join .Imports ","}}{{end}}`) {
			pkg, imports, _ := strings.Cut(line, "=")
			for i := range strings.SplitSeq(imports, ",") {
				may, guarded := reaching[i]
				if !guarded {
					continue
				}
				seen[i] = true
				if !slices.ContainsFunc(may, func(p string) bool { return pkg == p || strings.HasPrefix(pkg, p+"/") }) {
					t.Errorf("%s: %s uses %s", system, pkg, i)
				}
			}
		}
		if !seen["net/http"] || !seen["crypto/tls"] {
			t.Errorf("%s: nobody speaks over a network: what was listed?", system)
		}
	}
}

// needsGo skips where the tests are run without what they were built with, as the
// Windows ones are.
func needsGo(t *testing.T) {
	t.Helper()
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("there is no go here to ask what is linked")
	}
}

// withoutText are modules that hold no text of their licence, and which one their README
// names.
var withoutText = map[string]string{
	"github.com/mattn/go-localereader v0.0.1": "MIT",
}

// What is linked in is listed with its licence, no more and no less; -update makes the
// list anew.
func TestLicencesAreComplete(t *testing.T) {
	needsGo(t)
	want := licencesOf(t)
	if *update {
		if err := os.WriteFile("licences.txt", want, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if licences != string(want) {
		t.Errorf("licences.txt is not what is linked in; go test -run %s ./cmd/coolhold -args -update makes it:\n%s", t.Name(), firstUnlike(licences, string(want)))
	}
	if got := tryRun("licences"); got.code != exitDone || got.out != licences {
		t.Errorf("the verb: exit code %d, %d bytes of %d", got.code, len(got.out), len(licences))
	}
}

// licencesOf makes the list: each module that is linked in on any system, with the kind
// of its licence, told by its text.
func licencesOf(t *testing.T) []byte {
	t.Helper()
	dirs := map[string]string{"Go, its runtime and its library": goroot(t)}
	for _, system := range systems {
		for _, m := range golist(t, system, "{{with .Module}}{{if not .Main}}{{.Path}}|{{.Version}}|{{.Dir}}{{end}}{{end}}") {
			part := strings.SplitN(m, "|", 3)
			dirs[part[0]+" "+part[1]] = part[2]
		}
	}
	var list bytes.Buffer
	fmt.Fprint(&list, "Linked into coolhold, each under the licence named. Its text lies with its source.\n\n")
	for _, name := range slices.Sorted(maps.Keys(dirs)) {
		fmt.Fprintf(&list, "%-12s  %s\n", licenceIn(t, name, dirs[name]), name)
	}
	return list.Bytes()
}

// marks of licences, by what stands in their texts and in no other's; the names are
// those of SPDX.
var marks = []struct{ name, says, not string }{
	{"Apache-2.0", "Apache License", ""},
	{"MIT", "Permission is hereby granted, free of charge", ""},
	{"ISC", "Permission to use, copy, modify, and/or distribute", ""},
	{"BSD-3-Clause", "Neither the name of", "Apache License"},
	{"BSD-2-Clause", "Redistributions of source code must retain", "Neither the name of"},
	{"MPL-2.0", "Mozilla Public License", ""},
}

// kindOf is which licences a text is.
func kindOf(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	var kinds []string
	for _, m := range marks {
		if strings.Contains(text, m.says) && (m.not == "" || !strings.Contains(text, m.not)) {
			kinds = append(kinds, m.name)
		}
	}
	return strings.Join(kinds, " and ")
}

func goroot(t *testing.T) string {
	t.Helper()
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(string(out))
}

// licenceIn is the kind of a module's licence. One that cannot be told is a failure.
func licenceIn(t *testing.T, name, dir string) string {
	t.Helper()
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	var all []string
	for _, f := range files {
		base := strings.ToUpper(f.Name())
		if !f.IsDir() && (strings.HasPrefix(base, "LICEN") || strings.HasPrefix(base, "COPYING")) {
			all = append(all, fileText(t, filepath.Join(dir, f.Name())))
		}
	}
	said, bare := withoutText[name]
	if bare != (len(all) == 0) {
		t.Fatalf("%s: %d texts of a licence in it, and in the list of those without %t", name, len(all), bare)
	}
	if bare {
		return said
	}
	kind := kindOf(strings.Join(all, " "))
	if kind == "" {
		t.Fatalf("%s: nobody knows which licence that is:\n%.300s", name, all[0])
	}
	return kind
}
