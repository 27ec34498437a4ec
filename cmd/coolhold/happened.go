package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/paper"
)

func newHappened(e edges) *cobra.Command {
	var log, site, on, by, joint, what string
	var b logbook.Happened
	cmd := &cobra.Command{
		Use:   "happened --what WORD --on DATE --by NAME TEXT",
		Short: "Record what happened to a site after its welds were made",
		Long: `happened records something that happened to a site later: pressure lost, dug up,
repaired, or other. With --joint, --circuit or --chamber it is said of that part,
without them of the whole site. coolhold history tells it with the rest.

A loss of pressure is open until it is repaired. A repair closes what was lost on
its own part and on parts within it, on its day or before: that of a circuit closes
its circuit and the joints of it, that of the whole site closes all. That of a joint
closes no loss of its circuit, and that of a circuit none of the whole site. What it
closes is printed.`,
		Example: `  coolhold happened --what "pressure lost" --circuit 3 --on 2027-01-14 --by "Bo Invented" "gauge fell by 0.4 bar overnight"
  coolhold happened --what "dug up" --joint 3A --on 2027-01-20 --by "Bo Invented" "leak at the low stub"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if strings.TrimSpace(strings.Join(args, "")) == "" {
				return usage("what happened is not said; write coolhold %s", cmd.Use)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			h := head(e, by)
			day, err := paper.ParseDay(on, zoneOf(h.At))
			code, known := logbook.Happenings.Code(what)
			b.What = logbook.Happening(code)
			switch {
			case strings.TrimSpace(by) == "":
				return usage("--by is missing: who says so?")
			case !known:
				return usage("--what %q is not known; write %s", what, strings.Join(logbook.Happenings.Words(), ", "))
			case err != nil:
				return usage("--on: %w", err)
			}
			b.On, b.Text = day.Format("2006-01-02"), strings.Join(args, " ")
			if today := h.At.Local().Format("2006-01-02"); b.On > today {
				return usage("--on %s is still to come: today is %s", b.On, today)
			}
			var open, closed []logbook.Event
			var label string
			done, err := deedOn(logPath(e, log), site, h).write(func(s scene) (acts.Act, error) {
				var err error
				if label, err = partOf(s, s.site, joint, &b); err != nil {
					return nil, err
				}
				if recorded(s.site, label, b) {
					return nil, logbook.ErrExists
				}
				open, closed = ahead.OpenLosses(s, s.site), ahead.ClosedBy(s, s.site, label, b)
				return acts.Happen(s.head, label, b), nil
			})
			if errors.Is(err, logbook.ErrExists) {
				fmt.Fprintf(cmd.OutOrStdout(), "%s: this is recorded already, word for word; nothing was changed\n", done.site.ID)
				return nil
			}
			if err == nil {
				printHappened(cmd.OutOrStdout(), done.site, label, b, open, closed)
			}
			return err
		},
	}
	logFlag(cmd, &log)
	cmd.Flags().StringVar(&site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(&what, "what", "", "`word`: "+strings.Join(logbook.Happenings.Words(), ", "))
	cmd.Flags().StringVar(&on, "on", "", "`date` on which it happened, 2027-01-14")
	cmd.Flags().StringVar(&by, "by", "", "`name` of the person who says so")
	cmd.Flags().IntVar(&b.Circuit, "circuit", 0, "`number` of the circuit it happened to")
	cmd.Flags().StringVar(&b.Chamber, "chamber", "", "`name` of the chamber it happened to")
	cmd.Flags().StringVar(&joint, "joint", "", "`label` of the joint it happened to")
	return cmd
}

// printHappened says what was recorded and, of a repair, what it closes and what
// it leaves open.
func printHappened(w io.Writer, s logbook.Site, label string, b logbook.Happened, open, closed []logbook.Event) {
	fmt.Fprintf(w, "%s: %s\n", where(s, label), logbook.Clean(b.Line()))
	if b.What != logbook.Repaired {
		return
	}
	if len(closed) == 0 {
		fmt.Fprintln(w, "  closes no loss of pressure")
	}
	for _, l := range open {
		word := "still open"
		if slices.ContainsFunc(closed, func(c logbook.Event) bool { return c.Seq == l.Seq }) {
			word = "closes"
		}
		fmt.Fprintf(w, "  %s: %s\n", word, logbook.Clean(l.Place()))
	}
}

// where names the site and, if the event has one, its joint.
func where(s logbook.Site, joint string) string {
	if joint == "" {
		return logbook.Clean(s.ID)
	}
	return logbook.Clean(s.ID + ", joint " + joint)
}

// recorded tells whether just this was recorded before: the same run twice.
func recorded(s logbook.Site, joint string, b logbook.Happened) bool {
	return slices.ContainsFunc(s.Events, func(e logbook.Event) bool { return e.Happened == b && e.Joint == joint })
}

// partOf sees that the part of the site is there, and names it as the log does.
func partOf(r logbook.Reader, s logbook.Site, joint string, b *logbook.Happened) (string, error) {
	if b.Circuit < 0 {
		return "", usage("--circuit %d is no number of a circuit", b.Circuit)
	}
	if b.Chamber != "" {
		i := slices.IndexFunc(s.Chambers, func(c logbook.Chamber) bool { return strings.EqualFold(c.Name, b.Chamber) })
		if i < 0 {
			return "", exitWith(exitFindings, fmt.Errorf("no chamber %q on %s", b.Chamber, s.ID))
		}
		b.Chamber = s.Chambers[i].Name
	}
	if b.Circuit > 0 {
		in := chambersOf(r, s, b.Circuit)
		switch {
		case len(in) == 0 || b.Chamber != "" && !slices.Contains(in, b.Chamber):
			return "", exitWith(exitFindings, fmt.Errorf("no circuit %d in %s", b.Circuit, strings.TrimSpace(s.ID+" "+b.Chamber)))
		case len(in) > 1 && b.Chamber == "":
			return "", usage("circuit %d is in several chambers; name one with --chamber: %s", b.Circuit, strings.Join(in, ", "))
		}
	}
	if joint == "" {
		return "", nil
	}
	j, err := jointOf(r, s, joint)
	return j.Label, err
}
