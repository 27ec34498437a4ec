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

// A happening is what the verb happened was given.
type happening struct {
	log, site, on, by, joint, what string
	said                           logbook.Happened
}

func newHappened(e edges) *cobra.Command {
	f := new(happening)
	cmd := &cobra.Command{
		Use:   "happened --what WORD --on DATE --by NAME TEXT",
		Short: "Record what happened to a site after its welds were made",
		Long: `happened records something that happened to a site later: pressure lost, dug up,
repaired, or other. With --joint, --circuit or --chamber it is said of that section,
without them of the whole site. coolhold history tells it with the rest.

A loss of pressure is open until it is repaired. A repair closes what was lost on
its own section and on those within it, on its day or before: that of a circuit closes
its circuit and the joints of it, that of the whole site closes all. That of a joint
closes no loss of its circuit, and that of a circuit none of the whole site. What it
closes is printed. A repair that closes one is the word of one person: the audit asks
for somebody who neither said so nor welded there to look, and until he has accepted it
the section is not to be covered.`,
		Example: `  coolhold happened --what "pressure lost" --circuit 3 --on 2027-01-14 --by "Bo Invented" "gauge fell by 0.4 bar overnight"
  coolhold happened --what "dug up" --joint 3A --on 2027-01-20 --by "Bo Invented" "leak at the low stub"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if strings.TrimSpace(strings.Join(args, "")) == "" {
				return usage("what happened is not said; write coolhold %s", cmd.Use)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.record(e, cmd.OutOrStdout(), strings.Join(args, " "))
		},
	}
	logFlag(cmd, &f.log)
	cmd.Flags().StringVar(&f.site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(&f.what, "what", "", "`word`: "+strings.Join(logbook.Happenings.Words(), ", "))
	cmd.Flags().StringVar(&f.on, "on", "", "`date` on which it happened, 2027-01-14")
	cmd.Flags().StringVar(&f.by, "by", "", "`name` of the person who says so")
	cmd.Flags().IntVar(&f.said.Circuit, "circuit", 0, "`number` of the circuit it happened to")
	cmd.Flags().StringVar(&f.said.Chamber, "chamber", "", "`name` of the chamber it happened to")
	cmd.Flags().StringVar(&f.joint, "joint", "", "`label` of the joint it happened to")
	return cmd
}

// read takes what was given on the command line, as of today.
func (f *happening) read(h acts.Head, text string) error {
	day, err := paper.ParseDay(f.on, zoneOf(h.At))
	code, known := logbook.Happenings.Code(f.what)
	switch {
	case strings.TrimSpace(f.by) == "":
		return usage("--by is missing: who says so?")
	case !known:
		return usage("--what %q is not known; write %s", f.what, strings.Join(logbook.Happenings.Words(), ", "))
	case err != nil:
		return usage("--on: %w", err)
	}
	f.said.What, f.said.On, f.said.Text = logbook.Happening(code), day.Format("2006-01-02"), text
	if today := h.At.Local().Format("2006-01-02"); f.said.On > today {
		return usage("--on %s is still to come: today is %s", f.said.On, today)
	}
	return nil
}

func (f *happening) record(e edges, to io.Writer, text string) error {
	h := head(e, f.by)
	if err := f.read(h, text); err != nil {
		return err
	}
	var open, closed []logbook.Event
	var label string
	done, err := deedOn(logPath(e, f.log), f.site, h).write(func(s scene) (acts.Act, error) {
		var err error
		if label, err = partOf(s, s.site, f.joint, &f.said); err != nil {
			return nil, err
		}
		if recorded(s.site, label, f.said) {
			return nil, logbook.ErrExists
		}
		open, closed = ahead.OpenLosses(s, s.site), ahead.ClosedBy(s, s.site, label, f.said)
		return acts.Happen(s.head, label, f.said), nil
	})
	if errors.Is(err, logbook.ErrExists) {
		fmt.Fprintf(to, "%s: this is recorded already, word for word; nothing was changed\n", done.site.ID)
		return nil
	}
	if err == nil {
		printHappened(to, done.site, label, f.said, open, closed)
	}
	return err
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
	if len(closed) > 0 {
		fmt.Fprintln(w, "  waits for somebody else to look under pressure and accept it (coolhold audit, coolhold review)")
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
