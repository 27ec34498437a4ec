package main

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/kit"
	"coolhold/logbook/plan"
	"coolhold/tui/shell"
)

// namedFile is the file that a person means by what was typed, or dropped on the
// terminal: with quotes round it, with "~" for the own folder, with a blank in it that
// a shell would want marked.
func namedFile(e edges, typed string) string {
	name := strings.TrimSpace(typed)
	if _, err := os.Lstat(name); err == nil {
		return name // whatever it looks like
	}
	if n := len(name); n > 1 && (name[0] == '"' || name[0] == '\'') && name[n-1] == name[0] {
		name = name[1 : n-1]
	} else if runtime.GOOS != "windows" {
		name = strings.NewReplacer(`\ `, " ", `\(`, "(", `\)`, ")", `\'`, "'", `\&`, "&", `\\`, `\`).Replace(name)
	}
	name = strings.TrimPrefix(name, "file://")
	rest, own := strings.CutPrefix(name, "~")
	if own && (rest == "" || rest[0] == '/' || rest[0] == filepath.Separator) {
		if home := ownFolder(e); home != "" {
			name = filepath.Join(home, rest)
		}
	}
	return name
}

// ownFolder is that of the person; "" where the system knows none.
func ownFolder(e edges) string {
	if home := e.getenv("HOME"); home != "" {
		return home
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return ""
	}
	return home
}

// readNamed reads a file for the screens and checks it as what it is to be.
func readNamed(e edges, what, typed string) (shell.Input, error) {
	name := namedFile(e, typed)
	if name == "" {
		return shell.Input{}, fmt.Errorf("no file is named")
	}
	says, err := heldBy(what, name)
	if err != nil {
		return shell.Input{}, err
	}
	f, err := takeFile(name)
	return shell.Input{File: acts.File{Name: f.Name, Text: f.Text}, Says: says}, err
}

// heldBy is what a file holds, in a line.
func heldBy(what, name string) (string, error) {
	switch what {
	case "plan":
		p, err := loadPlan(name)
		return soundPlan(p), err
	case "table":
		t, err := loadTable(name)
		return soundTable(t), err
	case "kit":
		k, err := loadKit(name)
		return soundKit(k), err
	}
	return "", fmt.Errorf("%q is no sort of file", what)
}

func soundPlan(p plan.Plan) string {
	return fmt.Sprintf("%s in %s", logbook.Count(len(p.Joints()), "joint"), logbook.Count(len(p.Chambers), "chamber"))
}

func soundTable(t fusion.Table) string {
	return fmt.Sprintf("%s in %s", logbook.Count(len(t.Fittings), "fitting"), logbook.Count(len(t.Bands), "band"))
}

func soundKit(k kit.Kit) string {
	return fmt.Sprintf("%s, %s, %s listed", logbook.Count(len(k.Units), "control unit"), logbook.Count(len(k.Adapters), "adapter"), logbook.Count(len(k.Stock), "fitting"))
}

// listFolder lists what of a folder can be a plan, a table or a kit.
func listFolder(e edges, dir string) (shell.Folder, error) {
	path, err := filepath.Abs(namedFile(e, dir))
	if err != nil {
		return shell.Folder{}, err
	}
	found, err := os.ReadDir(path)
	if err != nil {
		return shell.Folder{}, unreadable(path, err)
	}
	f := shell.Folder{Path: path}
	if up := filepath.Dir(path); up != path {
		f.Above = up
	}
	var files []string
	for _, d := range found {
		name := d.Name()
		switch {
		case strings.HasPrefix(name, "."):
		case isFolder(path, d):
			f.Names = append(f.Names, name+"/")
		case strings.EqualFold(filepath.Ext(name), ".toml"):
			files = append(files, name)
		}
	}
	f.Names = slices.Concat(f.Names, files)
	return f, nil
}

// isFolder follows a link, as sticks and home folders have them.
func isFolder(dir string, d os.DirEntry) bool {
	if d.Type()&os.ModeSymlink == 0 {
		return d.IsDir()
	}
	info, err := os.Stat(filepath.Join(dir, d.Name()))
	return err == nil && info.IsDir()
}
