//go:build unix

package main

import (
	"errors"
	"fmt"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/hinshun/vt10x"
)

// shellIn starts a shell script in a terminal.
func shellIn(t *testing.T, script string) *terminal {
	t.Helper()
	return startTerminal(t, 40, 6, nil, "sh", "-c", script)
}

func TestTerminalShowsAndTypes(t *testing.T) {
	x := shellIn(t, `printf hello; read x; printf 'got %s' "$x"`)
	x.waitFor("hello")
	x.typeText("40 s")
	x.press("enter")
	x.waitFor("got 40 s")
	if got, want := x.screen(), "hello40 s\ngot 40 s\n\n\n\n"; got != want {
		t.Errorf("screen %q, want %q", got, want)
	}
	if got := x.exitCode(); got != 0 {
		t.Errorf("exit code %d, want 0", got)
	}
}

func TestTerminalKeepsTheLastWords(t *testing.T) {
	for range 20 {
		x := shellIn(t, `printf 'last words'; exit 7`)
		if got := x.exitCode(); got != 7 {
			t.Fatalf("exit code %d, want 7", got)
		}
		x.waitFor("last words")
	}
}

func TestTerminalWaitsUntilGone(t *testing.T) {
	x := shellIn(t, `printf hello; read x; printf '\033[2J\033[Hbye'`)
	x.waitFor("hello")
	x.press("enter")
	x.waitGone("hello")
	x.waitFor("bye")
}

func TestTerminalSaysWhatItSees(t *testing.T) {
	never := func() bool { return false }
	x := shellIn(t, `printf hello; read x`)
	x.waitFor("hello")
	err := x.await(never, 10*time.Millisecond)
	if want := "waited for 10ms ("; err == nil || !strings.HasPrefix(err.Error(), want) || !strings.HasSuffix(strings.TrimSpace(err.Error()), "; the screen:\nhello") {
		t.Errorf("got %v, want %q", err, want)
	}
	x.press("enter")
	err = x.await(never, patience)
	if want := "the program has ended; the screen:\nhello"; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want %q", err, want)
	}
}

func TestTerminalMissesNoChange(t *testing.T) {
	x := &terminal{vt: vt10x.New(), changed: make(chan struct{}), ended: make(chan struct{})}
	looks := 0
	second := func() bool { // the screen changes just after the first look
		looks++
		if looks == 1 {
			x.tell()
		}
		return looks == 2
	}
	if err := x.await(second, time.Second); err != nil {
		t.Errorf("a change right after a look was missed: %v", err)
	}
	close(x.ended)
	looks = 1
	third := func() bool { looks++; return looks == 3 }
	if err := x.await(third, time.Second); err != nil {
		t.Errorf("the last change before the end was missed: %v", err)
	}
}

// Each key arrives in a read of its own, however slowly the program reads.
func TestTerminalKeysComeSingly(t *testing.T) {
	x := startTerminal(t, 80, 6, nil, "sh", "-c", `stty raw -echo; printf 'ready '
		for i in 1 2 3 4 5 6 7 8; do dd bs=64 count=1 2>/dev/null | od -An -tx1 | tr -d ' \n'; printf ,; done`)
	x.waitFor("ready")
	began := time.Now()
	x.press("4", "ü", "esc", "up", "backspace", "tab", "ctrl+c", "enter")
	took := time.Since(began)
	x.waitFor("ready 34,c3bc,1b,1b5b41,7f,09,03,0d,")
	if least := 7 * handGap; took < least {
		t.Errorf("eight keys within %v, want %v or more", took, least)
	}
}

// A program too slow for the hand still gets its keys one by one, and the
// pause before the next one starts when it has read the last.
func TestTerminalWaitsForASlowProgram(t *testing.T) {
	x := shellIn(t, `stty raw -echo; printf 'ready '; sleep 0.2
		for i in 1 2 3; do dd bs=64 count=1 2>/dev/null; printf ,; done`)
	x.waitFor("ready")
	x.press("0")
	read := time.Now()
	x.press("4")
	if took := time.Since(read); took < handGap/2 {
		t.Errorf("the next key came %v after the last was read, want %v", took, handGap)
	}
	x.press("0")
	x.waitFor("ready 0,4,0,")
}

func TestTerminalBurst(t *testing.T) {
	x := shellIn(t, `stty raw -echo; printf 'ready '; dd bs=1 count=50 2>/dev/null | tr '\r' .`)
	x.waitFor("ready")
	code := strings.Repeat("4006123", 7)
	x.burst(strings.Split(code+"\r", "")...)
	x.waitFor("ready " + code[:34] + "\n" + code[34:] + ".")
	if x.paused > 0 {
		t.Errorf("between fifty chunks there were pauses, %v in all", x.paused)
	}
}

func TestTerminalAnswersOrIsSilent(t *testing.T) {
	const ask = `stty raw -echo min 0 time %d; printf '\033[6n'
		n=$(dd bs=64 count=1 2>/dev/null | wc -c); printf '%%d bytes' $n`
	x := startTerminal(t, 40, 6, nil, "sh", "-c", fmt.Sprintf(ask, 100))
	x.waitFor("6 bytes")
	if got := x.questions(); len(got) != 1 || got[0] != "\x1b[6n" {
		t.Errorf("heard the questions %q", got)
	}
	x = startSilentTerminal(t, 40, 6, nil, "sh", "-c", fmt.Sprintf(ask, 1))
	x.waitFor("0 bytes")
}

func TestTerminalEnvironment(t *testing.T) {
	t.Setenv("NO_COLOR", "1")
	x := startTerminal(t, 40, 6, []string{"TERM=dumb", "PLACE=Musterhausen"}, "sh", "-c", `echo "$TERM,$NO_COLOR,$PLACE."`)
	x.waitFor("dumb,,Musterhausen.")
}

func TestTerminalResize(t *testing.T) {
	x := shellIn(t, `stty size; read x; stty size; read x`)
	x.waitFor("6 40")
	x.resize(100, 30)
	x.press("enter")
	x.waitFor("30 100")
	if rows := strings.Count(x.screen(), "\n") + 1; rows != 30 {
		t.Errorf("%d rows on the screen, want 30", rows)
	}
}

func TestTerminalKill(t *testing.T) {
	x := shellIn(t, `printf up; sleep 1000; printf down`)
	x.waitFor("up")
	x.kill()
	if err := syscall.Kill(x.cmd.Process.Pid, 0); !errors.Is(err, syscall.ESRCH) {
		t.Errorf("the program is still there: %v", err)
	}
	if got := x.exitCode(); got != -1 {
		t.Errorf("exit code %d, want -1", got)
	}
	x.kill() // a second time does no harm
}

func TestTerminalBells(t *testing.T) {
	x := shellIn(t, `printf '\a\033]0;title\aone\033[1m\a\033]0;title\033\\\a done'`)
	x.waitFor("one done")
	if got := x.bells(); got != 3 {
		t.Errorf("%d bells, want 3", got)
	}
}

// A rune whose bytes come in two pieces is still one rune.
func TestTerminalSplitRune(t *testing.T) {
	x := shellIn(t, `stty -echo; printf 'a\303'; read x; printf '\274b'`)
	x.waitFor("a")
	x.press("enter")
	x.waitFor("aüb")
}
