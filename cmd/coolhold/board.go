package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"sync"

	"github.com/spf13/cobra"

	"coolhold/cmd/coolhold/example"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/seal"
	"coolhold/logbook/store"
	"coolhold/tui"
	"coolhold/tui/shell"
)

// runBoard is coolhold without a verb: the board, or the welcome screen where
// there is no log yet.
func runBoard(e edges, log, site, flag string, plain bool) error {
	theme, err := themeOf(e, flag)
	if err != nil {
		return err
	}
	if err := canShow(e, plain); err != nil {
		return err
	}
	sends := newBoardOffice(e)
	defer sends.end()
	twins := &boardTwins{e: e, own: logPath(e, log)}
	shown := &shownLog{}
	o := screensOn(e, shown, logPath(e, log), site, theme)
	o.Plain = plain
	done, over := context.WithCancel(context.Background())
	w := &watch{shown: shown, done: done}
	defer w.end(over)
	o.Outside.News = w.news
	o.Outside.Office = sends.follow
	defer mended.into(w.add)()
	l, err := opened(store.Open(logPath(e, log)))
	switch {
	case err == nil:
		o.Log, _ = shown.take(l, nil)
		o.Notice = besides(l)
	case !errors.Is(err, store.ErrNoLog):
		return exitWith(exitLog, err)
	default:
		o.Notice = cmp.Or(journalAlone(logPath(e, log)), folderGone(e, log))
	}
	if l != nil && site != "" {
		if o.Site, err = siteNamed(l, site); err != nil {
			return err
		}
	}
	return twins.run(o, l)
}

// besides is what must be known of a log that is shown before anything is recorded.
func besides(l *store.Log) string {
	remarks := store.Beside(l.Path())
	if err := l.ReadOnly(); err != nil {
		remarks = append([]string{"SHOWN ONLY: " + err.Error()}, remarks...)
	}
	return logbook.Clean(strings.Join(remarks, " · "))
}

// siteNamed is the site of that name. On the board of a site that is not there
// every joint would seem to have its weld.
func siteNamed(l *store.Log, name string) (id string, err error) {
	err = l.View(context.Background(), func(r logbook.Reader) error {
		s, err := pickSite(r, name)
		id = s.ID
		return err
	})
	return id, err
}

// journalAlone says that a journal is there without its log; "" where none is.
func journalAlone(path string) string {
	n, ok := store.JournalBeside(path)
	if !ok || n == 0 {
		return ""
	}
	return fmt.Sprintf("A journal of %s lies beside %s, but no log: coolhold restore", entries(int64(n)), logbook.Clean(path))
}

// folderGone says that the folder of a log that was named is not there; "" where it
// is. That of one's own is made with the first log.
func folderGone(e edges, log string) string {
	path := logPath(e, log)
	if log == "" && e.getenv("COOLHOLD_LOG") == "" || !store.FolderGone(path) {
		return ""
	}
	return fmt.Sprintf("The folder of %s is not there. If the log is on a stick, leave, put the stick in and start again; here is only a new one to be made.", logbook.Clean(path))
}

// canShow refuses terminals that cannot show the screens, with what to do
// instead. Lines can be read from anything.
func canShow(e edges, plain bool) error {
	if plain {
		return nil
	}
	if !tui.IsTerminal(e.in) || !tui.IsTerminal(e.out) {
		return usage("the board needs a terminal; without one use coolhold --plain, or the verbs: coolhold --help")
	}
	if e.getenv("TERM") == "dumb" {
		return usage("this terminal cannot show the board; use coolhold --plain, the verbs (coolhold --help), or another terminal")
	}
	return nil
}

// hasTitle tells whether a terminal's window has a title: the bare console has none.
func hasTitle(e edges) bool { return e.getenv("TERM") != "linux" }

// screens are the options that every way of showing the board shares.
func screens(e edges, path, site, theme string) tui.Program {
	return screensOn(e, &shownLog{}, path, site, theme)
}

// screensOn are they where somebody watches the log that they show.
func screensOn(e edges, shown *shownLog, path, site, theme string) tui.Program {
	e.bar = nil // the screens say themselves how far they are
	photos := new(lastFolder)
	o := tui.Program{
		Site: site, Theme: theme, Sixteen: fewColours(e), Titles: hasTitle(e), ASCII: onlyASCII(e), Clock: e.now, NewID: newID(e.rand), In: e.in, Out: e.out,
		Mono: e.keys, Quit: signalsToEnd(), Trace: keepTrace, Still: store.Still,
		Outside: shell.Outside{
			Example: func() (shell.Log, error) { l, _, err := writeExample(e, "", ""); return shown.take(l, err) },
			OpenSite: func(h acts.Head, tag string, plan acts.File, tables []acts.File) (shell.Log, error) {
				l, _, err := openTyped(e, h, path, tag, plan, tables)
				return shown.take(l, err)
			},
			ReadInput: func(what, name string) (shell.Input, error) { return photos.after(e, what, name) },
			Folder:    func(what, dir string) (shell.Folder, error) { return photos.list(e, what, dir) },
			OpenLog:   func(file string) (shell.Log, error) { return shown.take(openLog(namedFile(e, file))) },
			Documents: func() string { return documents(e) },
			WriteRegister: func(log shell.Log, site string) (string, error) {
				files, shown, err := writeRegisterFiles(e, log.Path(), site, photos.folders()...)
				return "the register" + shown + " is in " + oneName(files), err
			},
			WriteLabels: func(log shell.Log, site string) (string, error) {
				file, err := writeLabelFile(e, log.Path(), site)
				return "the labels are in " + file, err
			},
			WriteHandover: func(log shell.Log, site string) (string, error) {
				files, err := writeHandoverFiles(e, log.Path(), site)
				return "the hand-over is in " + files, err
			},
			SealDay: func(h acts.Head, log shell.Log, day string) (string, error) {
				return sealAndBackup(e, h, log, day)
			},
			Backup:    func(h acts.Head, log shell.Log, day string) (string, error) { return backupBeside(e, log, h, day) },
			NameStick: func(log shell.Log, site, dir string) (string, error) { return stickNamed(e, log, site, dir) },
			KeepTheme: keepTheme,
			Verbs:     sync.OnceValue(func() []shell.Verb { return verbsFor(e) }), // all verbs are made for it: not at every start
		},
	}
	if e.paced != nil {
		e.paced(&o)
	}
	return o
}

// verbsFor are the verbs of the command line, as a search on the screens finds them.
func verbsFor(e edges) []shell.Verb {
	var verbs []shell.Verb
	for _, cmd := range newRoot(e).Commands() {
		if cmd.IsAvailableCommand() {
			verbs = append(verbs, shell.Verb{Name: cmd.Name(), Does: cmd.Short})
		}
	}
	return verbs
}

// sealShort seals a log after a day was signed and says so in one line of a narrow
// screen; a key that was made for it is shown by the verb.
func sealShort(e edges, path string, h acts.Head, day string) (string, error) {
	var said bytes.Buffer
	e.err = &said
	h.By = seal.Fitting(h.By) // in full it stands in the day's signature
	b, err := sealNow(e, path, h, day)
	if err != nil {
		return "", fmt.Errorf("signed, but not sealed: %w", err)
	}
	line := "signed; sealed over " + entries(b.Entries)
	if strings.Contains(said.String(), "a key was made") {
		line += "; key made: coolhold seal --show-key"
	}
	return line, nil
}

// keepTrace writes the trace of a panic to a file of its own.
func keepTrace(trace string) string {
	f, err := os.CreateTemp("", "coolhold-trace-*.txt")
	if err != nil {
		return "no file (" + err.Error() + ")"
	}
	_, err = f.WriteString(trace)
	if err = errors.Join(err, f.Close()); err != nil {
		return "no file (" + err.Error() + ")"
	}
	return f.Name()
}

// signalsToEnd has a value for each signal that tells the program to end, so that it
// leaves in order: nothing unsaid in the queue, the terminal given back, no ghost that
// lives on.
func signalsToEnd() <-chan struct{} {
	told := make(chan struct{}, 1)
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, endings...)
	go func() {
		for range signals {
			told <- struct{}{}
		}
	}()
	return told
}

// shows shows the screens. Its error has the log's exit code where something is not
// stored.
func shows(o tui.Program) error {
	store.WhenWaiting(nil) // the strip says it
	err := tui.Run(o)
	if left := shell.Left(""); errors.As(err, &left) {
		return exitWith(exitLog, err)
	}
	return err
}

// writeExample writes the worked example to a file, or to a fresh temporary
// one. The caller keeps the file.
func writeExample(e edges, file, tag string) (*store.Log, string, error) {
	if file == "" {
		dir, err := os.MkdirTemp("", "coolhold-example-*")
		if err != nil {
			return nil, "", err
		}
		file = filepath.Join(dir, "example.coolhold")
	}
	l, err := store.Create(file, store.NewLog{Tag: cmp.Or(strings.ToUpper(tag), example.Tag), Rand: e.rand})
	if err != nil {
		return nil, "", stored(err)
	}
	return l, file, acted(example.Write(l, e.now()))
}

func newDemo(e edges) *cobra.Command {
	var keep, tag, theme string
	var pace float64
	var noScreen, plain, asOffice bool
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Show the board on a worked example",
		Long: `demo writes a worked example to a fresh temporary log and opens the board on it:
an invented site half done, yesterday's shift with welds of each verdict and one
cut out and replaced, today's joints open. Nothing of it touches your own log.

With --office it is a firm's office instead: three invented crews for a week, in a
PostgreSQL of its own that runs until Ctrl-C. One of them went on in two ways, one says
nothing any more, and one batch fails more than the other.`,
		Example: `  coolhold demo
  coolhold demo --pace 20
  coolhold demo --keep example.coolhold --no-screen
  coolhold demo --office
  coolhold demo --keep van.coolhold --no-screen --tag QT   # a second laptop's log, to read together with the first`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if pace != 1 && keep != "" {
				return usage("--pace and --keep do not go together: a log keeps real times")
			}
			if !(pace > 0 && pace <= 1000) {
				return usage("--pace %g is out of range; write a number above 0 and up to 1000", pace)
			}
			if asOffice {
				return demoOffice(e, cmd.OutOrStdout(), !noScreen)
			}
			if noScreen {
				return demoFile(cmd.OutOrStdout(), e, keep, tag)
			}
			return demoBoard(e, keep, tag, theme, pace, plain)
		},
	}
	cmd.Flags().Float64Var(&pace, "pace", 1, "run the example's clock this many times faster")
	cmd.Flags().StringVar(&keep, "keep", "", "keep the example's log in this `file`")
	cmd.Flags().StringVar(&tag, "tag", "", "the two `letters` of the example's weld numbers (else "+example.Tag+")")
	cmd.Flags().BoolVar(&noScreen, "no-screen", false, "only write the log and say what to try next")
	cmd.Flags().BoolVar(&asOffice, "office", false, "three crews and their office, in a PostgreSQL of its own; with --no-screen only what there is to find in it")
	themeFlag(cmd, &theme)
	plainFlag(cmd, &plain)
	return cmd
}

func demoFile(w io.Writer, e edges, keep, tag string) error {
	_, file, err := writeExample(e, keep, tag)
	if err != nil {
		return err
	}
	file = logbook.Clean(file)
	_, err = io.WriteString(w, "The worked example is in "+file+". Try next:\n"+
		"  coolhold --log "+file+"\n  coolhold audit --log "+file+"\n  coolhold register --format csv --log "+file+"\n")
	return err
}

// plainFlag is where the screens are read out instead of shown.
func plainFlag(cmd *cobra.Command, plain *bool) {
	cmd.Flags().BoolVar(plain, "plain", false, "the same screens as lines to read and lines to give, for screen readers, serial lines and scripts")
}

func demoBoard(e edges, keep, tag, flag string, pace float64, plain bool) error {
	theme, err := themeOf(e, flag)
	if err != nil {
		return err
	}
	if err := canShow(e, plain); err != nil {
		return err
	}
	real := e
	if pace != 1 {
		e.now = paced(e.now, pace)
	}
	l, file, err := writeExample(e, keep, tag)
	if err != nil {
		return err
	}
	if keep == "" {
		defer os.RemoveAll(filepath.Dir(file))
	}
	o := screens(real, file, "", theme)
	o.Clock, o.Log, o.Plain = e.now, l, plain
	return shows(o)
}
