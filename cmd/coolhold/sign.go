package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

func newSign(e edges) *cobra.Command {
	var f said
	var day string
	var seen []string
	cmd := &cobra.Command{
		Use:   "sign --day DAY --by NAME [--seen KEY]…",
		Short: "Sign a day by name, and seal the log",
		Long: `sign closes a day by name. It lists the fails that are open on the day's welds and
on those before it; each must be acknowledged with --seen and the key that stands
under it, else nothing is signed and the exit code is 5. The entry keeps each fail
as it is listed then. Signing settles nothing: what is open stays open.

Then the log is sealed, as coolhold seal does. Where a stick is named for the site
(coolhold backup) a copy and the seal go onto it; one that is not in, or full, is said and
ends with exit code 1: the day is signed and sealed all the same.`,
		Example: `  coolhold sign --day yesterday --by "Hedda Invented"
  coolhold sign --day 2026-03-09 --by "Hedda Invented" --seen disturbed:KM-0008`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := f.named(cmd); err != nil {
				return err
			}
			now := e.now().Local()
			d, err := parseDay("--day", day, now)
			switch today := now.Format("2006-01-02"); {
			case day == "":
				return usage("--day is missing; write coolhold %s", cmd.Use)
			case err != nil:
				return err
			case d > today:
				return usage("--day %s is still to come: today is %s", d, today)
			}
			return signDay(e, cmd, f, d, seen)
		},
	}
	f.flags(cmd)
	cmd.Flags().StringVar(&day, "day", "", "the `day`: 2026-03-09, yesterday or today")
	cmd.Flags().StringArrayVar(&seen, "seen", nil, "`key` of an open fail that was seen; may be given more than once")
	return cmd
}

func signDay(e edges, cmd *cobra.Command, f said, day string, keys []string) error {
	var list strings.Builder
	done, err := f.deed(e).write(func(s scene) (acts.Act, error) {
		list.Reset()
		res := s.audit()
		fails := res.OpenFails(day)
		seen := audit.Seen(fails, keys)
		printDayToSign(&list, res, day, seen)
		act := acts.SignDay(s.head, s.beat, day, seen)
		if slices.ContainsFunc(fails, func(f audit.OpenFail) bool { return !f.SeenIn(seen) }) {
			act = hinted(act, "read each and give --seen KEY")
		}
		return act, nil
	})
	fmt.Fprint(cmd.OutOrStdout(), list.String())
	if err != nil {
		return err
	}
	done.print(cmd.OutOrStdout())
	h := head(e, strings.TrimSpace(f.by))
	h.Site = done.site.ID
	line, err := sealDay(e, logPath(e, f.log), h, day)
	if err != nil {
		return fmt.Errorf("the day is signed, and the log is not sealed: %w; coolhold seal does it", err)
	}
	if _, err = fmt.Fprintln(cmd.OutOrStdout(), logbook.Clean(line)); err != nil {
		return err
	}
	line, err = backup(e, done.log, h, day)
	if line != "" {
		_, err = fmt.Fprintln(cmd.OutOrStdout(), logbook.Clean(line))
	}
	return err
}

// printDayToSign lists what a person must have seen who signs a day.
func printDayToSign(w io.Writer, res audit.Result, day string, seen []logbook.Judged) {
	fmt.Fprintf(w, "%s: %s\n", day, res.Tally(res.WeldsOn(day, day)))
	if s, signed := res.SinceSigned(day); signed && s.Any() {
		fmt.Fprintf(w, "signed by %s, %s\n", logbook.Clean(s.Signed.By), logbook.Clean(s.Line()))
	}
	for _, f := range res.OpenFails(day) {
		var says []string
		for _, found := range f {
			says = append(says, found.Says)
		}
		fmt.Fprintf(w, "fail   %s; %s\n", logbook.Clean(strings.Join(says, "; ")), logbook.Clean(f[0].Do))
		word := "--seen"
		if f.SeenIn(seen) {
			word = "seen:"
		}
		fmt.Fprintf(w, "       %s %s\n", word, logbook.Clean(f[0].Key))
	}
	fmt.Fprintf(w, "%s open; signing settles nothing\n", logbook.Count(res.Others(day), "other finding"))
}
