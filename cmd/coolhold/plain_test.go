//go:build unix

package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode"
)

// A reader is a script that plays the program by lines: it reads them one after another
// and gives lines, and knows nothing of a screen.
type reader struct {
	t     *testing.T
	cmd   *exec.Cmd
	in    io.WriteCloser
	lines chan string
	read  []string // so far
	marks int
}

// readsBoard starts the board as lines, in pipes.
func readsBoard(t *testing.T, env []string, args ...string) *reader {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	r := &reader{t: t, cmd: exec.Command(self, append([]string{"--plain"}, args...)...), lines: make(chan string)}
	r.cmd.Env = append(append(os.Environ(), "LC_ALL=", "LC_CTYPE=", "LANG="), env...)
	out, err := r.cmd.StdoutPipe()
	if err == nil {
		r.in, err = r.cmd.StdinPipe()
	}
	if err = errors.Join(err, r.cmd.Start()); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = r.cmd.Process.Kill(); _ = r.cmd.Wait() })
	go func() {
		defer close(r.lines)
		for scan := bufio.NewScanner(out); scan.Scan(); {
			r.lines <- scan.Text()
		}
	}()
	return r
}

// next is the next line; the test ends where none comes.
func (r *reader) next() string {
	r.t.Helper()
	limit, stop := lapse(patience)
	defer stop()
	select {
	case line, more := <-r.lines:
		if more {
			r.read = append(r.read, line)
			return line
		}
		r.t.Fatalf("the lines ended; they were\n%s", strings.Join(r.read, "\n"))
	case <-limit:
		r.t.Fatalf("no line came any more; they were\n%s", strings.Join(r.read, "\n"))
	}
	return ""
}

// hears reads on to a line with a text.
func (r *reader) hears(text string) string {
	r.t.Helper()
	for {
		if line := r.next(); strings.Contains(line, text) {
			return line
		}
	}
}

func (r *reader) gives(lines ...string) {
	r.t.Helper()
	for _, line := range lines {
		r.read = append(r.read, "    << "+line)
		if _, err := io.WriteString(r.in, line+"\n"); err != nil {
			r.t.Fatalf("%v\n%s", err, strings.Join(r.read, "\n"))
		}
	}
}

// A replies are what is given where a line begins so.
type replies [][2]string

// until answers what is asked, by what the lines say, until one holds a text.
func (r *reader) until(text string, with ...replies) {
	r.t.Helper()
	for n := 0; ; n++ {
		line := r.next()
		if strings.Contains(line, text) {
			return
		}
		if n > 500 {
			r.t.Fatalf("the answers lead nowhere\n%s", strings.Join(r.read[len(r.read)-100:], "\n"))
		}
		if reply, is := replyTo(line, with); is {
			r.gives(reply)
		} else if strings.HasPrefix(line, "? ") {
			r.t.Fatalf("nobody knows what to say to %q\n%s", line, strings.Join(r.read, "\n"))
		}
	}
}

func replyTo(line string, with []replies) (string, bool) {
	for _, all := range with {
		for _, one := range all {
			if strings.HasPrefix(line, one[0]) {
				return one[1], true
			}
		}
	}
	return "", false
}

// What a careful operator says in every weld of the shift; "" is Enter.
var asEver = replies{
	{"? fitting, as printed", ""}, {"? print on the pipe", "1"}, {"? batch of the coil", ""}, {"? batch of the chamber", ""}, {"? port this leg", ""},
	{"0  all done", "0"}, {"? scraped with", "1"}, {"? ambient temperature", "8.5"}, {"? this bag prints", "1"},
	{"? the unit's time is", "1"}, {"Enter: it is in the unit", ""}, {"? volts", "1"}, {"? start", "1"},
}

// tells gives a line and is told all that came of it: what no screen understands is
// answered in turn.
func (r *reader) tells(line string) (said []string) {
	r.t.Helper()
	r.marks++
	mark := fmt.Sprintf("mark %d", r.marks)
	r.gives(line, mark)
	for {
		one := r.next()
		if strings.Contains(one, "not understood: \""+mark) {
			return said
		}
		said = append(said, one)
	}
}

// chooses moves to a joint of the board, by the lines that say which is chosen.
func (r *reader) chooses(joint string) {
	r.t.Helper()
	r.tells("pgup")
	r.tells("pgup")
	for said, n := r.tells("again"), 0; !slices.ContainsFunc(said, func(l string) bool { return strings.HasPrefix(l, "* "+joint+" ") }); n++ {
		if n > len(joints) {
			r.t.Fatalf("%s is not on the board\n%s", joint, strings.Join(r.read, "\n"))
		}
		said = r.tells("down")
	}
}

// welds one joint up to the current, as the crew of TestWholeShift does.
func (r *reader) welds(joint string, its replies) {
	r.t.Helper()
	r.chooses(joint)
	r.gives("")
	r.hears("1  weld it")
	r.gives("1")
	r.until("Fusing:", its, asEver)
	r.hears("? how the fusion ended")
}

// The shift of TestWholeShift by a script that reads only lines: holds that overlap, a
// figure that is refused, a fusion that stops, the program killed in a hold, releases,
// the end-of-shift check, and the shift closed.
func TestAWholeShiftByLines(t *testing.T) {
	t.Parallel()
	c := newCrew(t, holdClock(t))
	r := readsBoard(t, c.env)
	r.hears("A fusion table is not read back")
	r.gives("5")
	r.hears("NOT read back")
	r.gives("")
	r.until("(read back by Ada)", replies{{"? every figure", "1"}, {"? compared by", "Ada"}})
	r.gives("leave")
	r.hears("Start a shift: key 3.")
	r.gives("3")
	r.until("Next: 1A, reducer 40x32", replies{
		{"? operator 1: name", "Ada"}, {"? qualification number", ""}, {"? valid to", "2027-01-31"}, {"? another", "2"},
		{"? control unit 1: serial", "U7"}, {"? last calibrated", "2026-01-12"}, {"? does it correct", "2"},
		{"? generator", ""}, {"? thermometer", ""}, {"? weather", "2"}, {"? shelter", "1"},
	})

	r.welds("1A", replies{{"? port this leg", "1"}, {"? batch of the fitting", "B1"}, {"? seconds the unit's", "40"}, {"? resistance", "2.6"}})
	r.fused(c.clock, "1A", 40*time.Second)
	r.welds("TG", replies{{"? batch of the fitting", "B2"}, {"? seconds the unit's", "84"}, {"? resistance", "1.5"}})
	r.fused(c.clock, "TG", 84*time.Second)
	r.stops(c.clock)
	r = r.dies(c)
	r.welds("E1", replies{{"? batch of the fitting", "B3"}, {"? batch of the coil", ""}, {"? position", "N2"}, {"? seconds the unit's", "90"}, {"? resistance", "1.4"}})
	r.fused(c.clock, "E1", 90*time.Second)

	c.clock.pass(11 * time.Minute)
	for _, joint := range []string{"1A", "TG", "E1"} {
		r.releases(joint)
	}
	r.gives("3")
	r.until(": 0 to feel and look at", replies{{"Enter: the next weld", ""}, {"? felt by hand", "0"}, {"? indicator", "1"}, {"? both indicators", "1"}})
	r.gives("9")
	r.until("Start a shift: key 3.", replies{{"? close the shift", "1"}})
	r.gives("leave", "1")
	if err := r.ends(); err != nil {
		t.Errorf("it ended with %v", err)
	}

	rows := c.register()
	every := row{"operator": "Ada", "unit": "U7", "ambient_c": "8.5", "band": "5…14 °C", "scraping_method": "rotary scraper", "volts_set": "39.5"}
	for id, want := range map[string]row{
		"HF-0001": {"joint": "1A", "state": "stands", "fitting_batch": "B1", "port_welded": "1", "seconds_set": "40", "seconds_run": "40", "preparation": "all done", "verdict": "clear"},
		"HF-0002": {"joint": "TG", "state": "stands", "fitting_batch": "B2", "seconds_set": "84", "seconds_run": "84", "preparation": "all done", "verdict": "clear"},
		"HF-0003": {"joint": "2A", "state": "cut out", "fitting_batch": "B1", "outcome": "stopped", "seconds_run": "17", "verdict": "fail"},
		"HF-0004": {"joint": "E1", "state": "stands", "fitting_batch": "B3", "seconds_set": "90", "seconds_run": "90", "preparation": "all done", "verdict": "clear"},
	} {
		rows[id].shows(t, every)
		rows[id].shows(t, want)
	}
	r.neverDraws()
}

// stops: a fusion of 2A stops; cold, it is cut out.
func (r *reader) stops(clock *heldClock) {
	r.t.Helper()
	r.welds("2A", replies{{"? port this leg", "2"}, {"? seconds the unit's", "40"}, {"? resistance", "2.6"}})
	clock.pass(17 * time.Second)
	r.gives("2")
	r.until("Let it cool, then cut it out.", replies{{"? stopped at", "17"}, {"? what the unit said", "volts"}})
	r.gives("")
	clock.pass(6 * time.Minute)
	r.hears("2A is cold: cut it out")
	r.gives("runs")
	r.hears("What runs and what waits")
	for line := ""; !strings.Contains(line, "2A"); {
		if line = r.next(); strings.Contains(line, "2A") {
			r.gives(strings.Fields(strings.TrimPrefix(line, "* "))[0])
		}
	}
	r.until("What runs and what waits", replies{{"? why it was cut out", "stop"}})
	r.gives("leave")
}

// dies: the program is killed in a hold, and read again; what ran goes on.
func (r *reader) dies(c *crew) *reader {
	r.t.Helper()
	r.tells("again") // then all before it is stored
	if err := r.cmd.Process.Kill(); err != nil {
		r.t.Fatal(err)
	}
	c.clock.pass(10 * time.Second)
	again := readsBoard(r.t, c.env)
	again.hears("TG hold ")
	return again
}

// releases a joint whose hold is over.
func (r *reader) releases(joint string) {
	r.t.Helper()
	r.tells("again")
	r.gives("runs")
	r.hears("What runs and what waits")
	r.gives("1")
	r.hears(joint + "  HF-")
	r.until("What runs and what waits", replies{{"? the hold", "0"}, {"? felt by hand", "0"}, {"? indicator", "1"}, {"? both indicators", "1"}})
	r.gives("leave")
}

// ends waits until the program has ended by itself.
func (r *reader) ends() error {
	r.t.Helper()
	limit, stop := lapse(patience)
	defer stop()
	for {
		select {
		case line, more := <-r.lines:
			if !more {
				return r.cmd.Wait()
			}
			r.read = append(r.read, line)
		case <-limit:
			r.t.Fatalf("it does not end; the lines were\n%s", strings.Join(r.read, "\n"))
		}
	}
}

// neverDraws: nothing in the lines moves a cursor or is drawn over, and no line follows
// on the same line unasked.
func (r *reader) neverDraws() {
	r.t.Helper()
	for i, line := range r.read {
		if strings.ContainsFunc(line, unicode.IsControl) {
			r.t.Errorf("%q moves a cursor", line)
		}
		if i > 0 && line == r.read[i-1] {
			r.t.Errorf("%q is said twice", line)
		}
	}
}

// fused lets the fusion of a joint run to its end and says what is seen.
func (r *reader) fused(clock *heldClock, joint string, seconds time.Duration) {
	r.t.Helper()
	clock.pass(seconds + time.Second)
	r.hears(joint + " FUSION ENDED")
	r.hears("FUSION TIME IS OVER")
	r.gives("1")
	r.until("Write on the pipe:", replies{
		{"? seconds the unit says", fmt.Sprint(seconds.Seconds())},
		{"? melt, wire, marks", "0"}, {"? indicator", "1"}, {"? both indicators", "1"},
	})
	r.gives("")
	clock.pass(time.Minute) // the leads are not moved faster
}

// Where the lines end, what was answered is stored before the program ends; a word that
// is no answer is said to be none, and stores nothing.
func TestLinesThatEnd(t *testing.T) {
	t.Parallel()
	c := newCrew(t, holdClock(t))
	r := readsBoard(t, c.env)
	r.hears("A fusion table is not read back")
	r.gives("5", "first", "", "1", "Ada")
	if err := r.in.Close(); err != nil {
		t.Fatal(err)
	}
	if err := r.ends(); err != nil {
		t.Errorf("it ended with %v", err)
	}
	said := strings.Join(r.read, "\n")
	if !strings.Contains(said, `not understood: "first". Give a digit, or one of: back,`) {
		t.Errorf("the lines were\n%s", said)
	}
	readsBoard(t, c.env).hears("Start a shift: key 3.") // the table is read back
}

// In a terminal too nothing is drawn over; signs and signals are heard as elsewhere.
func TestLinesInATerminal(t *testing.T) {
	t.Parallel()
	c := newCrew(t, holdClock(t))
	x := openBoard(t, append(c.env, "LANG=C", "TERM=dumb"), "--plain")
	x.waitFor("A fusion table is not read back")
	x.typeText("9")
	x.press("enter")
	x.waitFor("keys: ")
	c.terminal = x
	c.signals(syscall.SIGTERM)
	if code := x.exitCode(); code != exitDone {
		t.Errorf("exit code %d\n%s", code, x.screen())
	}
	<-x.ended
	for _, r := range string(x.said) {
		if r >= 0x80 || unicode.IsControl(r) && r != '\r' && r != '\n' {
			t.Fatalf("%q is sent to the terminal:\n%q", r, x.said)
		}
	}
}
