//go:build unix

package main

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
)

// holds takes the log as another program would, until it is let go.
func (c *crew) holds() (letGo func()) {
	c.t.Helper()
	db, err := bolt.Open(c.log, 0, &bolt.Options{Timeout: patience})
	if err != nil {
		c.t.Fatal(err)
	}
	return func() {
		if err := db.Close(); err != nil {
			c.t.Error(err)
		}
	}
}

// answersWait is a crew whose answers wait for the log, which is held.
func answersWait(t *testing.T) (c *crew, letGo func()) {
	t.Helper()
	c = readyToWeld(t, holdClock(t))
	c.opensJoint("1A")
	c.waitFor("1  weld it")
	letGo = c.holds()
	c.press("1")
	c.fits("1", "B1")
	c.waitFor("step 2 of 9: preparation")
	c.waitFor("storing")
	c.waitFor("not stored yet")
	if strings.Contains(c.screen(), "NOT STORED") {
		t.Errorf("said of answers that wait:\n%s", c.screen())
	}
	return c, letGo
}

// Answers wait for a log that another program has, and are stored once it lets go.
func TestAnswersWaitForTheLog(t *testing.T) {
	t.Parallel()
	c, letGo := answersWait(t)
	if who := fmt.Sprintf("(process %d)", os.Getpid()); !strings.Contains(c.screen(), who) && !strings.Contains(c.screen(), "another program") {
		t.Errorf("neither %s nor nobody is named:\n%s", who, c.screen())
	}
	letGo()
	c.waitGone("storing")
	c.waitGone("not stored yet")
	c.register()["HF-0001"].shows(t, row{"fitting": "reducer 40x32", "fitting_batch": "B1"})
}

// Whatever signal ends the board, what was answered is stored before it ends, the
// terminal being given back.
func TestEveryEndStoresWhatWaits(t *testing.T) {
	t.Parallel()
	for name, end := range map[string]func(*crew){
		"hangup":    func(c *crew) { c.signals(syscall.SIGHUP) },
		"terminate": func(c *crew) { c.signals(syscall.SIGTERM) },
		"interrupt": func(c *crew) { c.signals(syscall.SIGINT) },
		"Ctrl-C twice": func(c *crew) {
			c.press("ctrl+c")
			c.waitFor("Leaving when all is stored")
			c.press("ctrl+c")
		},
	} {
		t.Run(name, func(t *testing.T) {
			c, letGo := answersWait(t)
			end(c)
			c.waitFor("answers are being stored: wait, at most")
			c.waitGone("step 2 of 9")
			letGo()
			if code := c.exitCode(); code != exitDone {
				t.Errorf("exit code %d\n%s", code, c.screen())
			}
			c.register()["HF-0001"].shows(t, row{"fitting": "reducer 40x32", "fitting_batch": "B1"})
		})
	}
}

func (c *crew) signals(s syscall.Signal) {
	c.t.Helper()
	if err := c.cmd.Process.Signal(s); err != nil {
		c.t.Fatal(err)
	}
}

// Where it cannot be stored the program says of what, on a terminal that is given
// back, and ends with the log's exit code; another signal spares the wait.
func TestTheEndSaysWhatIsNotStored(t *testing.T) {
	t.Parallel()
	c, letGo := answersWait(t)
	c.signals(syscall.SIGTERM)
	c.waitFor("answers are being stored: wait, at most")
	c.signals(syscall.SIGTERM)
	if code := c.exitCode(); code != exitLog {
		t.Errorf("exit code %d", code)
	}
	<-c.ended
	said := strings.Join(strings.Fields(c.screen()), " ")
	if !strings.Contains(said, "coolhold: NOT STORED: ") || !strings.Contains(said, "fitting") || !strings.Contains(said, "in use by another program") {
		t.Errorf("said:\n%s", c.screen())
	}
	letGo()
	if _, there := c.register()["HF-0001"]; there {
		t.Error("it is stored, and was said to be not stored")
	}
}

// A verb waits for the log too, and says for whom.
func TestAVerbWaitsForTheLog(t *testing.T) {
	t.Parallel()
	c := newCrew(t, holdClock(t))
	letGo := c.holds()
	cmd := exec.Command(os.Args[0], "audit")
	cmd.Env = append(os.Environ(), c.env...)
	errs, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	line, err := bufio.NewReader(errs).ReadString('\n')
	letGo()
	if err != nil || !strings.Contains(line, "has the log; waiting, at most 10s") {
		t.Errorf("%q, %v", line, err)
	}
	if err := cmd.Wait(); cmd.ProcessState.ExitCode() > exitFindings {
		t.Errorf("after %v: %v", time.Since(began), err)
	}
}

// A paste whose end never comes, or comes after long, leaves the keys alive.
func TestAPasteWithoutAnEnd(t *testing.T) {
	t.Parallel()
	c := readyToWeld(t, holdClock(t))
	for _, begun := range []string{"\x1b[200~", "\x1b[200~4006123", "\x1b[200~\x1b[200~x"} {
		c.press("8")
		c.waitFor("2  theme")
		c.burst(begun)
		c.untilRead()
		c.press("esc")
		c.waitGone("2  theme")
	}
	c.burst("\x1b[200~half a pas")
	c.untilRead()
	c.press("ctrl+c")
	if code := c.exitCode(); code != exitDone {
		t.Errorf("exit code %d", code)
	}
}
