package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/fault"
	"coolhold/logbook/paper"
)

func newTranscribe(e edges) *cobra.Command {
	var t transcription
	var template bool
	cmd := &cobra.Command{
		Use:   "transcribe FILE.csv --by NAME",
		Short: "Take in welds that were written on paper",
		Long: `transcribe takes the welds of a sheet in that somebody typed from paper: all of
them or none. Faults are listed a line each, and nothing is changed. The welds
are marked as transcribed, by whom and when; the same rules speak of them as of
any other. What was left blank stays unsaid. A second run of the same file
changes nothing.

The file is CSV in UTF-8, with commas, semicolons or tabs; --template prints its
first line. Joint, operator, date, start and outcome must be there. A weld that
was cut out since says why in cut_out; then its joint is free for the next.

A row with yes in look_again is no weld: it is another look at the one that stands
in its joint. Operator is who looked, date and start are when, and what was seen
and felt stands in its columns; all others are left blank.

` + columnHelp(),
		Example: `  coolhold transcribe --template > van.csv
  coolhold transcribe van.csv --by "Ada Invented"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if template {
				return noArgs(cmd, args)
			}
			return oneFile(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if template {
				_, err := io.WriteString(cmd.OutOrStdout(), paper.Template())
				return err
			}
			t.file = args[0]
			return t.run(e, cmd.OutOrStdout())
		},
	}
	logFlag(cmd, &t.log)
	cmd.Flags().StringVar(&t.site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(&t.by, "by", "", "`name` of the person who typed the sheet")
	cmd.Flags().BoolVar(&template, "template", false, "print the first line of a file to fill in")
	return cmd
}

// columnHelp lists the columns with what to write in them.
func columnHelp() string {
	var b strings.Builder
	b.WriteString("Columns, what to write, an example:")
	for _, c := range paper.Printed() {
		fmt.Fprintf(&b, "\n  %-17s %s; %s", c.Name, c.Hint(), c.Example)
	}
	return b.String()
}

type transcription struct {
	log, site, by, file string
}

func (t transcription) run(e edges, w io.Writer) error {
	if strings.TrimSpace(t.by) == "" {
		return usage("--by is missing: whose word is it that the sheet says so?")
	}
	data, err := readInput(t.file)
	if err != nil {
		return err
	}
	h := head(e, t.by)
	lines, faults := paper.Parse(data, zoneOf(h.At))
	var rows acts.RowFaults
	d := deedOn(logPath(e, t.log), t.site, h)
	d.long = true
	done, err := d.write(func(s scene) (acts.Act, error) {
		act := acts.Transcribe(s.head, t.welds(lines))
		if len(faults) == 0 {
			return act, nil
		}
		_, err := act(s) // all faults of a sheet come at once
		errors.As(err, &rows)
		return nil, errFaults
	})
	switch found, is := acts.AsRowFaults(err); {
	case errors.Is(err, errFaults):
		return t.refuse(w, append(faults, asFaults(placed(rows, lines), lines)...))
	case is:
		return t.refuse(w, asFaults(found, lines))
	case err != nil:
		return err
	}
	t.report(w, done.entries, lines)
	return nil
}

// errFaults: the sheet has faults of its own, so nothing of it is stored.
var errFaults = errors.New("the sheet has faults")

func (t transcription) welds(lines []paper.Row) []acts.LateWeld {
	var welds []acts.LateWeld
	for _, l := range lines {
		if l.Named() {
			welds = append(welds, l.Weld(filepath.Base(t.file)))
		}
	}
	return welds
}

// placed are the faults of the rows of which at least the joint could be read.
func placed(rows acts.RowFaults, lines []paper.Row) acts.RowFaults {
	unread := map[int]bool{}
	for _, l := range lines {
		unread[l.No] = !l.Placed()
	}
	return slices.DeleteFunc(rows, func(f acts.RowFault) bool { return unread[f.Line] && f.Column != "joint" })
}

func asFaults(rows acts.RowFaults, lines []paper.Row) fault.List {
	faults := make(fault.List, len(rows))
	for i, f := range rows {
		faults[i] = fault.Fault{Line: f.Line, Field: f.Column, What: logbook.Clean(f.What)}
		if at := slices.IndexFunc(lines, func(l paper.Row) bool { return l.No == f.Line }); at >= 0 {
			faults[i].Where = lines[at].Where(f.Column)
		}
	}
	return faults
}

func (t transcription) refuse(w io.Writer, faults fault.List) error {
	slices.SortStableFunc(faults, func(a, b fault.Fault) int { return cmp.Compare(a.Line, b.Line) })
	for _, f := range faults {
		fmt.Fprintf(w, "%s:%s\n", logbook.Clean(t.file), f)
	}
	return exitWith(exitInput, fmt.Errorf("%s in %s: nothing was taken in; mend what is listed and run it again", logbook.Count(len(faults), "fault"), t.file))
}

// report names what was taken in.
func (t transcription) report(w io.Writer, entries []logbook.Entry, lines []paper.Row) {
	welds, looks, rows, empty := 0, 0, 0, 0
	for _, l := range lines {
		if l.Empty {
			empty++
		} else {
			rows++
		}
	}
	if empty > 0 {
		defer func() {
			fmt.Fprintf(w, "%s: %s with a joint and nothing else passed over\n", logbook.Clean(t.file), logbook.Count(empty, "row"))
		}()
	}
	own := map[int]bool{}
	for _, e := range entries {
		switch b := e.Open().(type) {
		case logbook.EnteredLater:
			welds++
			own[b.Paper.Line] = true
			fmt.Fprintf(w, "%s  joint %s  from line %d\n", e.Weld, logbook.Clean(e.Joint), b.Paper.Line)
		case logbook.IndicatorsRead:
			if b.Paper != nil && !own[b.Paper.Line] { // else it is of the weld's own row
				looks++
				fmt.Fprintf(w, "%s  joint %s  looked at again, from line %d\n", e.Weld, logbook.Clean(e.Joint), b.Paper.Line)
			}
		}
	}
	var parts []string
	for _, n := range []struct {
		of   int
		what string
	}{{welds, "weld"}, {looks, "look"}} {
		if n.of > 0 {
			parts = append(parts, logbook.Count(n.of, n.what))
		}
	}
	taken := strings.Join(parts, " and ")
	switch had := rows - welds - looks; {
	case welds+looks == 0:
		fmt.Fprintf(w, "%s: nothing new, %s in the log already\n", logbook.Clean(t.file), stand(had))
	case had > 0:
		fmt.Fprintf(w, "%s: %s transcribed by %s; %s in the log already\n", logbook.Clean(t.file), taken, logbook.Clean(t.by), stand(had))
	default:
		fmt.Fprintf(w, "%s: %s transcribed by %s\n", logbook.Clean(t.file), taken, logbook.Clean(t.by))
	}
}

func stand(n int) string {
	if n == 1 {
		return "its row stands"
	}
	return fmt.Sprintf("%d rows stand", n)
}

// zoneOf is the zone of the clock on site: the machine's own where it is the
// one of the stamp, so that a day before the clocks changed is read rightly.
func zoneOf(now fusion.Stamp) *time.Location {
	if _, offset := now.Wall.In(time.Local).Zone(); offset == now.Offset {
		return time.Local
	}
	return now.Local().Location()
}
