package main

import (
	"bufio"
	"context"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/store"
	"coolhold/logbook/store/soaktest"
)

// What happens to the program from outside where there is no pseudo-terminal, as on
// Windows: it is killed, and others have its files. The site is invented.

// partEnv makes the test binary one of the programs in parts, on the log of COOLHOLD_LOG.
const partEnv = "COOLHOLD_TEST_PART"

// parts are those programs. Each says a line on stdout when it has come somewhere.
var parts = map[string]func(*testing.T){"crew": aCrew, "clerk": aClerk, "holder": aHolder, "reader": aReader}

const (
	hillfootPlan = "../../testdata/plans/hillfoot.toml"
	valleyTable  = "../../testdata/tables/valley.toml"
)

// TestPart is no test, but a program of the others.
func TestPart(t *testing.T) {
	if part := parts[os.Getenv(partEnv)]; part != nil {
		part(t)
		os.Exit(0)
	}
	t.Skip("it is run by the tests that follow")
}

// A part is such a program while it runs.
type part struct {
	cmd *exec.Cmd
	in  func(string)
	out *bufio.Reader
}

func startPart(t *testing.T, name string, env []string) *part {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, "-test.run=^TestPart$")
	cmd.Env = append(append(os.Environ(), env...), partEnv+"="+name, selfEnv+"=") // it is the test, not the program
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	p := &part{cmd: cmd, out: bufio.NewReader(out)}
	p.in = func(line string) {
		if _, err := fmt.Fprintln(in, line); err != nil {
			t.Error(err)
		}
	}
	t.Cleanup(func() { p.kill() })
	return p
}

// says is the next line of a part; "" once it has ended. A line that a kill cut short
// was not said.
func (p *part) says() string {
	line, err := p.out.ReadString('\n')
	if err != nil {
		return ""
	}
	return strings.TrimRight(line, "\r\n")
}

// until reads up to the line that begins so.
func (p *part) until(t *testing.T, begin string) string {
	t.Helper()
	var all []string
	for {
		line := p.says()
		if strings.HasPrefix(line, begin) {
			return line
		}
		if all = append(all, line); line == "" {
			t.Fatalf("it ended before %q; it said:\n%s", begin, strings.Join(all, "\n"))
		}
	}
}

// kill ends it at once, SIGKILL or what the system has for it, and gives what it still
// said before.
func (p *part) kill() (said []string) {
	_ = p.cmd.Process.Kill() // may have ended
	for line := p.says(); line != ""; line = p.says() {
		said = append(said, line)
	}
	_ = p.cmd.Wait() // killed
	if runtime.GOOS == "windows" {
		// Under wine the end of a program is told, and its locks are let go, before the
		// write that it was in is done: the next program would be written over.
		<-time.After(time.Second)
	}
	return said
}

// atWork is a door at the log of a part.
func atWork(t *testing.T) *door {
	log := os.Getenv("COOLHOLD_LOG")
	seed := [32]byte{31: 1} // never that of the door which made the log, nor that of another part
	binary.LittleEndian.PutUint64(seed[:], uint64(os.Getpid()))
	return &door{t: t, dir: filepath.Dir(log), log: log, now: readClock(os.Getenv(clockEnv)), rnd: rand.NewChaCha8(seed)}
}

// aCrew makes a weld at the keys of a board, station by station, and stays in its hold.
// Each station is said when all of it is stored; it goes on to the next when it is told.
func aCrew(t *testing.T) {
	d := atWork(t)
	b := d.board()
	told := bufio.NewScanner(os.Stdin)
	for i, station := range stationsOf(b) {
		station()
		fmt.Println("stored", i, d.now.Wall.UnixMilli(), d.now.Boot.Milliseconds())
		told.Scan() // to go on, or it is killed
	}
	told.Scan()
}

// stationsOf are the parts of a shift up to the hold of its first weld, and of that hold.
// The figures are those of the invented table valley.toml.
func stationsOf(b *hand) []func() {
	m := welded("1A", func(m *making) {
		m.port, m.batch, m.bag, m.ambient, m.ohms, m.who, m.unit = "1", "B1", "1", "8.5", "2.6", "", ""
	})
	all := []func(){
		func() { readsValleyBack(b) }, func() { startsAdasShift(b) },
		func() { b.begins(m) }, func() { b.fits(m) }, func() { b.prepares(m) }, func() { b.measures(m) }, func() { b.sets(m) },
		func() { b.answers("start", "1"); b.sees("Fusing:") },
		func() { b.passes(41 * time.Second); b.answers("how the fusion ended", "1") },
		func() { b.looks(m); b.sees("1A hold ") },
	}
	for range 8 { // two minutes of beats
		all = append(all, func() { b.passes(15 * time.Second); b.sees("1A hold ") })
	}
	return all
}

func readsValleyBack(b *hand) {
	b.press("5", "enter", "pgdown", "pgdown", "enter")
	b.answers("every figure is as printed", "1")
	b.types("compared by", "Ada")
	b.press("esc")
}

func startsAdasShift(b *hand) {
	b.press("3")
	b.types("operator 1: name", "Ada")
	b.press("enter") // no number
	b.write("2027-01-31")
	b.press("2") // nobody else
	b.types("control unit 1: serial", "U7")
	b.write("2026-01-12")
	b.answers("does it correct", "2")
	b.answers("another control unit", "2")
	b.press("enter", "enter") // no generator, no thermometer named
	b.answers("weather", "2", "1")
	b.sees("Next: 1A, reducer 40x32")
}

// aClerk stores one note after another by the verb, and says each that it was told is
// stored.
func aClerk(t *testing.T) {
	d := atWork(t)
	for i := 0; ; i++ {
		note := fmt.Sprintf("%d-%d", os.Getpid(), i)
		if said, code := d.verb("happened", "--what", "other", "--on", d.today(), "--by", "Ada", note); code != exitDone {
			t.Fatalf("exit code %d: %s", code, said)
		}
		fmt.Println("noted", note)
	}
}

func entriesIn(t *testing.T, log string) int {
	t.Helper()
	snap, err := store.ReadAll(context.Background(), log)
	if err != nil {
		t.Fatal(err)
	}
	return len(snap.Entries)
}

// fewer is n in a soak, and a share of it in every test.
func fewer(t *testing.T, n int) int {
	t.Helper()
	return soaktest.Rounds(t, (n+2)/3, n, n)
}

// Killed in the middle of any station and of the hold: what was said to be stored is
// stored, the log holds, and the hold is never shorter than it is, after a start of the
// machine neither.
func TestKilledAtTheKeys(t *testing.T) {
	t.Parallel()
	first := atHillfoot(t)
	b := first.board()
	var stored []int // entries after each station
	for _, station := range stationsOf(b) {
		station()
		stored = append(stored, entriesIn(t, first.log))
	}
	random, midway := rand.New(rand.NewPCG(1, 2)), 0
	for kill := range fewer(t, len(stored)) {
		kill = kill * len(stored) / fewer(t, len(stored))
		d := atHillfoot(t)
		crew := startPart(t, "crew", append(holdClock(t).env(), "COOLHOLD_LOG="+d.log))
		said := 0
		for range kill + 1 {
			said = d.hears(crew.until(t, "stored"))
			crew.in("on")
		}
		for range random.IntN(2000) { // dies at another place each time
			_, _ = os.Stat(d.log)
		}
		for _, line := range crew.kill() {
			said = d.hears(line)
		}
		has := entriesIn(t, d.log)
		if has < stored[said] {
			t.Fatalf("killed after station %d: there are %d entries, %d were said to be stored", said, has, stored[said])
		}
		if said < len(stored)-1 {
			midway++
		}
		t.Logf("killed after station %d of %d, with %d entries, %d at its end", said, len(stored), has, stored[said])
		d.survived()
	}
	if midway < fewer(t, len(stored))/2 {
		t.Errorf("only %d were killed before they were done", midway)
	}
}

// atHillfoot is a door at a site that is just opened, at the moment that a held clock
// begins with.
func atHillfoot(t *testing.T) *door {
	t.Helper()
	d := newDoor(t, "2026-03-09 08:00")
	d.now = readClock(holdClock(t).file)
	d.does(exitDone, "site", "new", "--tag", "HF", "--plan", hillfootPlan, "--table", valleyTable)
	return d
}

// hears takes the station that a crew says is stored, and its time.
func (d *door) hears(line string) (station int) {
	d.t.Helper()
	var wall, boot int64
	if _, err := fmt.Sscanf(line, "stored %d %d %d", &station, &wall, &boot); err != nil {
		d.t.Fatalf("%q: %v", line, err)
	}
	d.now.Wall, d.now.Boot = time.UnixMilli(wall).UTC(), time.Duration(boot)*time.Millisecond
	return station
}

// survived looks at a log whose program was killed, a minute later and once more after
// a start of the machine.
func (d *door) survived() {
	d.t.Helper()
	if said, code := d.verb("verify", "--deep"); code != exitDone {
		d.t.Fatalf("exit code %d: %s", code, said)
	}
	began := d.holdBegan()
	d.now = d.now.Add(time.Minute)
	d.holdLasts(began, true)
	d.restarts(time.Minute)
	d.holdLasts(began, false)
}

// holdBegan is when the fusion was said to have ended, zero while it is not.
func (d *door) holdBegan() (at time.Time) {
	snap, err := store.ReadAll(context.Background(), d.log)
	if err != nil {
		d.t.Fatal(err)
	}
	for _, e := range snap.Entries {
		if _, is := e.Open().(logbook.FusionEnded); is {
			at = e.At.Wall
		}
	}
	return at
}

var holdOn1A = regexp.MustCompile(`1A hold (\d+):(\d\d)`)

// holdLasts opens the board and holds what it shows against what it is; exact where the
// machine stayed on.
func (d *door) holdLasts(began time.Time, exact bool) {
	d.t.Helper()
	frame := d.board().frame()
	left := 6*time.Minute - d.now.Wall.Sub(began)
	if began.IsZero() || left <= 0 {
		return
	}
	m := holdOn1A.FindStringSubmatch(frame)
	if m == nil {
		d.t.Fatalf("no hold of 1A, of which %v is left:\n%s", left, frame)
	}
	shown, err := time.ParseDuration(m[1] + "m" + m[2] + "s")
	if err != nil || shown < left.Truncate(time.Second) || exact && shown > left+time.Second {
		d.t.Errorf("the hold is shown as %v, %v is left", shown, left)
	}
}

// Killed while a verb stores, again and again: whatever was said to be stored is.
func TestKilledVerbs(t *testing.T) {
	d := atHillfoot(t)
	env := append(holdClock(t).env(), "COOLHOLD_LOG="+d.log)
	said := 0
	for round := range fewer(t, 12) {
		clerk := startPart(t, "clerk", env)
		var noted []string
		for range round % 4 {
			noted = append(noted, clerk.until(t, "noted"))
		}
		noted = append(noted, clerk.kill()...)
		snap, err := store.ReadAll(context.Background(), d.log)
		if err != nil {
			t.Fatal(err)
		}
		has := map[string]bool{}
		for _, e := range snap.Entries {
			if b, is := e.Open().(logbook.Happened); is {
				has["noted "+b.Text] = true
			}
		}
		for _, n := range noted {
			if !has[n] {
				t.Errorf("round %d: %q was said to be stored, and is not", round, n)
			}
		}
		said += len(noted)
	}
	if told, code := d.verb("verify", "--deep"); code != exitDone {
		t.Errorf("exit code %d: %s", code, told)
	}
	if said < 4 {
		t.Errorf("only %d were stored: the rounds did not write", said)
	}
}
