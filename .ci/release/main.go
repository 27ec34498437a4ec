// Release builds what people install, for every platform, into dist/:
//
//	make release
//	go run ./.ci/release -only linux/amd64 -out /tmp/dist
//
// An archive a platform holds the program, its man pages, what a shell completes,
// the licences and the list of what is linked in (CycloneDX). Beside them stand the
// licences and the list once more, and SHA256SUMS over all. The same revision built by
// the same Go gives the same bytes, wherever it lies: no path, no time but the
// revision's and no setting of the machine goes in. It builds a revision, never what was
// changed since.
package main

import (
	"cmp"
	"crypto/sha256"
	"debug/buildinfo"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

// platforms are those that the program is built for.
var platforms = []string{"linux/amd64", "linux/arm64", "darwin/amd64", "darwin/arm64", "windows/amd64", "windows/arm64"}

func main() {
	out := flag.String("out", "dist", "the `folder` for what is made; an earlier release in it is removed")
	only := flag.String("only", "", "only these `platforms`: linux/amd64,windows/amd64")
	flag.Parse()
	if err := run(*out, *only, flag.Args()); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

func run(out, only string, rest []string) error {
	if len(rest) > 0 {
		return fmt.Errorf("%q is not expected", rest[0])
	}
	wanted, err := platformsOf(only)
	if err != nil {
		return err
	}
	s, err := sourceHere()
	if err != nil {
		return err
	}
	work, err := os.MkdirTemp("", "release-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	made, err := s.make(work, wanted)
	if err != nil {
		return err
	}
	if err := put(out, made); err != nil {
		return err
	}
	fmt.Printf("%s of revision %s by %s: %d files in %s\n", s.version, s.revision, s.goVersion, len(made)+1, out)
	return nil
}

// platformsOf are the platforms asked for.
func platformsOf(only string) ([]string, error) {
	if only == "" {
		return platforms, nil
	}
	wanted := strings.Split(only, ",")
	for _, p := range wanted {
		if !slices.Contains(platforms, p) {
			return nil, fmt.Errorf("%q is no platform of a release: %s", p, strings.Join(platforms, ", "))
		}
	}
	return wanted, nil
}

// A source is the revision that is built.
type source struct {
	version, revision string
	at                time.Time // when the revision was made
	goVersion, goroot string
	modules           []module
}

// sourceHere reads what is checked out. A tree in which something was changed is
// refused: nobody could build the same again.
func sourceHere() (s source, err error) {
	changed, err := said("git", "status", "--porcelain")
	if err != nil {
		return s, err
	}
	if changed != "" {
		return s, fmt.Errorf("the tree is not the revision: commit or put away first:\n%s", changed)
	}
	told, err := said("git", "log", "-1", "--format=%H %ct")
	if err != nil {
		return s, err
	}
	revision, when, _ := strings.Cut(told, " ")
	sec, err := strconv.ParseInt(when, 10, 64)
	if err != nil {
		return s, err
	}
	s.revision, s.at = revision, time.Unix(sec, 0).UTC()
	s.version = "v0.0.0-" + s.at.Format("20060102150405") + "-" + revision[:12] // as Go names a revision without a tag
	if tag, err := said("git", "describe", "--tags", "--exact-match", "--match", "v*"); err == nil {
		s.version = tag
	}
	if s.goVersion, err = said("go", "env", "GOVERSION"); err != nil {
		return s, err
	}
	if s.goroot, err = said("go", "env", "GOROOT"); err != nil {
		return s, err
	}
	s.modules, err = modulesHere(s.goVersion, s.goroot)
	return s, err
}

// settings are the environment of a build, whatever is set on the machine.
var settings = []string{
	"GOFLAGS=-mod=readonly", "GOWORK=off", "CGO_ENABLED=0", "GOAMD64=v1", "GOARM64=v8.0",
	"GOEXPERIMENT=", "GOFIPS140=off", "LC_ALL=C", "TZ=UTC",
}

// said runs a program and gives what it says.
func said(name string, args ...string) (string, error) { return saidWith(nil, name, args...) }

func saidWith(env []string, name string, args ...string) (string, error) {
	cmd := exec.Command(name, args...)
	cmd.Env = slices.Concat(os.Environ(), settings, env)
	out, err := cmd.Output()
	var ended *exec.ExitError
	if errors.As(err, &ended) {
		err = fmt.Errorf("%s %s: %w: %s", name, strings.Join(args, " "), err, strings.TrimSpace(string(ended.Stderr)))
	}
	return strings.TrimSpace(string(out)), err
}

// make makes everything but the sums: content by name.
func (s source) make(work string, wanted []string) (map[string][]byte, error) {
	list, err := s.bom()
	if err != nil {
		return nil, err
	}
	texts, err := s.licences()
	if err != nil {
		return nil, err
	}
	common, err := s.common(work)
	if err != nil {
		return nil, err
	}
	common = append(common, file{"coolhold.cdx.json", list, false}, file{thirdParty, texts, false})
	base := "coolhold-" + s.version
	made := map[string][]byte{base + ".cdx.json": list, base + "-" + thirdParty: texts}
	for _, p := range wanted {
		fmt.Fprintln(os.Stderr, "building", p)
		name, archive, err := s.platform(work, p, base, common)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p, err)
		}
		made[name] = archive
	}
	return made, nil
}

// platform is the archive for one.
func (s source) platform(work, p, base string, common []file) (name string, archive []byte, err error) {
	system, processor, _ := strings.Cut(p, "/")
	program := "coolhold"
	if system == "windows" {
		program += ".exe"
	}
	built, err := s.build(work, system, processor)
	if err != nil {
		return "", nil, err
	}
	data, err := os.ReadFile(built)
	if err != nil {
		return "", nil, err
	}
	folder := base + "-" + system + "-" + processor
	files := append(slices.Clone(common), file{program, data, true})
	if system == "windows" {
		archive, err = zipped(folder, files, s.at)
		return folder + ".zip", archive, err
	}
	archive, err = tarred(folder, files, s.at)
	return folder + ".tar.gz", archive, err
}

// build builds the program for a system and sees what it says of itself.
func (s source) build(work, system, processor string) (string, error) {
	to := filepath.Join(work, system+"-"+processor, "coolhold")
	_, err := saidWith([]string{"GOOS=" + system, "GOARCH=" + processor}, "go", "build", "-trimpath", "-buildvcs=true",
		"-ldflags", "-s -w -buildid= -X main.release="+s.version, "-o", to, "./cmd/coolhold")
	if err != nil {
		return "", err
	}
	info, err := buildinfo.ReadFile(to)
	if err != nil {
		return "", err
	}
	set := map[string]string{}
	for _, b := range info.Settings {
		set[b.Key] = b.Value
	}
	if set["vcs.revision"] != s.revision || set["vcs.modified"] != "false" {
		return "", fmt.Errorf("it says that it is of revision %q, changed since: %q; wanted is %s (in a linked worktree Go names none: build in a clone)", set["vcs.revision"], set["vcs.modified"], s.revision)
	}
	for _, d := range info.Deps {
		if d.Replace != nil || !slices.ContainsFunc(s.modules, func(m module) bool { return m.Path == d.Path && m.Version == d.Version }) {
			return "", fmt.Errorf("%s %s is linked in and has no licence in %s", d.Path, d.Version, licenceList)
		}
	}
	return to, nil
}

// inReadme finds the files that the README shows or tells to begin with.
var inReadme = regexp.MustCompile(`testdata/[a-z/-]+\.[a-z]+`)

// texts are what is read in an archive: the README, and what it leads to.
func texts(readme string) []string {
	names := []string{"README.md", "CHANGELOG.md", "DEVELOPERS.md", "LICENSE"}
	for _, name := range inReadme.FindAllString(readme, -1) {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// common are the files of every archive but the program itself. The pages and what a shell
// completes are written by the program for this machine: they are the same on all.
func (s source) common(work string) ([]file, error) {
	var files []file
	readme, err := os.ReadFile("README.md")
	if err != nil {
		return nil, err
	}
	for _, name := range texts(string(readme)) {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		files = append(files, file{name, data, false})
	}
	files = append(files, file{"INSTALL.txt", []byte(installing), false})
	program, err := s.build(work, runtime.GOOS, runtime.GOARCH)
	if err != nil {
		return nil, err
	}
	pages := filepath.Join(work, "man")
	if err := os.Mkdir(pages, 0o700); err != nil {
		return nil, err
	}
	if _, err := saidWith([]string{"SOURCE_DATE_EPOCH=" + strconv.FormatInt(s.at.Unix(), 10)}, program, "man", pages); err != nil {
		return nil, err
	}
	found, err := os.ReadDir(pages)
	if err != nil {
		return nil, err
	}
	for _, f := range found {
		data, err := os.ReadFile(filepath.Join(pages, f.Name()))
		if err != nil {
			return nil, err
		}
		files = append(files, file{"man/man1/" + f.Name(), data, false})
	}
	for shell, name := range map[string]string{"bash": "coolhold.bash", "zsh": "_coolhold", "fish": "coolhold.fish", "powershell": "coolhold.ps1"} {
		text, err := saidWith(nil, program, "completion", shell)
		if err != nil {
			return nil, err
		}
		files = append(files, file{"completions/" + name, []byte(text + "\n"), false})
	}
	return files, nil
}

const installing = `coolhold is one program and needs nothing else.

Linux and macOS: put "coolhold" into a folder of your PATH, such as ~/.local/bin; the pages
of man/man1 into ~/.local/share/man/man1 (then: man coolhold, man coolhold-register); of
"completions" coolhold.bash into ~/.local/share/bash-completion/completions/coolhold (bash needs its
package bash-completion),
_coolhold into a folder of zsh's fpath, coolhold.fish into ~/.config/fish/completions.

Windows: a double click on coolhold.exe opens the board. In a console it takes the verbs;
for what TAB completes there, run completions\coolhold.ps1 in the profile of PowerShell.

coolhold --version says which revision it is. What is linked in, and under which licences,
stands in coolhold.cdx.json and THIRD-PARTY-LICENCES.txt. Whether the archive is as it was
made: sha256sum --check --ignore-missing SHA256SUMS
`

// put writes what was made into a folder, in place of an earlier release.
func put(out string, made map[string][]byte) error {
	if err := os.MkdirAll(out, 0o777); err != nil {
		return err
	}
	old, err := os.ReadDir(out)
	if err != nil {
		return err
	}
	for _, f := range old {
		if f.Type().IsRegular() && (strings.HasPrefix(f.Name(), "coolhold-") || f.Name() == sums) {
			if err := os.Remove(filepath.Join(out, f.Name())); err != nil {
				return err
			}
		}
	}
	names := slices.Sorted(func(yield func(string) bool) {
		for name := range made {
			if !yield(name) {
				return
			}
		}
	})
	var list strings.Builder
	for _, name := range names {
		fmt.Fprintf(&list, "%x  %s\n", sha256.Sum256(made[name]), name)
		err = cmp.Or(err, os.WriteFile(filepath.Join(out, name), made[name], 0o666))
	}
	return cmp.Or(err, os.WriteFile(filepath.Join(out, sums), []byte(list.String()), 0o666)) // last: it stands for all of them
}

const sums = "SHA256SUMS"
