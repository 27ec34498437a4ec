package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"coolhold/logbook/store/soaktest"
)

// flips is how many bits of the file are turned, each seen by two programs; make flips
// turns the 2,000.
func flips(t *testing.T) int {
	t.Helper()
	return soaktest.Rounds(t, 20, 2000, 20_000)
}

// limited runs a verb in a process of its own that is not waited for too long.
func limited(t *testing.T, env []string, args ...string) ran {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Error(err)
		return ran{code: -1}
	}
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	var out, errs strings.Builder
	cmd := exec.CommandContext(ctx, self, args...)
	cmd.Env = append(os.Environ(), env...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	var ee *exec.ExitError
	if err := cmd.Run(); err != nil && !errors.As(err, &ee) || ctx.Err() != nil {
		t.Errorf("%s: %v, %v", args, err, ctx.Err())
	}
	return ran{cmd.ProcessState.ExitCode(), out.String(), errs.String()}
}

// A flipper turns bits of a log of its own, one at a time, and holds what the
// verbs say against what they said of the sound log.
type flipper struct {
	t              *testing.T
	s              *soaktest.Soak
	env            []string
	log            string
	data           []byte
	register, sure ran // of the sound log
	refused, found int // by register, by verify
}

func (f *flipper) asked(args ...string) ran {
	return limited(f.t, f.env, append(args, "--log", f.log)...)
}

// turn turns one bit, lets both verbs look, and turns it back.
func (f *flipper) turn(at int, bit byte) {
	f.s.Ran()
	f.write(at, f.data[at]^bit)
	what := fmt.Sprintf("byte %d turned by %#x", at, bit)
	f.refused += f.outcome(what+", register", f.asked("register"), f.register, false)
	f.found += f.outcome(what+", verify", f.asked("verify"), f.sure, true)
	f.write(at, f.data[at])
}

func (f *flipper) write(at int, b byte) {
	file, err := os.OpenFile(f.log, os.O_WRONLY, 0)
	if err == nil {
		_, err = file.WriteAt([]byte{b}, int64(at))
		err = errors.Join(err, file.Close())
	}
	if err != nil {
		f.t.Error(err)
	}
}

// outcome is 1 for a refusal in one clear line, 0 for the right answer.
func (f *flipper) outcome(what string, got, want ran, lists bool) int {
	if got == want {
		return 0
	}
	clear := got.code == exitLog && strings.Count(got.err, "\n") == 1 && strings.HasPrefix(got.err, "coolhold: "+f.log+": ")
	if !clear || got.out != "" && !lists {
		f.s.Lies("%s: exit code %d\n%.300s\n%.2000s", what, got.code, got.out, got.err)
	}
	return 1
}

// places draws where to turn bits: every second one anywhere in the file, the
// others where something is written.
func places(random *rand.Rand, data []byte, n int) (at []int) {
	for len(at) < n {
		i := random.IntN(len(data))
		if len(at)%2 == 0 || data[i] != 0 {
			at = append(at, i)
		}
	}
	return at
}

// newFlipper writes the sound log once more and asks what is right to say of it.
func newFlipper(t *testing.T, s *soaktest.Soak, env []string, path string, data, journal []byte) *flipper {
	t.Helper()
	f := &flipper{t: t, s: s, env: env, data: data, log: path}
	if err := errors.Join(os.WriteFile(path, data, 0o600), os.WriteFile(path+".journal", journal, 0o600)); err != nil {
		t.Fatal(err)
	}
	f.register, f.sure = f.asked("register"), f.asked("verify")
	if f.register.code != 0 || !strings.Contains(f.register.out, "XM-0001") || f.sure.code != 0 || !strings.Contains(f.sure.out, "signed by") {
		t.Fatal(f.register, f.sure)
	}
	return f
}

// sealedExample is the worked example, sealed: its file, its journal and the
// environment in which a program knows the key.
func sealedExample(t *testing.T) (data, journal []byte, env []string) {
	t.Helper()
	e, key, _ := sealEdges(t)
	e.rand = rand.NewChaCha8([32]byte{9}) // the same entries each time; bbolt lays their pages out as it likes
	path := filepath.Join(t.TempDir(), "example.coolhold")
	_, _, err := writeExample(e, path, "")
	if err == nil {
		_, err = sealNow(e, path, head(e, "Ada Invented"), "")
	}
	if err != nil {
		t.Fatal(err)
	}
	data, err = os.ReadFile(path)
	journal, err2 := os.ReadFile(path + ".journal")
	if err := errors.Join(err, err2); err != nil {
		t.Fatal(err)
	}
	return data, journal, append(holdClock(t).env(), "COOLHOLD_KEY="+key)
}

// Whatever bit of the file is turned: the register is the right one byte for
// byte, or it is refused in one clear line; and so is what verify says.
func TestSoakFlipsRead(t *testing.T) {
	t.Parallel()
	s := soaktest.New(t, "one bit of the file, read", "drawn by seed from the file; register and verify look, and say the same as of the sound log or refuse in one line")
	data, journal, env := sealedExample(t)
	dir := t.TempDir()
	all := make([]*flipper, 2)
	for i := range all {
		all[i] = newFlipper(t, s, env, filepath.Join(dir, fmt.Sprint(i, ".coolhold")), data, journal)
	}
	at := places(rand.New(rand.NewPCG(20260309, 1)), data, flips(t))
	var running sync.WaitGroup
	for i, f := range all {
		running.Go(func() {
			for n := i; n < len(at); n += len(all) {
				f.turn(at[n], 1<<(n/2%8))
			}
		})
	}
	running.Wait()
	if t.Failed() {
		keepFor(t, data)
	}
	refused, found := 0, 0
	for _, f := range all {
		refused, found = refused+f.refused, found+f.found
		if now, err := os.ReadFile(f.log); err != nil || !bytes.Equal(now, data) {
			s.Loses("a verb that reads changed the log (%v)", err)
		}
	}
	s.Counts("register refused %d, verify found %d", refused, found)
	// verify finds what register goes past; of twenty bits there may be none such.
	if refused == 0 || found < refused || len(at) > 100 && found == refused || found == len(at) {
		t.Error("the flips did not show the difference between a sound log and a spoilt one")
	}
}

// keepFor keeps the log of a failed test: its pages will not lie like that again.
func keepFor(t *testing.T, data []byte) {
	t.Helper()
	f, err := os.CreateTemp("", "flips-*.coolhold")
	if err == nil {
		_, err = f.Write(data)
		err = errors.Join(err, f.Close())
		t.Logf("the sound log is kept in %s (%v)", f.Name(), err)
	}
}
