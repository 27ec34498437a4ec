package main

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/adrg/xdg"
	"github.com/rogpeppe/go-internal/testscript"

	"coolhold/fusion"
	"coolhold/logbook/store/soaktest"
)

// A process takes ten times as long to start as a verb to run, and the scripts run a
// thousand verbs. So where a script says coolhold, the verb is run inside the test, at
// edges that are the script's; exec coolhold, and the coolhold of a shell, is a process.

// asProcesses are the scripts whose verbs are all processes: between them they end with
// each exit code, and meet pipes, rights and files that others have.
var asProcesses = []string{"beside", "hold", "outlet"}

// The scripts in testdata read like a manual: what is typed, what is answered,
// and the exit code. The top-level tables and plans lie beside them.
func TestScripts(t *testing.T) {
	runScripts(t, func(ts *testscript.TestScript) bool { return slices.Contains(asProcesses, ts.Name()) })
}

// The same with every verb as a process.
func TestSoakScripts(t *testing.T) {
	if soaktest.Rounds(t, 0, 1, 1) == 0 {
		t.Skip("TestScripts runs them, most verbs without a process")
	}
	s := soaktest.New(t, "none: the scripts", "every verb of them is a process of its own")
	runScripts(t, func(*testscript.TestScript) bool { s.Ran(); return true })
}

// runScripts runs them; a verb is a process where that is said.
func runScripts(t *testing.T, process func(*testscript.TestScript) bool) {
	t.Helper()
	here := absolute("testdata") // a verb inside the test is in the folder of its script
	examples := absolute(filepath.Join("..", "..", "testdata"))
	bin, example := callable(t), new(kept)
	start := func(ts *testscript.TestScript, args []string) int {
		if args[0] != "coolhold" || process(ts) {
			return asProcess(ts, args)
		}
		return inside(ts, args[1:], example)
	}
	testscript.Run(t, testscript.Params{
		Dir:   here,
		Setup: func(env *testscript.Env) error { return prepare(env, examples, bin) },
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"coolhold": func(ts *testscript.TestScript, neg bool, args []string) {
				if code := start(ts, append([]string{"coolhold"}, args...)); (code != exitDone) != neg {
					ts.Fatalf("exit code %d", code)
				}
			},
			"exits": exits(start), "holds": holds, "flip": flip, "repeat": repeat, "database": setDatabase(t),
		},
	})
}

// callable is a folder in which this binary has the name of the program.
func callable(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	if runtime.GOOS != "windows" {
		err = os.Symlink(self, filepath.Join(dir, "coolhold"))
	} else if data, e := os.ReadFile(self); e == nil { // links are not for everybody there
		err = os.WriteFile(filepath.Join(dir, "coolhold.exe"), data, 0o700)
	} else {
		err = e
	}
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// asProcess runs a command as the shell does, and gives its exit code.
func asProcess(ts *testscript.TestScript, args []string) int {
	err := ts.Exec(args[0], args[1:]...)
	var ee *exec.ExitError
	if errors.As(err, &ee) {
		return ee.ExitCode()
	}
	ts.Check(err)
	return exitDone
}

// oneFolder is held while a verb is run inside the test: a process has one working
// folder, one environment and one stderr. Nothing else that runs beside the scripts may
// ask for these.
var oneFolder sync.Mutex

// inside runs a verb inside the test, and gives its exit code. The worked example that
// a script begins with is written once, and then copied.
func inside(ts *testscript.TestScript, args []string, example *kept) int {
	oneFolder.Lock()
	defer oneFolder.Unlock()
	if !isExample(ts, args) {
		return runInside(ts, args, ts.Stdout())
	}
	if example.files == nil {
		if code := runInside(ts, args, io.MultiWriter(ts.Stdout(), &example.said)); code != exitDone {
			return code
		}
		example.take(ts, exampleLog)
		return exitDone
	}
	example.give(ts)
	return exitDone
}

// runInside runs a verb in the folder of a script.
func runInside(ts *testscript.TestScript, args []string, stdout io.Writer) int {
	out, errs := output(ts, "stdout"), output(ts, "stderr")
	defer out.end(stdout)
	defer errs.end(ts.Stderr())
	defer moved(ts)()
	defer func(was *os.File) { os.Stderr = was }(os.Stderr)
	os.Stderr = errs.File // some lines go there without asking the edges
	e := realEdges()
	e.in, e.out, e.err, e.getenv = strings.NewReader(""), out.File, errs.File, ts.Getenv
	e.now = func() fusion.Stamp { return readClock(ts.Getenv(clockEnv)) }
	return run(args, e)
}

// An outputFile is where a verb inside the test writes: a file, as behind a redirection.
type outputFile struct {
	*os.File
	ts *testscript.TestScript
}

func output(ts *testscript.TestScript, name string) outputFile {
	f, err := os.CreateTemp("", name)
	ts.Check(err)
	return outputFile{f, ts}
}

// end hands on what was written, and removes the file.
func (o outputFile) end(to io.Writer) {
	_, err := o.Seek(0, io.SeekStart)
	if err == nil {
		_, err = io.Copy(to, o)
	}
	o.ts.Check(errors.Join(err, o.Close(), os.Remove(o.Name())))
}

// askedOfTheSystem is the environment that libraries ask for without the edges.
var askedOfTheSystem = []string{
	"HOME", "USERPROFILE", "TMPDIR", "TMP", "PWD", "XDG_DATA_HOME", "XDG_DATA_DIRS", "XDG_CONFIG_HOME",
	"XDG_CONFIG_DIRS", "XDG_STATE_HOME", "XDG_CACHE_HOME", "XDG_RUNTIME_DIR", "XDG_DOCUMENTS_DIR",
}

// moved goes into the folder and the environment of a script, until back is called.
func moved(ts *testscript.TestScript) (back func()) {
	here, err := os.Getwd()
	ts.Check(err)
	was := map[string]string{}
	for _, name := range askedOfTheSystem {
		was[name] = os.Getenv(name)
		ts.Check(setOrNot(name, ts.Getenv(name)))
	}
	ts.Check(os.Chdir(ts.MkAbs(".")))
	xdg.Reload()
	return func() {
		err := os.Chdir(here)
		for name, value := range was {
			err = errors.Join(err, setOrNot(name, value))
		}
		xdg.Reload()
		ts.Check(err)
	}
}

func setOrNot(name, value string) error {
	if value == "" {
		return os.Unsetenv(name)
	}
	return os.Setenv(name, value)
}

// exampleLog is what scripts call the log that they begin with.
const exampleLog = "example.coolhold"

// isExample tells whether a script begins with the worked example. A second one in the
// same script is a log of its own, and so is one on another clock; how it is written is
// for the script demo.
func isExample(ts *testscript.TestScript, args []string) bool {
	if ts.Name() == "demo" || !slices.Equal(args, []string{"demo", "--keep", exampleLog, "--no-screen"}) {
		return false
	}
	_, err := os.Stat(ts.MkAbs(exampleLog))
	return errors.Is(err, fs.ErrNotExist) && ts.ReadFile(ts.Getenv(clockEnv)) == scriptClock
}

// A kept is what a verb left and said.
type kept struct {
	files map[string][]byte
	said  strings.Builder
}

// take keeps a log and what lies beside it.
func (k *kept) take(ts *testscript.TestScript, log string) {
	files, err := filepath.Glob(ts.MkAbs(log) + "*")
	ts.Check(err)
	k.files = map[string][]byte{}
	for _, file := range files {
		k.files[filepath.Base(file)] = []byte(ts.ReadFile(file))
	}
}

// give puts them into the folder of a script, and says the same.
func (k *kept) give(ts *testscript.TestScript) {
	for name, data := range k.files {
		ts.Check(os.WriteFile(ts.MkAbs(name), data, 0o600))
	}
	_, err := io.WriteString(ts.Stdout(), k.said.String())
	ts.Check(err)
}
