package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

const (
	// licenceList is what a test of the program holds against what is linked in.
	licenceList = "cmd/coolhold/licences.txt"
	thirdParty  = "THIRD-PARTY-LICENCES.txt"
)

// A module is what is linked in, on some platform.
type module struct {
	Path, Version string
	Dir           string
	Sum           string   // of go.sum
	licences      []string // by their names in SPDX
}

// golang is the part of it that is no module.
const golang = "Go, its runtime and its library"

// modulesHere are those of the licence list, each with its source.
func modulesHere(goVersion, goroot string) ([]module, error) {
	text, err := os.ReadFile(licenceList)
	if err != nil {
		return nil, err
	}
	listed, err := readLicences(string(text))
	if err != nil {
		return nil, err
	}
	told, err := said("go", "list", "-m", "-json", "all")
	if err != nil {
		return nil, err
	}
	known := map[string]module{}
	for dec := json.NewDecoder(strings.NewReader(told)); ; {
		var m module
		if err := dec.Decode(&m); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		known[m.Path+" "+m.Version] = m
	}
	for i, m := range listed {
		if m.Path == golang {
			listed[i].Version, listed[i].Dir = goVersion, goroot
			continue
		}
		k, is := known[m.Path+" "+m.Version]
		if !is || k.Dir == "" {
			return nil, fmt.Errorf("%s names %s %s, whose source is not here: go mod download", licenceList, m.Path, m.Version)
		}
		listed[i].Dir, listed[i].Sum = k.Dir, k.Sum
	}
	return listed, nil
}

// readLicences reads the list: the licence or two, and the module with its version.
func readLicences(text string) (out []module, err error) {
	_, lines, ok := strings.Cut(text, "\n\n")
	if !ok {
		return nil, errors.New(licenceList + " has no list")
	}
	for line := range strings.Lines(lines) {
		kinds, name, ok := strings.Cut(strings.TrimSpace(line), "  ")
		if !ok {
			return nil, fmt.Errorf("%s: %q is no line of it", licenceList, line)
		}
		m := module{Path: strings.TrimSpace(name), licences: strings.Split(strings.TrimSpace(kinds), " and ")}
		if m.Path != golang {
			m.Path, m.Version, _ = strings.Cut(m.Path, " ")
		}
		out = append(out, m)
	}
	return out, nil
}

// licences are the texts of all licences, each with what it is of.
func (s source) licences() ([]byte, error) {
	var out bytes.Buffer
	out.WriteString("What is linked into coolhold, on any platform, and the licence of each.\n")
	for _, m := range s.modules {
		fmt.Fprintf(&out, "\n%s\n%s %s (%s)\n\n", strings.Repeat("=", 72), m.Path, m.Version, strings.Join(m.licences, " and "))
		found, err := os.ReadDir(m.Dir)
		if err != nil {
			return nil, err
		}
		n := 0
		for _, f := range found {
			name := strings.ToUpper(f.Name())
			if f.IsDir() || !slices.ContainsFunc([]string{"LICEN", "COPYING", "NOTICE", "PATENTS"}, func(p string) bool { return strings.HasPrefix(name, p) }) {
				continue
			}
			text, err := os.ReadFile(filepath.Join(m.Dir, f.Name()))
			if err != nil {
				return nil, err
			}
			n++
			fmt.Fprintf(&out, "--- %s\n%s\n", f.Name(), strings.TrimSpace(strings.ReplaceAll(string(text), "\r\n", "\n")))
		}
		if n == 0 {
			out.WriteString("Its source holds no text of the licence that its README names.\n")
		}
	}
	return out.Bytes(), nil
}

// What follows is a bill of materials in the form of CycloneDX 1.6, an open standard
// (ECMA-424).
type bom struct {
	Format     string       `json:"bomFormat"`
	Spec       string       `json:"specVersion"`
	Serial     string       `json:"serialNumber"`
	Version    int          `json:"version"`
	Metadata   metadata     `json:"metadata"`
	Components []component  `json:"components"`
	Dependent  []dependency `json:"dependencies"`
}

type metadata struct {
	Timestamp string    `json:"timestamp"`
	Component component `json:"component"`
}

type component struct {
	Type       string     `json:"type"`
	Ref        string     `json:"bom-ref"`
	Name       string     `json:"name"`
	Version    string     `json:"version"`
	Licences   []licensed `json:"licenses"`
	PURL       string     `json:"purl,omitempty"`
	Properties []property `json:"properties,omitempty"`
}

type licensed struct {
	Licence struct {
		ID string `json:"id"`
	} `json:"license"`
}

type property struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

type dependency struct {
	Ref string   `json:"ref"`
	On  []string `json:"dependsOn,omitempty"`
}

// bom is the list of what is linked in, on any platform.
func (s source) bom() ([]byte, error) {
	graph, err := said("go", "mod", "graph")
	if err != nil {
		return nil, err
	}
	return s.listed(graph)
}

func (s source) listed(graph string) ([]byte, error) {
	own := component{
		Type: "application", Ref: "coolhold", Name: "coolhold", Version: s.version, Licences: underLicences("MIT"),
		Properties: []property{{"coolhold:revision", s.revision}, {"coolhold:go", s.goVersion}},
	}
	b := bom{
		Format: "CycloneDX", Spec: "1.6", Serial: serialOf(s.version + " " + s.revision + " " + s.goVersion), Version: 1,
		Metadata: metadata{s.at.Format("2006-01-02T15:04:05Z"), own},
	}
	for _, m := range s.modules {
		b.Components = append(b.Components, m.component())
	}
	b.Dependent = s.dependencies(graph)
	text, err := json.MarshalIndent(b, "", "  ")
	return append(text, '\n'), err
}

func underLicences(ids ...string) (out []licensed) {
	for _, id := range ids {
		var l licensed
		l.Licence.ID = id
		out = append(out, l)
	}
	return out
}

func (m module) component() component {
	c := component{Type: "library", Name: m.Path, Version: m.Version, Licences: underLicences(m.licences...), PURL: m.purl()}
	if m.Path == golang {
		c.Name = "std"
	}
	if m.Sum != "" {
		c.Properties = []property{{"go.sum", m.Sum}}
	}
	c.Ref = c.PURL
	return c
}

// purl is the name of a package as the open specification of package URLs has it.
func (m module) purl() string {
	if m.Path == golang {
		return "pkg:golang/std@" + strings.TrimPrefix(m.Version, "go")
	}
	return "pkg:golang/" + strings.ToLower(m.Path) + "@" + strings.ReplaceAll(m.Version, "+", "%2B")
}

// dependencies are which of the modules listed needs which, by the graph of all.
func (s source) dependencies(graph string) []dependency {
	refs := map[string]string{"coolhold": "coolhold"}
	needs := map[string][]string{}
	for _, m := range s.modules {
		refs[m.Path] = m.purl()
		needs[m.purl()] = nil
		if m.Path == golang {
			needs["coolhold"] = append(needs["coolhold"], m.purl())
		}
	}
	for line := range strings.Lines(graph) {
		from, to, _ := strings.Cut(strings.TrimSpace(line), " ")
		from, _, _ = strings.Cut(from, "@")
		to, _, _ = strings.Cut(to, "@")
		a, isFrom := refs[from]
		b, isTo := refs[to]
		if isFrom && isTo && a != b && !slices.Contains(needs[a], b) {
			needs[a] = append(needs[a], b)
		}
	}
	var out []dependency
	for ref, on := range needs {
		slices.Sort(on)
		out = append(out, dependency{ref, on})
	}
	slices.SortFunc(out, func(a, b dependency) int { return strings.Compare(a.Ref, b.Ref) })
	return out
}

// serialOf is a number of its own for each release, the same for the same.
func serialOf(what string) string {
	h := sha256.Sum256([]byte("coolhold bill of materials: " + what))
	h[6], h[8] = h[6]&0x0f|0x80, h[8]&0x3f|0x80 // RFC 9562, version 8: of our own making
	return fmt.Sprintf("urn:uuid:%x-%x-%x-%x-%x", h[:4], h[4:6], h[6:8], h[8:10], h[10:16])
}
