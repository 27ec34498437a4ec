package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/office/pg"
)

func newOfficeKnown(e edges) *cobra.Command {
	var a officeAsk
	cmd := &cobra.Command{
		Use:   "known",
		Short: "List the laptops' keys, what waits to be admitted, and who may read",
		Long: `known lists the keys of laptops with their crews and the logs that they sent last, each
admission with its withdrawal; the keys that are not admitted, or no more, and what of
theirs waits; and the tokens, by a name that gives none away, with the logs in which they
read.`,
		Example: `  coolhold office known`,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return ask(e, cmd, a, func(ctx context.Context, o *pg.Office) ([]pg.Known, error) { return o.Known(ctx) }, says("nobody is admitted, nothing waits, nobody reads"), printKnown, false)
		},
	}
	return a.flags(cmd)
}

// waitsOf says how many parcels wait of logs with these letters.
func waitsOf(n int, letters string) string {
	of := " of log " + logbook.Clean(letters)
	if n == 0 {
		return "a report" + of + " waits"
	}
	return waits(n, of)
}

// waits counts the parcels of something that wait.
func waits(n int, of string) string {
	return logbook.Count(n, "parcel") + of + map[bool]string{true: " waits", false: " wait"}[n == 1]
}

func printKnown(w io.Writer, k pg.Known) {
	since, gap := k.Since.Local().Format(officeTime), "\t"
	switch k.What {
	case "laptop":
		fmt.Fprintf(w, "key %s\t%s\tadmitted %s by %s", k.ID, logbook.Clean(k.Of), since, logbook.Clean(k.By))
		if k.Logs != "" {
			fmt.Fprintf(w, "\tlog %s", logbook.Clean(k.Logs))
		}
	case "waiting":
		stands := "not admitted"
		if k.Withdrawn != nil {
			stands = "WITHDRAWN"
		}
		fmt.Fprintf(w, "key %s\t%s\t%s since %s", logbook.Clean(k.ID), stands, waitsOf(k.Parcels, k.Of), since)
	default:
		gap = "  " // what it reads is too long for a column
		fmt.Fprintf(w, "token %s  %s  granted %s by %s", k.ID, logbook.Clean(readsOf(*k.Reads)), since, logbook.Clean(k.By))
		if k.Until != nil {
			fmt.Fprintf(w, "%suntil %s", gap, k.Until.Format(time.DateOnly))
		}
	}
	switch {
	case k.Withdrawn == nil:
	case k.What == "waiting":
		fmt.Fprintf(w, "\tsince %s by %s nothing of it is taken", k.Withdrawn.Local().Format(officeTime), logbook.Clean(k.Withdrew))
	default:
		fmt.Fprintf(w, "%swithdrawn %s by %s", gap, k.Withdrawn.Local().Format(officeTime), logbook.Clean(k.Withdrew))
	}
	fmt.Fprintln(w)
}

func newOfficeWithdraw(e edges) *cobra.Command {
	var db, by string
	cmd := &cobra.Command{
		Use:   "withdraw NAME --by NAME",
		Short: "End what a laptop's key or a token may",
		Long: `withdraw ends a token, or has nothing more taken that a laptop signs with its key: where
it was stolen, say, or goes to another crew (admit it anew for that). NAME is as
coolhold office known lists it. What was taken stays, and is of the crew that the key had
then; what the key signs from then on waits, as with any key that is not admitted.`,
		Example: `  coolhold office withdraw coolhold+1a2b3c4d --by "Ida Invented"
  coolhold office withdraw 9f8e7d6c --by "Ida Invented"`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 || by == "" {
				return usage("the name of a key or a token, and --by, are needed; coolhold office known lists them")
			}
			o, err := officeDB(e, db)
			if err != nil {
				return err
			}
			defer o.Close()
			if err := o.Withdraw(context.Background(), args[0], by); err != nil {
				return acted(err)
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s is withdrawn\n", logbook.Clean(args[0]))
			return err
		},
	}
	officeDBFlag(cmd, &db)
	cmd.Flags().StringVar(&by, "by", "", "the `name` of who withdraws it")
	return cmd
}
