package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/adrg/xdg"
	"github.com/muesli/termenv"
	"github.com/spf13/cobra"

	"coolhold/logbook/fault"
	"coolhold/logbook/whole"
	"coolhold/tui/shell"
)

func themeFlag(cmd *cobra.Command, theme *string) {
	cmd.Flags().StringVar(theme, "theme", "", "dark, bright (for the sun) or plain (no colour); else COOLHOLD_THEME, else the one last chosen on the board")
}

// themeOf is the theme of this run: the flag's, none where NO_COLOR is set, that of
// the environment, what was chosen last on this laptop, or what goes with the terminal.
// "" is the usual one.
func themeOf(e edges, flag string) (string, error) {
	env := e.getenv("COOLHOLD_THEME")
	switch {
	case flag != "":
		return flag, isTheme("--theme", flag)
	case e.getenv("NO_COLOR") != "":
		return "plain", nil
	case env != "":
		return env, isTheme("COOLHOLD_THEME", env)
	}
	return cmp.Or(keptTheme(), background(e)), nil
}

// background is the theme that goes with the terminal's own page, where the terminal
// says in the environment which that is: seven and fifteen are the whites of the
// sixteen colours. One that does not is not asked, since it may never answer.
func background(e edges) string {
	colours := strings.Split(e.getenv("COLORFGBG"), ";")
	if page := colours[len(colours)-1]; page == "7" || page == "15" {
		return "bright"
	}
	return ""
}

// isTheme refuses a theme that there is not, with the nearest that there is.
func isTheme(where, theme string) error {
	if slices.Contains(shell.Themes, theme) {
		return nil
	}
	hint := ""
	if near := fault.Nearest(theme, shell.Themes, 1); len(near) > 0 {
		hint = "is " + quoted(near) + " meant? "
	}
	return usage("%s %q is no theme; %sthere are %s", where, fault.Brief(theme), hint, strings.Join(shell.Themes, ", "))
}

// themeFile is where the theme chosen on this laptop is kept. It is no fact of a log.
func themeFile() string { return filepath.Join(xdg.ConfigHome, "coolhold", "theme") }

// keptTheme is the theme that is kept. A file that cannot be read or names none must
// not keep anybody from the board.
func keptTheme() string {
	data, err := readSmall(themeFile())
	name := strings.TrimSpace(string(data))
	if err != nil || !slices.Contains(shell.Themes, name) {
		return ""
	}
	return name
}

// keepTheme keeps a theme for the next start.
func keepTheme(name string) error {
	file := themeFile()
	err := os.MkdirAll(filepath.Dir(file), 0o700)
	if err == nil {
		err = whole.Replace(file, whole.Bytes([]byte(name+"\n"), 0o644))
	}
	if err != nil {
		return fmt.Errorf("the theme holds until coolhold is left: %w", saved(file, err))
	}
	return nil
}

// fewColours tells whether a terminal has no more than sixteen colours, as it says of
// itself.
func fewColours(e edges) bool {
	return colourProfile(e) > termenv.ANSI256
}

// colourProfile is what a terminal can show of colours, as it says of itself.
func colourProfile(e edges) termenv.Profile {
	return termenv.NewOutput(e.out, termenv.WithEnvironment(environ(e.getenv)), termenv.WithTTY(true)).ColorProfile()
}

// environ is an environment of which only single values are asked.
type environ func(string) string

// Getenv is a value.
func (e environ) Getenv(name string) string { return e(name) }

// Environ is empty: no caller of ours lists it.
func (e environ) Environ() []string { return nil }
