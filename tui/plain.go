package tui

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/tui/shell"
	"coolhold/tui/speech"
	"coolhold/tui/widget"
)

// A speaker is the screens for who sees no window: lines come in, lines go out, and
// nothing is ever drawn over. It drives the same model as Run, by an own loop: the
// library's own would read keys and not lines.
type speaker struct {
	m    guarded
	out  io.Writer
	sign func(string) string
	mono time.Duration // of the keys: each comes a second after the one before, as no scanner types
	said speech.Speech
	msgs chan tea.Msg
	over chan struct{} // closed once nobody hears messages any more
}

// The window that the lines are taken from: so wide that no line is cut, and as high as
// is still read out.
const (
	spokenWide = 200
	spokenHigh = 60
)

// plainly runs the screens as lines until somebody leaves, or the lines end, or a
// signal comes. What they were asked to store is stored before it returns, as in Run.
func plainly(o Program) error {
	trace := ""
	s := &speaker{out: o.Out, sign: func(text string) string { return text }, msgs: make(chan tea.Msg), over: make(chan struct{})}
	if o.ASCII {
		s.sign = widget.ASCII
	}
	o.Mono = func() time.Duration { return s.mono }
	s.m = guarded{New(o), &trace}
	ctx, hurry := context.WithCancel(context.Background())
	defer hurry()
	s.serve(linesOf(o.In, s.over), o.Quit)
	close(s.over)
	go func() {
		select {
		case <-o.Quit:
			hurry()
		case <-ctx.Done():
		}
	}()
	err := drained(ctx, s.m, o.Out)
	if trace != "" {
		return errors.Join(failed(o.Trace(trace)), err)
	}
	return err
}

func (s *speaker) root() shell.Root { return s.m.m.(shell.Root) }

// serve hears messages and, once what the last line led to is there, the next line.
func (s *speaker) serve(lines <-chan string, quit <-chan struct{}) {
	s.run(s.m.Init())
	s.send(tea.WindowSizeMsg{Width: spokenWide, Height: spokenHigh})
	var giveUp <-chan time.Time
	for {
		var next <-chan string
		if s.root().Listens() {
			next = lines
		}
		select {
		case msg := <-s.msgs:
			if !s.send(msg) {
				return
			}
			s.say(false)
		case line, more := <-next:
			if !more { // who gave them is gone: leave as with Ctrl-C
				lines, giveUp = nil, time.After(drainMost)
				if !s.send(tea.KeyMsg{Type: tea.KeyCtrlC}) {
					return
				}
				continue
			}
			if !s.hear(line) {
				return
			}
		case <-giveUp:
			return
		case <-quit:
			return
		}
	}
}

// send gives the model a message; false where that ends it.
func (s *speaker) send(msg tea.Msg) bool {
	if _, ends := msg.(tea.QuitMsg); ends {
		return false
	}
	m, cmd := s.m.Update(msg)
	s.m = m.(guarded)
	s.run(cmd)
	return true
}

// run carries a command out beside the loop, as the library does.
func (s *speaker) run(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	go func() {
		msg := cmd()
		if batch, is := msg.(tea.BatchMsg); is {
			for _, c := range batch {
				s.run(c)
			}
			return
		}
		if msg == nil {
			return
		}
		select {
		case s.msgs <- msg:
		case <-s.over:
		}
	}()
}

// say says what is new.
func (s *speaker) say(given bool) (lines int) {
	next, out := s.said.Next(s.root().Spoken(), given)
	s.said = next
	s.print(out)
	return len(out)
}

func (s *speaker) print(lines []string) {
	if len(lines) > 0 {
		fmt.Fprintln(s.out, s.sign(strings.Join(lines, "\n")))
	}
}

// hear takes one line; false where that ends it. An empty one is Enter, and where that
// does nothing all is said again.
func (s *speaker) hear(line string) bool {
	keys, known := speech.Keys(line, s.root().Taking())
	switch {
	case !known:
		s.print([]string{fmt.Sprintf("not understood: %q. Give a digit, or one of: %s", strings.TrimSpace(line), speech.Words)})
	case len(keys) == 0:
		s.print(s.said.Whole(s.root().Spoken()))
		return true
	}
	for _, k := range keys {
		if !s.press(k) {
			return false
		}
	}
	if said := s.say(true); said == 0 && known {
		s.print(s.said.Whole(s.root().Spoken()))
	}
	return true
}

// press strikes a key as a slow hand does, so that none is taken for a scanner's.
func (s *speaker) press(k tea.KeyMsg) bool {
	s.mono += time.Second
	if !s.send(k) {
		return false
	}
	s.mono += time.Second
	return s.send(shell.Quiet())
}

// longestLine is the most of a line that is heard: no field takes more.
const longestLine = 64 << 10

// linesOf are the lines of a reader, until it or the hearer ends.
func linesOf(in io.Reader, over <-chan struct{}) <-chan string {
	lines := make(chan string)
	go func() {
		defer close(lines)
		scan := bufio.NewScanner(in)
		scan.Buffer(nil, longestLine)
		for scan.Scan() {
			select {
			case lines <- scan.Text():
			case <-over:
				return
			}
		}
	}()
	return lines
}
