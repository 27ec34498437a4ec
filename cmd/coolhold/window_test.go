package main

import (
	"bytes"
	"strings"
	"testing"
)

// inWindow runs the program as a double click does, or as a console; rest is what of the
// input nobody took.
func inWindow(clicked bool, args ...string) (code int, said, rest string) {
	var out, err bytes.Buffer
	in := strings.NewReader("\nrest")
	e := edges{in: in, out: &out, err: &err, getenv: func(string) string { return "" }, clicked: func() bool { return clicked }}
	code = run(args, e)
	left := make([]byte, in.Len())
	_, _ = in.Read(left)
	return code, out.String() + err.String(), string(left)
}

// A window that a double click opened stays until what it says was read: the system
// closes it with the program.
func TestAWindowOfADoubleClickStaysReadable(t *testing.T) {
	const asks = "Press Enter to close this window. "
	for _, c := range []struct {
		says string
		code int
		args []string
	}{
		{"the board needs a terminal", exitUsage, nil}, // the double click itself, where there is none
		{`"plan.toml" is no verb`, exitUsage, []string{"plan.toml"}},
		{"coolhold (devel)\n", exitDone, []string{"--version"}},
	} {
		code, said, rest := inWindow(true, c.args...)
		if code != c.code || !strings.Contains(said, c.says) || !strings.HasSuffix(said, asks) || rest == "\nrest" {
			t.Errorf("%v: exit code %d, input left %q:\n%s", c.args, code, rest, said)
		}
		code, said, rest = inWindow(false, c.args...)
		if code != c.code || !strings.Contains(said, c.says) || strings.Contains(said, asks) || rest != "\nrest" {
			t.Errorf("%v in a console: exit code %d, input left %q:\n%s", c.args, code, rest, said)
		}
	}
	var said bytes.Buffer
	staysReadable(edges{err: &said, in: strings.NewReader(""), clicked: func() bool { return true }}, exitDone, false)
	if said.Len() > 0 {
		t.Errorf("a board that was left in order: %s", &said)
	}
}
