package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/history"
)

func newHistory(e edges) *cobra.Command {
	var logs []string
	var site string
	var q history.Query
	var asJSON bool
	var at officeAsked
	cmd := &cobra.Command{
		Use:   "history --circuit N | --batch B | --joint L | --weld ID",
		Short: "Tell everything that ever happened to a circuit, batch, joint or weld",
		Long: `history tells everything that stands in the log of one circuit, batch, joint or
weld, in order, a line each: time, person, weld, joint, what. With --log given more
than once the logs are read together.

A batch is looked for among those of fittings, coils and stubs as coolhold recall
does it: without case, blanks and hyphens, and also where it was replaced since.`,
		Example: `  coolhold history --circuit 3
  coolhold history --batch W-4032-7 --log monday.coolhold --log other-van.coolhold
  coolhold history --weld KM-0012 --json`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := oneSubject(cmd, q); err != nil {
				return err
			}
			if weld, branch, is := strings.Cut(q.Weld, "/"); is && at.at != "" { // as recall gives it of a branch
				q.Weld = weld
				if tag, _, _ := strings.Cut(weld, "-"); len(logs) == 0 {
					logs = []string{tag + "/" + branch}
				}
			}
			r, _, err := at.readLogs(e, logs, site, "")
			if err != nil {
				return err
			}
			if weld, mark, _ := strings.Cut(q.Weld, " ("); len(mark) > 1 && len(logs) < 2 && strings.HasPrefix(r.id, strings.TrimSuffix(mark, ")")) { // as recall gives it where two logs have the letters
				q.Weld = weld
			}
			book := r.book
			s, err := pickSite(book, site)
			if err != nil {
				return err
			}
			if err := oneChamber(book, s, q); err != nil {
				return err
			}
			if err := oneOfTwins(book, s, q.Weld); err != nil {
				return err
			}
			lines := history.Of(book, s.ID, q)
			if len(lines) == 0 {
				return exitWith(exitFindings, fmt.Errorf("nothing is recorded of %s on %s", logbook.Clean(q.String()), s.ID))
			}
			if asJSON {
				return printJSON(cmd.OutOrStdout(), lines)
			}
			return printHistory(cmd.OutOrStdout(), lines)
		},
	}
	cmd.Flags().StringArrayVar(&logs, "log", nil, "a log's `file`; may be given more than once (else COOLHOLD_LOG, else the data folder)")
	cmd.Flags().StringVar(&site, "site", "", "the `site`, where the log has several")
	at.flags(cmd)
	cmd.Flags().IntVar(&q.Circuit, "circuit", 0, "`number` of a circuit")
	cmd.Flags().StringVar(&q.Chamber, "chamber", "", "`name` of the circuit's chamber, where several have that number")
	cmd.Flags().StringVar(&q.Batch, "batch", "", "`batch` of a fitting, coil or stub")
	cmd.Flags().StringVar(&q.Joint, "joint", "", "`label` of a joint")
	cmd.Flags().StringVar(&q.Weld, "weld", "", "`number` of a weld")
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

// oneSubject wants just one thing asked for.
func oneSubject(cmd *cobra.Command, q history.Query) error {
	given := 0
	for _, name := range []string{"circuit", "batch", "joint", "weld"} {
		if cmd.Flags().Changed(name) {
			given++
		}
	}
	switch {
	case given != 1:
		return usage("one of --circuit, --batch, --joint and --weld is needed, not %d; see coolhold history --help", given)
	case cmd.Flags().Changed("circuit") && q.Circuit < 1:
		return usage("--circuit %d is no number of a circuit", q.Circuit)
	case !cmd.Flags().Changed("circuit") && strings.TrimSpace(q.Batch+q.Joint+q.Weld) == "":
		return usage("what is asked for is blank; see coolhold history --help")
	case q.Chamber != "" && q.Circuit == 0:
		return usage("--chamber goes with --circuit")
	}
	return nil
}

// oneChamber wants a chamber named where several have the circuit.
func oneChamber(r logbook.Reader, s logbook.Site, q history.Query) error {
	if q.Circuit == 0 || q.Chamber != "" {
		return nil
	}
	if in := chambersOf(r, s, q.Circuit); len(in) > 1 {
		return usage("circuit %d is in several chambers; name one with --chamber: %s", q.Circuit, strings.Join(in, ", "))
	}
	return nil
}

// chambersOf are the chambers in which a circuit has joints.
func chambersOf(r logbook.Reader, s logbook.Site, circuit int) []string {
	var in []string
	for _, j := range r.Joints(s.ID) {
		if j.Circuit == circuit && (len(in) == 0 || in[len(in)-1] != j.Chamber) {
			in = append(in, j.Chamber)
		}
	}
	return in
}

func printHistory(w io.Writer, lines []history.Happening) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, l := range lines {
		at := strings.Replace(l.At, "T", " ", 1)
		fmt.Fprintf(t, "%.16s\t%s\t%s\t%s\t%s\n", at, cmp.Or(logbook.Clean(l.By), "-"), cmp.Or(l.Weld, "-"), cmp.Or(logbook.Clean(l.Joint), "-"), logbook.Clean(l.What))
	}
	return t.Flush()
}
