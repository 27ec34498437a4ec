package main

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"time"

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
	if what == "photo" {
		return namedPhoto(name)
	}
	says, err := heldBy(what, name)
	if err != nil {
		return shell.Input{}, err
	}
	f, err := takeFile(name)
	return shell.Input{File: acts.File{Name: f.Name, Text: f.Text}, Says: says}, err
}

// namedPhoto is a photo that a person named.
func namedPhoto(name string) (shell.Input, error) {
	b, said, is, err := readPhoto(name)
	if err == nil && !is {
		err = fmt.Errorf("%s is no photo; coolhold enclose names any other file", name)
	}
	return shell.Input{File: acts.File{Name: b.File}, Says: photoSays(said), Photo: &b}, err
}

// A lastFolder is where the last photo came from: the next one lies beside it.
type lastFolder struct{ dir atomic.Pointer[string] }

// after reads a file, and remembers the folder of a photo.
func (l *lastFolder) after(e edges, what, typed string) (shell.Input, error) {
	in, err := readNamed(e, what, typed)
	if err == nil && what == "photo" {
		if path, err := filepath.Abs(namedFile(e, typed)); err == nil {
			l.dir.Store(new(filepath.Dir(path)))
		}
	}
	return in, err
}

// folders is that folder; none where no photo came.
func (l *lastFolder) folders() []string {
	if last := l.dir.Load(); last != nil {
		return []string{*last}
	}
	return nil
}

// list lists a folder; where none is named and photos are wanted, the last that had one.
func (l *lastFolder) list(e edges, what, dir string) (shell.Folder, error) {
	if last := l.dir.Load(); what == "photo" && dir == "" && last != nil {
		if f, err := listFolder(e, what, *last); err == nil {
			return f, nil // else the stick is out
		}
	}
	return listFolder(e, what, dir)
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

// listFolder lists what of a folder can be a plan, a table or a kit, or a photo, the
// newest photo first.
func listFolder(e edges, what, dir string) (shell.Folder, error) {
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
		case what == "photo" && namedAsPhoto(name), what != "photo" && strings.EqualFold(filepath.Ext(name), ".toml"):
			files = append(files, name)
		}
	}
	if what == "photo" {
		newestFirst(path, files)
	}
	f.Names = slices.Concat(f.Names, files)
	return f, nil
}

func newestFirst(dir string, files []string) {
	at := map[string]time.Time{}
	for _, name := range files {
		if info, err := os.Stat(filepath.Join(dir, name)); err == nil {
			at[name] = info.ModTime()
		}
	}
	slices.SortStableFunc(files, func(a, b string) int { return at[b].Compare(at[a]) })
}

// isFolder follows a link, as sticks and home folders have them.
func isFolder(dir string, d os.DirEntry) bool {
	if d.Type()&os.ModeSymlink == 0 {
		return d.IsDir()
	}
	info, err := os.Stat(filepath.Join(dir, d.Name()))
	return err == nil && info.IsDir()
}
