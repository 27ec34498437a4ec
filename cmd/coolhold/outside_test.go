package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"coolhold/logbook"
)

// aHolder keeps the lock of the log until a line comes, again and again.
func aHolder(t *testing.T) {
	l, err := openLog(os.Getenv("COOLHOLD_LOG"))
	if err != nil {
		t.Fatal(err)
	}
	orders := bufio.NewScanner(os.Stdin)
	for {
		_, err := l.Append(context.Background(), func(logbook.Reader) ([]logbook.Draft, error) {
			fmt.Println("holds it")
			orders.Scan()
			return nil, nil
		})
		if err != nil {
			t.Fatal(err)
		}
		fmt.Println("let it go")
		if !orders.Scan() {
			return
		}
	}
}

// aReader has the file of COOLHOLD_TEST_FILE open, as an office program has, until a
// line comes.
func aReader(t *testing.T) {
	f, err := os.Open(os.Getenv("COOLHOLD_TEST_FILE"))
	if err != nil {
		t.Fatal(err)
	}
	fmt.Println("has it open")
	bufio.NewScanner(os.Stdin).Scan()
	text, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	fmt.Printf("read %d bytes\n", len(text))
}

// atLarkrise is a door at the worked example.
func atLarkrise(t *testing.T) *door {
	t.Helper()
	d := newDoor(t, "2026-03-09 09:00")
	d.does(exitDone, "demo", "--keep", d.log, "--no-screen")
	return d
}

// does runs a verb, which must end with a code.
func (d *door) does(code int, args ...string) string {
	d.t.Helper()
	said, got := d.verb(args...)
	if got != code {
		d.t.Fatalf("%q: exit code %d, want %d\n%s", args, got, code, said)
	}
	return said
}

// While one program has the log's lock another says so and stores nothing; what waits
// for it gets it; and a killed one holds nothing.
func TestLockOfAnotherProgram(t *testing.T) {
	t.Parallel()
	d := atLarkrise(t)
	env := []string{selfEnv + "=1", raceEnv, "COOLHOLD_LOG=" + d.log}
	note := []string{"note", "XM-0006", "told beside the trench", "--by", "Ada"}
	before := entriesIn(t, d.log)
	holder := startPart(t, "holder", env)
	holder.until(t, "holds it")
	var waiting sync.WaitGroup
	for _, args := range [][]string{note, {"audit"}, {"copy", filepath.Join(d.dir, "c.coolhold")}} {
		waiting.Go(func() {
			if got := verb(t, env, args...); got.code != exitLog || !strings.Contains(got.err, "in use by another program") {
				t.Errorf("%s: exit code %d, %s", args[0], got.code, got.err)
			}
		})
	}
	waiting.Wait()
	waited := make(chan ran)
	go func() { waited <- verb(t, env, note...) }()
	holder.in("let go")
	holder.until(t, "let it go")
	if got := <-waited; got.code != exitDone {
		t.Errorf("after it was let go: exit code %d, %s", got.code, got.err)
	}
	holder.in("again")
	holder.until(t, "holds it")
	holder.kill()
	if got := verb(t, env, note...); got.code != exitDone {
		t.Errorf("after it was killed: exit code %d, %s", got.code, got.err)
	}
	if n := entriesIn(t, d.log); n != before+2 {
		t.Errorf("%d entries, want %d", n, before+2)
	}
	d.does(exitDone, "verify", "--deep")
}

// A document that another program has open is not replaced on Windows, and that is said;
// a log that one reads can be written all the same, copied and made anew.
func TestFilesThatOthersHaveOpen(t *testing.T) {
	d := atLarkrise(t)
	csv := filepath.Join(d.dir, "welds.csv")
	d.does(exitDone, "register", "--out", csv)
	before := fileText(t, csv)
	office := startPart(t, "reader", []string{"COOLHOLD_TEST_FILE=" + csv})
	office.until(t, "has it open")
	d.does(exitDone, "note", "XM-0006", "told beside the trench", "--by", "Ada")
	replace := []string{"register", "--format", "pdf", "--out", csv, "--force"}
	if runtime.GOOS == "windows" {
		said := d.does(exitFindings, replace...)
		if !strings.Contains(said, "another program has that file open") || strings.Contains(said, ".part-") {
			t.Errorf("it says %q", said)
		}
		if fileText(t, csv) != before {
			t.Error("the file changed")
		}
	} else {
		d.does(exitDone, replace...)
	}
	office.in("read it")
	if got, want := office.until(t, "read "), fmt.Sprintf("read %d bytes", len(before)); got != want {
		t.Errorf("the other %s, want %q", got, want)
	}
	office.kill()
	d.does(exitDone, replace...)
	if left, _ := filepath.Glob(csv + ".part-*"); left != nil {
		t.Errorf("left %q", left)
	}
	for _, name := range []string{d.log, d.log + ".journal"} {
		office := startPart(t, "reader", []string{"COOLHOLD_TEST_FILE=" + name})
		office.until(t, "has it open")
		d.does(exitDone, "note", "XM-0006", "told once more", "--by", "Ada")
		d.does(exitDone, "copy", filepath.Join(t.TempDir(), "copy.coolhold"))
		office.kill()
	}
	d.does(exitDone, "verify", "--deep")
}

// uncEnv names a folder on a server, \\server\share\…, where one can be had.
const uncEnv = "COOLHOLD_TEST_UNC"

// folders are those in which a log must do, by what is odd about them.
func folders(t *testing.T) map[string]string {
	dir := t.TempDir()
	all := map[string]string{
		"blanks":          filepath.Join(dir, "a site of   1 chamber"),
		"other letters":   filepath.Join(dir, "Größe Ærø Žďár Łódź"),
		"other writing":   filepath.Join(dir, "現場 объект"),
		"signs":           filepath.Join(dir, "it's 100% & (this) #1 [x] ^~$"),
		"a long name":     filepath.Join(dir, strings.Repeat("long ", 20)+"x", strings.Repeat("name ", 20)+"x", strings.Repeat("deep ", 20)+"x"),
		"like other file": filepath.Join(dir, "folder.journal"),
	}
	if runtime.GOOS != "windows" {
		return all
	}
	all["slashes"] = filepath.ToSlash(filepath.Join(dir, "slashes"))
	all["a small drive"] = strings.ToLower(filepath.VolumeName(dir)) + filepath.Join(dir, "small")[len(filepath.VolumeName(dir)):]
	all["plain to the system"] = `\\?\` + filepath.Join(dir, "plain")
	for name, env := range map[string]string{"a server": uncEnv, "another drive": "COOLHOLD_TEST_DRIVE"} {
		if at := os.Getenv(env); at != "" {
			all[name] = filepath.Join(at, fmt.Sprintf("coolhold-%d", os.Getpid()))
		} else {
			t.Logf("not tried on %s: %s names none", name, env)
		}
	}
	return all
}

// A log, its companions and its documents do wherever they lie.
func TestFoldersOfEveryKind(t *testing.T) {
	t.Parallel()
	for name, folder := range folders(t) {
		t.Run(name, func(t *testing.T) {
			if err := os.MkdirAll(folder, 0o700); err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { os.RemoveAll(folder) })
			d := newDoor(t, "2026-03-09 09:00")
			in := func(name string) string { return folder + string(filepath.Separator) + name }
			d.dir, d.log = folder, in("site ü.coolhold")
			for from, to := range map[string]string{hillfootPlan: "plan é.toml", valleyTable: "table ß.toml"} {
				if err := os.WriteFile(in(to), []byte(fileText(t, from)), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			everyFile(d, in)
		})
	}
}

// everyFile makes a site and each kind of file that belongs to it.
func everyFile(d *door, in func(string) string) {
	d.t.Helper()
	d.does(exitDone, "plan", "check", in("plan é.toml"))
	d.does(exitDone, "site", "new", "--tag", "HF", "--plan", in("plan é.toml"), "--table", in("table ß.toml"))
	d.does(exitDone, "enclose", in("plan é.toml"), "--what", "the plan", "--by", "Ada")
	d.does(exitDone, "seal", "--by", "Ada")
	formats := []string{"csv", "json", "pdf", "xlsx", "html"}
	if testing.Short() {
		formats = formats[:1] // all go out the same way
	}
	for _, format := range formats {
		d.does(exitDone, "register", "--format", format, "--out", in("welds ø."+format))
		d.does(exitDone, "register", "--format", format, "--out", in("welds ø."+format), "--force")
	}
	d.does(exitDone, "copy", in("copy ł.coolhold"))
	d.does(exitDone, "verify", "--deep", in("copy ł.coolhold"))
	if said := d.does(exitDone, "verify", "--files", strings.TrimSuffix(in(""), string(filepath.Separator))); !strings.Contains(said, "same     plan é.toml") {
		d.t.Errorf("the enclosed file is not found: %s", said)
	}
	if err := os.Rename(d.log, in("away.coolhold")); err != nil {
		d.t.Fatal(err)
	}
	d.does(exitDone, "restore", d.log, "--out", in("anew å.coolhold"))
	d.does(exitDone, "verify", "--deep", in("anew å.coolhold"))
	a, b := entriesIn(d.t, in("away.coolhold")), entriesIn(d.t, in("anew å.coolhold"))
	if b != a+1 {
		d.t.Errorf("%d entries, made anew %d", a, b)
	}
}
