package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/store"
)

func newRestore(e edges) *cobra.Command {
	var log, out, twin string
	cmd := &cobra.Command{
		Use:   "restore [LOG]",
		Short: "Make a damaged or lost log anew from its journal or its twin",
		Long: `restore makes a log anew from LOG.journal, which holds every entry once more, or
from its twin on another disk (coolhold twin), and writes it to LOG.restored or to
--out. Nothing that stands there already is changed or replaced.

It takes the longest of file, journal and twin, and says which. Each line must be the
entry of its place and match its checksum. It is held against the other copies and
against the entry in the damaged file too, where that can still be read, and against
the seals. Where they disagree, or at a line that is not what was written and that no
other has, restore stops and names it.

Where the log holds and only its journal does not, it is the journal that is made
anew: the bad one is kept as LOG.journal.bad-1 or the next number.

Where log and journal are lost altogether, name the twin, or the folder it is in, with
--twin.

The new log has the id and the letters that the journal or the twin begins with. That
it was made anew is its last entry.`,
		Example: `  coolhold restore site.coolhold
  coolhold restore site.coolhold --out mended.coolhold
  coolhold restore lost.coolhold --twin /media/stick`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || len(args) == 1 && log != "" {
				return usage("one log is restored at a time; write coolhold %s", cmd.Use)
			}
			path := logPath(e, log)
			if len(args) == 1 {
				path = args[0]
			}
			out = cmp.Or(out, path+".restored")
			file, err := twinToRestore(e, path, twin)
			if err != nil {
				return err
			}
			r, err := store.RestoreWith(context.Background(), path, file, out, e.now())
			switch {
			case errors.Is(err, store.ErrSound):
				return exitWith(exitFindings, err)
			case err != nil:
				return stored(err)
			}
			if r.Journal != "" {
				_, err := fmt.Fprintln(cmd.OutOrStdout(), logbook.Clean(r.Journal))
				return err
			}
			return printRestored(e, cmd.OutOrStdout(), path, r)
		},
	}
	logFlag(cmd, &log)
	cmd.Flags().StringVar(&twin, "twin", "", "the `file` of the log's twin or the folder it is in (else the one that is kept for the log)")
	cmd.Flags().StringVar(&out, "out", "", "write the log to this `file` instead of LOG.restored")
	return cmd
}

// printRestored says what there is now, what holds over it and what to do next.
func printRestored(e edges, w io.Writer, path string, r store.Restored) error {
	keys, err := knownKeys(e, nil)
	if err != nil {
		return err
	}
	v, err := checkLog(r.Path, false, keys)
	if err != nil {
		return err
	}
	say := func(format string, args ...any) { fmt.Fprintln(w, logbook.Clean(fmt.Sprintf(format, args...))) }
	say("%s: log %s made anew from %s: %s, root %s", r.Path, r.Tag, r.Source, entries(r.Entries), v.Root)
	say("id     %s", r.ID)
	saySeal(say, v)
	if r.LogMissing {
		say("note   there was no old file to hold the lines against")
	}
	saySources(say, r)
	if r.Cut {
		say("note   the journal ends within a line, which was never acknowledged and is left out")
	}
	if r.Unknown > 0 {
		say("note   %s not understood by this coolhold; kept as they stand", entries(int64(r.Unknown)))
	}
	for _, lost := range r.OnlyInLog {
		say("MISSING  entry %d of the damaged file is not in the %s: %s %s; enter it anew if it is true",
			lost.Seq, r.From, lost.At.Local().Format("2006-01-02 15:04"), lostLine(lost))
	}
	say("Next: coolhold verify %s. Then move %s and %s.journal to another folder and keep them, and give %s the name %s.", r.Path, path, path, r.Path, path)
	return v.damaged()
}

// twinToRestore is the twin that a log is restored with, "" for none: the one named, or
// the one that is kept. One that is kept and not there is said: it may hold more.
func twinToRestore(e edges, path, named string) (string, error) {
	where := named
	if where == "" {
		kept, is := twinOf(path, "")
		if !is {
			return "", nil
		}
		where = kept.Dir
	}
	file, away, err := store.FindTwin(path, where)
	switch {
	case err != nil:
		return "", exitWith(exitLog, err)
	case away && named != "":
		return "", exitWith(exitLog, fmt.Errorf("%s: no twin of the log is there; put the stick in, or name another", named))
	case away:
		fmt.Fprintf(e.err, "coolhold: the twin in %s was not looked at: it is not there; it may hold more\n", logbook.Clean(where))
		return "", nil
	}
	return file, nil
}

// saySources names what there was beside that of which the log was made.
func saySources(say func(string, ...any), r store.Restored) {
	for _, s := range r.Sources {
		switch {
		case s.Bad != "":
			say("note   the %s %s: %s", s.From, s.Name, s.Bad)
		case s.From == logbook.FromFile:
			say("note   the damaged file goes on behind the others, up to entry %d", s.Entries)
		case s.From != r.From:
			say("note   the %s %s agrees with it, up to entry %d", s.From, s.Name, s.Entries)
		}
	}
}

// saySeal names the seal that holds over most of the log.
func saySeal(say func(string, ...any), v *verification) {
	if len(v.seals) == 0 {
		say("note   no seal stands in it: the lines are taken as they stood there")
		return
	}
	last := v.seals[len(v.seals)-1]
	say("holds  %s", last.line())
	if rest := v.Entries - int64(last.seq); rest > 0 {
		say("note   no seal reaches the last %s", entries(rest))
	}
}

// damaged is the error of a restored log that does not hold after all.
func (v *verification) damaged() error {
	if len(v.faults) == 0 {
		return nil
	}
	return v.verdict()
}

// lostLine is an entry that only the damaged file has, in one line.
func lostLine(e logbook.Entry) string {
	line := e.Open().Line()
	for _, part := range []string{e.Joint, e.Weld, e.By} {
		if part != "" {
			line += ", " + part
		}
	}
	return line
}
