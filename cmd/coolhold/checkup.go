package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/muesli/termenv"
	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/store"
	"coolhold/tui"
	"coolhold/tui/shell"
)

// trials is how many synced writes a checkup makes.
const trials = 10

func newCheckup(e edges) *cobra.Command {
	var log string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "checkup",
		Short: "Tell what this laptop and this terminal are, before the trench",
		Long: `checkup tells what coolhold finds here: the terminal with its size, colours and signs,
the clocks, the log and who has it at this moment, the room on its disk, how long
ten writes took that were synced as each entry is, and the version. It judges
nothing but what stops the work, stores nothing in the log and makes none.

In a terminal it then shows what a scanner, a paste or a key is taken for, with the
pace of the scanner, until Esc.

It ends with exit code 1 if a log that is there cannot be used, or its disk cannot
be written.`,
		Example: `  coolhold checkup
  coolhold checkup --json`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			c := checkedUp(e, log)
			if asJSON {
				return cmp.Or(printJSON(cmd.OutOrStdout(), c), c.verdict())
			}
			err := c.print(cmd.OutOrStdout())
			if err == nil && tui.IsTerminal(e.in) && tui.IsTerminal(e.out) && e.getenv("TERM") != "dumb" {
				err = tui.Tryout(tui.Program{Mono: e.keys, In: e.in, Out: e.out, ASCII: onlyASCII(e)})
			}
			return cmp.Or(err, c.verdict())
		},
	}
	logFlag(cmd, &log)
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON; nothing is tried by hand")
	return cmd
}

// A checkup is what is found of the machine and the terminal.
type checkup struct {
	Version  string        `json:"version"`
	System   string        `json:"system"`
	Terminal terminalFound `json:"terminal"`
	Clocks   clocksFound   `json:"clocks"`
	Log      logFound      `json:"log"`
	Disk     diskFound     `json:"disk"`
}

type terminalFound struct {
	Is      bool   `json:"is_terminal"`
	Name    string `json:"name"` // as the terminal says of itself
	Width   int    `json:"width"`
	Height  int    `json:"height"`
	Colours string `json:"colours"`
	Theme   string `json:"theme"`
	Signs   string `json:"signs"`
}

type clocksFound struct {
	Wall      string `json:"wall"`
	UTC       string `json:"utc"`
	BootS     int64  `json:"since_start_s"` // sleep included
	BootKnown bool   `json:"start_is_named"`
	Machine   string `json:"machine"`
	Kept      bool   `json:"machine_is_kept"`
}

type logFound struct {
	File    string   `json:"file"`
	There   bool     `json:"there"`
	Bytes   int64    `json:"bytes"`
	Holder  string   `json:"in_use_by"`
	Remarks []string `json:"remarks"`
	Fault   string   `json:"fault"`
}

type diskFound struct {
	Folder string    `json:"folder"`
	Free   uint64    `json:"free_bytes"`
	SyncMS []float64 `json:"synced_writes_ms"`
	Bytes  int       `json:"bytes_a_write"`
	Fault  string    `json:"fault"`
}

func checkedUp(e edges, log string) checkup {
	path := absolute(logPath(e, log))
	return checkup{
		Version: version(), System: runtime.GOOS + "/" + runtime.GOARCH,
		Terminal: findTerminal(e), Clocks: findClocks(e), Log: findLog(path), Disk: findDisk(e, path),
	}
}

func findTerminal(e edges) terminalFound {
	t := terminalFound{Name: logbook.Clean(e.getenv("TERM")), Signs: "UTF-8", Colours: coloursOf(e)}
	if f, ok := e.out.(*os.File); ok {
		t.Is = tui.IsTerminal(e.out)
		t.Width, t.Height, _ = term.GetSize(f.Fd()) // no terminal, no size
	}
	if onlyASCII(e) {
		t.Signs = "ASCII"
	}
	theme, err := themeOf(e, "")
	t.Theme = cmp.Or(theme, shell.Themes[0])
	if err != nil {
		t.Theme = err.Error()
	}
	return t
}

// coloursOf is how many colours the terminal has, as it says of itself.
func coloursOf(e edges) string {
	switch colourProfile(e) {
	case termenv.TrueColor:
		return "16 million"
	case termenv.ANSI256:
		return "256"
	case termenv.ANSI:
		return "16"
	}
	return "none"
}

func findClocks(e edges) clocksFound {
	s := e.now()
	kept, _ := readSmall(machineFile()) // what cannot be read is not kept
	return clocksFound{
		Wall: s.Local().Format(time.RFC3339), UTC: s.Wall.Format(time.RFC3339), BootS: int64(s.Boot / time.Second),
		BootKnown: s.BootID != "", Machine: s.Machine, Kept: len(kept) > 0,
	}
}

func findLog(path string) logFound {
	l := logFound{File: path, Remarks: append([]string{}, store.Beside(path)...)}
	info, err := os.Stat(path)
	if err != nil {
		return l
	}
	l.There, l.Bytes = true, info.Size()
	var held interface{ Holder() string }
	switch err := store.Try(path); {
	case errors.As(err, &held):
		l.Holder = cmp.Or(held.Holder(), "another program")
	case err != nil:
		l.Fault = err.Error()
	}
	return l
}

// findDisk measures where the log is, or will be: its folder, else the nearest that is
// there.
func findDisk(e edges, path string) (d diskFound) {
	d.Folder, d.Bytes, d.SyncMS = filepath.Dir(path), store.TrialBytes, []float64{}
	for store.FolderGone(filepath.Join(d.Folder, "x")) && filepath.Dir(d.Folder) != d.Folder {
		d.Folder = filepath.Dir(d.Folder)
	}
	free, err := roomOn(d.Folder)
	d.Free = free
	took, tried := store.TrySync(d.Folder, trials, e.keys)
	for _, t := range took {
		d.SyncMS = append(d.SyncMS, float64(t.Microseconds())/1000)
	}
	if err = errors.Join(err, tried); err != nil {
		d.Fault = strings.ReplaceAll(err.Error(), "\n", "; ")
	}
	return d
}

// verdict is silent: what there is to say has been said.
func (c checkup) verdict() error {
	if c.Log.Fault != "" || c.Disk.Fault != "" {
		return &exitError{code: exitFindings}
	}
	return nil
}

// print writes it for a person.
func (c checkup) print(w io.Writer) error {
	var out strings.Builder
	for _, l := range slices.Concat([][2]string{{"coolhold", c.Version + ", " + c.System}}, c.Terminal.lines(), c.Clocks.lines(), c.Log.lines(), c.Disk.lines()) {
		fmt.Fprintf(&out, "%-10s %s\n", l[0], logbook.Clean(l[1]))
	}
	_, err := io.WriteString(w, out.String())
	return err
}

func (t terminalFound) lines() [][2]string {
	if !t.Is {
		return [][2]string{{"terminal", "none: what is written goes elsewhere; the board needs one, coolhold --plain does not"}}
	}
	says := fmt.Sprintf("%s, %d×%d, colours: %s, signs: %s, theme: %s", cmp.Or(t.Name, "without a name"), t.Width, t.Height, t.Colours, t.Signs, t.Theme)
	lines := [][2]string{{"terminal", says}}
	if t.Width < shell.MinWidth || t.Height < shell.MinHeight {
		lines = append(lines, [2]string{"", fmt.Sprintf("too small for the board, which needs %d×%d", shell.MinWidth, shell.MinHeight)})
	}
	return lines
}

func (c clocksFound) lines() [][2]string {
	up := time.Duration(c.BootS) * time.Second
	lines := [][2]string{{"clocks", fmt.Sprintf("wall %s; since this start %s, sleep included", c.Wall, up)}}
	if !c.BootKnown {
		lines = append(lines, [2]string{"", "the system does not name its starts: after one a hold counts by the wall clock and the beat"})
	}
	if !c.Kept {
		lines = append(lines, [2]string{"", "this machine's name cannot be kept: each start of coolhold counts as another machine, which makes holds longer"})
	}
	return lines
}

func (l logFound) lines() [][2]string {
	says := l.File + ": "
	switch {
	case !l.There:
		says += "not there yet"
	case l.Fault != "":
		says = l.Fault // it names the file
	case l.Holder != "":
		says += "in use by " + l.Holder
	default:
		says += sized(uint64(l.Bytes)) + ", in use by nobody at this moment"
	}
	lines := [][2]string{{"log", says}}
	for _, r := range l.Remarks {
		lines = append(lines, [2]string{"", r})
	}
	return lines
}

func (d diskFound) lines() [][2]string {
	lines := [][2]string{{"disk", fmt.Sprintf("%s free at %s", sized(d.Free), d.Folder)}}
	if n := len(d.SyncMS); n > 0 {
		ms := slices.Sorted(slices.Values(d.SyncMS))
		lines = append(lines, [2]string{"", fmt.Sprintf("%d synced writes of %s: %.1f to %.1f ms, half within %.1f ms", n, sized(uint64(d.Bytes)), ms[0], ms[n-1], ms[(n-1)/2])})
	}
	if d.Fault != "" {
		lines = append(lines, [2]string{"", "it cannot be written: " + d.Fault})
	}
	return lines
}

// sized is a number of bytes for a person.
func sized(n uint64) string {
	for _, u := range []struct {
		of   uint64
		name string
	}{{1e9, "GB"}, {1e6, "MB"}, {1e3, "kB"}} {
		if n >= 10*u.of {
			return fmt.Sprintf("%.1f %s", float64(n)/float64(u.of), u.name)
		}
	}
	return fmt.Sprintf("%d bytes", n)
}
