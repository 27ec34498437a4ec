package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/store"
)

// twinLong is what the verb says of itself.
const twinLong = `twin DIR brings the lines of the journal to a file in that folder, now and with
everything that is stored from now on, on the board and by the verbs. The file has
the same form as the journal and is named by the log's letters and id, so one stick
serves several laptops; each seal lies beside it in a file of its own. Given to the
office it can be checked there, and coolhold restore makes the log of it.

The folder is kept for this log on this machine. A stick that is pulled, full or
read-only stops nothing; it catches up by itself when it can. The file is begun only
by this verb, or by --twin with a folder that was not the log's so far: the folder of
a stick that is not in may be there too.

Without DIR it compares every line and says how the twin stands. It is never mended
unasked. One that holds more than the log means that the log was put back to an older
state: nothing is stored until somebody decides, also while its stick is out. coolhold
restore makes a log of the longer one. With --aside the log goes on as it is: the
twin's file is kept under another name, a new one is begun, and who decided that stands
in the log. Where the stick is lost, DIR with --by and --why goes on with a twin in
another folder and --none with --by and --why without one; that stands in the log too.
Without a name and a reason such a twin is not left. A board that runs goes on as soon
as that is decided.

Exit code 1 where there is no twin or it is not in step.`

// twinFlagged is what the verb was asked for.
type twinFlagged struct {
	log, by, why string
	none, aside  bool
}

func newTwin(e edges) *cobra.Command {
	var f twinFlagged
	cmd := &cobra.Command{
		Use:   "twin [DIR]",
		Short: "Keep each entry once more on another disk, a stick say, and see how that stands",
		Long:  twinLong,
		Example: `  coolhold twin /media/stick
  coolhold twin
  coolhold twin --aside --by "Hedda Invented" --why "the stick was written by the old laptop"
  coolhold twin /media/other --by "Hedda Invented" --why "the stick is lost"
  coolhold twin --none`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || len(args) == 1 && (f.none || f.aside) || f.none && f.aside {
				return usage("a folder, --none or --aside; write coolhold %s", cmd.Use)
			}
			if f.aside && (strings.TrimSpace(f.by) == "" || strings.TrimSpace(f.why) == "") {
				return usage("--aside needs --by and --why: who decides that, and for what reason?")
			}
			if len(args) == 0 && !f.none && !f.aside && f.by+f.why != "" {
				return usage("--by and --why go with a folder, --none or --aside")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(e, cmd.OutOrStdout(), args) },
	}
	logFlag(cmd, &f.log)
	cmd.Flags().BoolVar(&f.none, "none", false, "keep no twin of this log any more; its file stays")
	cmd.Flags().BoolVar(&f.aside, "aside", false, "go on with this log though the twin is another: keep the twin's file under another name and begin a new one")
	cmd.Flags().StringVar(&f.by, "by", "", "the `name` of who decides: with --aside, and with DIR or --none where the twin holds more than the log")
	cmd.Flags().StringVar(&f.why, "why", "", "`text`: why that is decided")
	return cmd
}

func (f twinFlagged) run(e edges, w io.Writer, args []string) error {
	path := logPath(e, f.log)
	if f.none {
		return f.end(e, w, path)
	}
	l, err := openLog(path)
	if err != nil {
		return err
	}
	if len(args) == 1 {
		if err := folder(args[0]); err != nil {
			return err
		}
		if err := f.begin(e, l, args[0]); err != nil {
			return err
		}
	}
	twin := followerOf(e, l)
	switch {
	case twin == nil:
		return exitWith(exitFindings, fmt.Errorf("%s: no twin is kept for it on this machine; coolhold twin DIR begins one", path))
	case f.aside:
		return twin.setAside(w, head(e, f.by), strings.TrimSpace(f.why))
	}
	return twin.report(w, twin.twin.Follow())
}

// begin begins a twin in a folder, and leaves the one that there was.
func (f twinFlagged) begin(e edges, l *store.Log, dir string) error {
	was := followerOf(e, l)
	if was != nil && was.kept.Dir == absolute(dir) && was.isThere() {
		if s := was.within(twinLook, was.twin.Look); errors.Is(s.Err, store.ErrTwinAhead) {
			_ = was.note(s)
			return exitWith(exitLog, s.Err) // it is the same one: --aside decides that
		}
	}
	body, err := f.leaves(was)
	if err != nil {
		return err
	}
	if body != nil {
		if err := was.leaveFor(dir, head(e, f.by), *body); err != nil {
			return err
		}
	}
	note, err := beginTwin(e, l, dir)
	e.sayTwin(note, nil)
	return exitWith(exitFindings, err)
}

// leaves is what is to be stored before a twin is left, nil for nothing. A twin that
// holds what the log lost may be the last to tell of it: who goes on without it says so
// with a name and a reason.
func (f twinFlagged) leaves(was *follower) (*logbook.TwinSetAside, error) {
	var s store.TwinState
	if was != nil {
		s = was.within(twinLook, was.twin.Look)
	}
	by, why := strings.TrimSpace(f.by), strings.TrimSpace(f.why)
	switch ahead := errors.Is(s.Err, store.ErrTwinAhead); {
	case ahead && (by == "" || why == ""):
		_ = was.note(s)
		return nil, exitWith(exitLog, was.undecided(s))
	case ahead:
		body := asideOf(s, why)
		return &body, nil
	case by+why != "":
		return nil, exitWith(exitFindings, errors.New("nothing was changed: no twin is known to hold more than the log, so there is nothing to decide; leave out --by and --why"))
	}
	return nil, nil
}

// asideOf says which entries of a twin are not in the log, and why that is gone on with.
func asideOf(s store.TwinState, why string) logbook.TwinSetAside {
	body := logbook.TwinSetAside{From: s.From, Why: why}
	if s.From > 0 {
		body.Last = max(s.From, s.Twin)
	}
	return body
}

// isThere tells whether the twin's file is where it is kept.
func (f *follower) isThere() bool {
	there, ok := inTime(twinLook, func() bool { _, err := os.Lstat(f.twin.Path()); return err == nil })
	return there || !ok
}

// leaveFor stores that the log goes on without what its twin holds, and with a twin in
// another folder. One there that has more than the log, or another, is not gone on with.
// The new one is begun after that: in the folder of the old one it would seem to be it.
func (f *follower) leaveFor(dir string, h acts.Head, body logbook.TwinSetAside) error {
	if s := f.log.Twin(absolute(dir)).Look(); noCopy(s.Err) {
		return exitWith(exitLog, fmt.Errorf("nothing was changed; name another folder: %w", s.Err))
	}
	return f.leave(h, body)
}

// leave stores that the log goes on without what its twin holds.
func (f *follower) leave(h acts.Head, body logbook.TwinSetAside) error {
	f.twin.Leave()
	if err := f.write(h, body); err != nil {
		return err
	}
	return f.decided()
}

// write stores what was decided of a twin.
func (f *follower) write(h acts.Head, body logbook.TwinSetAside) error {
	d := deed{path: f.log.Path(), whole: true, head: h, open: func(string) (*store.Log, error) { return f.log, nil }}
	_, err := d.write(just(func(h acts.Head) acts.Act { return acts.SetTwinAside(h, body) }))
	return err
}

// end keeps no twin any more. The log itself is only needed to see whether it lost what
// the twin holds: one that is gone or cannot be read has nothing to go on with.
func (f twinFlagged) end(e edges, w io.Writer, path string) error {
	k, is := twinOf(path, "")
	if !is {
		return exitWith(exitFindings, fmt.Errorf("%s: no twin is kept for it on this machine", path))
	}
	l, err := openLog(path)
	switch {
	case err == nil:
		was := followerOf(e, l)
		body, err := f.leaves(was)
		if err == nil && body != nil {
			err = was.leave(head(e, f.by), *body)
		}
		if err != nil {
			return err
		}
	case errors.Is(err, store.ErrLocked), f.by+f.why != "":
		return err
	}
	if err := keepTwin(keptTwin{File: path}); err != nil {
		return err
	}
	fmt.Fprintf(w, "%s: no twin any more; its file stays in %s\n", logbook.Clean(path), logbook.Clean(k.Dir))
	return nil
}

// report says how the twin stands.
func (f *follower) report(w io.Writer, s store.TwinState) error {
	if err := f.note(s); err != nil {
		return err
	}
	if s.Err != nil {
		code := exitFindings
		if noCopy(s.Err) {
			code = exitLog
		}
		return exitWith(code, fmt.Errorf("%s%w", f.lacks(s), s.Err))
	}
	line := fmt.Sprintf("%s: in step, %s", f.twin.Path(), entries(int64(s.Twin)))
	if s.Brought > 0 {
		line += fmt.Sprintf(", %d of them brought up now", s.Brought)
	}
	_, err := fmt.Fprintln(w, logbook.Clean(line))
	return err
}

// setAside goes on with the log as it is: the twin's file takes another name, that is
// stored, and a new twin is begun. What is not stored is not done.
func (f *follower) setAside(w io.Writer, h acts.Head, why string) error {
	s := f.twin.Follow()
	if !noCopy(s.Err) {
		if err := f.report(w, s); err != nil {
			return err
		}
		return exitWith(exitFindings, errors.New("nothing is set aside: the twin is a copy of the log"))
	}
	if errors.Is(s.Err, store.ErrTwinAway) {
		return exitWith(exitLog, s.Err) // nothing is there to be put aside
	}
	name, err := f.twin.SetAside()
	if err != nil {
		return exitWith(exitLog, err)
	}
	if err := f.write(h, asideOf(s, why)); err != nil {
		return errors.Join(err, f.twin.TakeBack(name))
	}
	fmt.Fprintf(w, "%s: kept as it was\n", logbook.Clean(name))
	if err := errors.Join(f.decided(), f.twin.Make()); err != nil {
		return exitWith(exitLog, err)
	}
	return f.report(w, f.twin.Follow())
}
