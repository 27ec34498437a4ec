//go:build unix

package tui

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"sync"
	"syscall"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/tui/shell"
)

// A job is the program as its shell sees it: it can be stopped and called up again.
// The screen library can do that too, but waits for ever where nothing can stop it
// (without a shell round it), and looks up from no stop but its own.
type job struct {
	leaves, returns string // what the terminal is told when the shell has it, and after
	still           func(context.Context) (func(), bool)
	mu              sync.Mutex
	called          chan os.Signal // where putting aside waits; nil: it does not
}

func newJob(still func(context.Context) (func(), bool)) *job { return &job{still: still} }

// putAside is the command that gives the terminal back and stops; nil where stopping
// was ruled out by who started the program.
func (j *job) putAside() func(string) tea.Cmd {
	if signal.Ignored(syscall.SIGTSTP) {
		return nil
	}
	return func(says string) tea.Cmd {
		return tea.Exec(&stop{job: j, says: says}, func(err error) tea.Msg {
			switch {
			case errors.Is(err, errEnded):
				return tea.Quit()
			case err != nil:
				return shell.NotAside{}
			}
			return nil
		})
	}
}

// watch takes the terminal again whenever somebody else than putAside stopped the
// program and it goes on: the shell has left it as shells leave it. It ends with what
// it returns.
func (j *job) watch(p *tea.Program) (end func()) {
	signals, done := make(chan os.Signal, 1), make(chan struct{})
	signal.Notify(signals, syscall.SIGCONT)
	go func() {
		for {
			select {
			case s := <-signals:
				if !j.hands(s) {
					p.Send(tea.Exec(again{}, nil)())
				}
			case <-done:
				return
			}
		}
	}()
	return func() { signal.Stop(signals); close(done) }
}

// hands gives a signal to putAside, if that waits.
func (j *job) hands(s os.Signal) bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.called == nil {
		return false
	}
	select {
	case j.called <- s:
	default:
	}
	return true
}

func (j *job) waits(c chan os.Signal) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.called = c
}

// again does nothing: releasing the terminal before it and taking it after it is
// what is wanted.
type again struct{}

func (again) Run() error          { return nil }
func (again) SetStdin(io.Reader)  {}
func (again) SetStdout(io.Writer) {}
func (again) SetStderr(io.Writer) {}

// stop stops the program, the terminal being released.
type stop struct {
	again
	job  *job
	says string
	out  io.Writer
}

// SetStdout is where the words go.
func (s *stop) SetStdout(w io.Writer) { s.out = w }

// The ways in which stopping ends otherwise than by being called up.
var (
	errEnded   = errors.New("ended while it was put aside")
	errNoShell = errors.New("no shell stopped it")
)

// stopsWithin is ample: a stop is there before kill returns. The clock goes on while
// the program is stopped, so after that time a call may still be on its way for once
// as long.
const stopsWithin = 300 * time.Millisecond

// stillWithin is how long a log is waited for that is just read. It is stopped after
// that too: who pressed Ctrl-Z wants the shell.
const stillWithin = 2 * time.Second

// Run stops every process of the group, as the terminal itself would, and waits until
// it is called up. Told to end meanwhile it does: a job that its shell kills must not
// stop again because it is not in the foreground.
func (s *stop) Run() error {
	called, ended := make(chan os.Signal, 1), make(chan os.Signal, 1)
	signal.Notify(ended, syscall.SIGTERM, syscall.SIGHUP)
	defer signal.Stop(ended)
	s.job.waits(called)
	defer s.job.waits(nil)
	if s.job.still != nil {
		ctx, cancel := context.WithTimeout(context.Background(), stillWithin)
		letGo, ok := s.job.still(ctx)
		cancel()
		if ok {
			defer letGo()
		}
	}
	fmt.Fprintln(s.out, s.job.leaves+s.says)
	defer fmt.Fprint(s.out, s.job.returns)
	if err := syscall.Kill(0, syscall.SIGTSTP); err != nil {
		return errNoShell
	}
	err := errNoShell
	for range 2 {
		if comes(called, stopsWithin) {
			err = nil
			break
		}
	}
	select {
	case <-ended:
		signal.Ignore(syscall.SIGTTOU)
		return errEnded
	default:
		return err
	}
}

func comes(c <-chan os.Signal, within time.Duration) bool {
	select {
	case <-c:
		return true
	case <-time.After(within):
		return false
	}
}
