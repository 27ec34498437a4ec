package main

import (
	"cmp"
	"errors"
	"io"
	"runtime"
	"strconv"
	"strings"
	"unicode/utf8"

	"coolhold/tui"
	"coolhold/tui/widget"
)

// onlyASCII tells whether a terminal is sent nothing but ASCII: it is asked for, or the
// locale says that it has nothing else. A locale that says nothing is no such word, and
// Windows has no such locale.
func onlyASCII(e edges) bool {
	if e.ascii != nil && *e.ascii != "" {
		return *e.ascii == "true"
	}
	says := cmp.Or(e.getenv("LC_ALL"), e.getenv("LC_CTYPE"), e.getenv("LANG"))
	says = strings.ReplaceAll(strings.ToLower(says), "-", "")
	return runtime.GOOS != "windows" && says != "" && !strings.Contains(says, "utf8")
}

// A lettered is a terminal that is sent ASCII where it has nothing else. What is not
// yet a whole sign waits for its rest.
type lettered struct {
	io.Writer
	only func() bool
	rest []byte
}

// inLetters is a writer in the signs that it has; anything but a terminal takes all.
func inLetters(w io.Writer, e edges) io.Writer {
	if !tui.IsTerminal(w) {
		return w
	}
	return &lettered{Writer: w, only: func() bool { return onlyASCII(e) }}
}

// onTerminal tells whether a writer is a terminal, whatever signs it has.
func onTerminal(w io.Writer) bool {
	if o, is := w.(*watched); is {
		w = o.w
	}
	_, is := w.(*lettered)
	return is || tui.IsTerminal(w)
}

func (l *lettered) Write(p []byte) (int, error) {
	if !l.only() {
		return l.Writer.Write(p)
	}
	text := append(l.rest, p...)
	whole := len(text)
	for i := max(0, whole-utf8.UTFMax+1); i < whole; i++ {
		if utf8.RuneStart(text[i]) && !utf8.FullRune(text[i:]) {
			whole = i
			break
		}
	}
	l.rest = append([]byte(nil), text[whole:]...)
	if _, err := io.WriteString(l.Writer, widget.ASCII(string(text[:whole]))); err != nil {
		return 0, err
	}
	return len(p), nil
}

// A yesNo is a flag that may be not given.
type yesNo string

func (v *yesNo) String() string { return string(*v) }

// Type is bool, so that help shows no value.
func (*yesNo) Type() string { return "bool" }

// Set takes true or false.
func (v *yesNo) Set(s string) error {
	is, err := strconv.ParseBool(s)
	if err != nil {
		return errors.New("write it alone, or with =true or =false")
	}
	*v = yesNo(strconv.FormatBool(is))
	return nil
}
