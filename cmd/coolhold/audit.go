package main

import (
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

func newAudit(e edges) *cobra.Command {
	var log, site, asOf, day, since string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "audit",
		Short: "List what is still open on a site",
		Long: `audit lists joints without an accepted weld, failed welds not cut out, and
everything unread, unreleased or doubtful, a line each, fails first. It ends
with exit code 1 while something is open, 0 when nothing is.

The first word of a line: fail, to be cut out; query, for the foreman to accept by
name or to have cut out; open, work that is not done yet and is never accepted;
note, for the file. In JSON what is open has "work": true.

With --day or --since it lists every finding on the welds of those days and on
their joints, also what is settled and what is only noted, and the welds on
which no fault is recorded; then only these count for the exit code. The rules
are listed by coolhold rules.`,
		Example: `  coolhold audit
  coolhold audit --day yesterday
  coolhold audit --since 2026-03-09
  coolhold audit --json --as-of "2026-03-09 18:00"`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			r, err := readLog(e, log, site, asOf)
			if err != nil {
				return err
			}
			d, err := parseDays(day, since, r.asOf.Local())
			if err != nil {
				return err
			}
			s, err := pickSite(r.book, site)
			if err != nil {
				return err
			}
			return printAudit(cmd.OutOrStdout(), audit.Run(r.book, s.ID, r.asOf, r.beat), d, asJSON)
		},
	}
	readFlags(cmd, &log, &site, &asOf)
	cmd.Flags().StringVar(&day, "day", "", "only the welds of this `day`: 2026-03-09, yesterday or today")
	cmd.Flags().StringVar(&since, "since", "", "only the welds of this `day` and after")
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

// days are local days from one to another, both in it; the zero days are all.
type days struct{ from, to string }

func parseDays(day, since string, now time.Time) (days, error) {
	if day != "" && since != "" {
		return days{}, usage("--day and --since do not go together")
	}
	if since != "" {
		from, err := parseDay("--since", since, now)
		return days{from, "9999-12-31"}, err
	}
	if day == "" {
		return days{}, nil
	}
	d, err := parseDay("--day", day, now)
	return days{d, d}, err
}

// parseDay takes a date, or a day by its distance from now.
func parseDay(flag, s string, now time.Time) (string, error) {
	switch s {
	case "today":
		return now.Format(time.DateOnly), nil
	case "yesterday":
		return now.AddDate(0, 0, -1).Format(time.DateOnly), nil
	}
	if _, err := time.Parse(time.DateOnly, s); err != nil {
		return "", usage("%s %q is no day; write 2026-03-09, yesterday or today", flag, s)
	}
	return s, nil
}

func printAudit(w io.Writer, res audit.Result, d days, asJSON bool) error {
	findings := res.Open()
	if d != (days{}) {
		findings = res.OnDays(d.from, d.to)
	}
	var err error
	switch {
	case asJSON:
		err = printJSON(w, append([]audit.Finding{}, findings...))
	case d == days{}:
		printOpen(w, findings)
	default:
		printDays(w, res, d, findings)
	}
	for _, f := range findings {
		if err == nil && f.Open() {
			return &exitError{code: exitFindings}
		}
	}
	return err
}

func printOpen(w io.Writer, findings []audit.Finding) {
	if len(findings) == 0 {
		fmt.Fprintln(w, "nothing is open: no fault is recorded, and every joint has its weld")
		return
	}
	for _, f := range findings {
		printFinding(w, f, f.Do)
	}
}

// printDays lists what is open, what is settled and what is clear.
func printDays(w io.Writer, res audit.Result, d days, findings []audit.Finding) {
	welds := res.WeldsOn(d.from, d.to)
	if len(welds) == 0 {
		fmt.Fprintln(w, "no weld was made then")
	}
	for _, f := range findings {
		switch {
		case f.Accepted != nil:
			printFinding(w, f, fmt.Sprintf("accepted by %s: %s", f.Accepted.By, f.Accepted.Why))
		case f.Settled:
			printFinding(w, f, "settled: it no longer stands")
		default:
			printFinding(w, f, f.Do)
		}
	}
	for _, weld := range welds {
		if res.Verdict(weld.ID) == audit.Clear {
			fmt.Fprintf(w, "%-5s  %s in %s: no fault recorded\n", audit.Clear, weld.ID, logbook.Clean(weld.Joint))
		}
	}
}

func printFinding(w io.Writer, f audit.Finding, then string) {
	fmt.Fprintf(w, "%-5s  %s; %s\n", f.Word(), logbook.Clean(f.Says), logbook.Clean(then))
}
