package main

import (
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

func newAudit(e edges) *cobra.Command {
	var logs []string
	var site, asOf, day, since string
	var asJSON, each bool
	var at officeAsked
	cmd := &cobra.Command{
		Use:   "audit",
		Short: "List what is still open on a site",
		Long: `audit lists joints without an accepted weld, failed welds not cut out, and
everything unread, unreleased or doubtful, real faults first. It ends with exit
code 1 while something is open, 0 when nothing is.

The first word of a line: fail, to be cut out; query, for the foreman to accept by
name or to have cut out; to do, work that is not done yet and is never accepted;
note, for the file. In JSON work has "work": true.

A formality that many welds of a shift or sheet share, and what is alike on four
welds or more, is one line. A formality is accepted at once (coolhold review
--alike), all else weld by weld. With --each every finding has its line; so it has
in JSON, where "cause" is the same in those of one formality.

With --day or --since it lists every finding on the welds of those days and on
their joints, also what is settled and what is only noted, and the welds on
which no fault is recorded or that were given up; then only these count for the
exit code. How much is open besides is said on the last line. The rules
are listed by coolhold rules.

With --log given more than once the logs are read together; what only that shows
is answered with coolhold review --log A --log B --into A.`,
		Example: `  coolhold audit
  coolhold audit --day yesterday
  coolhold audit --since 2026-03-09
  coolhold audit --log monday.coolhold --log van.coolhold
  coolhold audit --json --as-of "2026-03-09 18:00"`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			r, _, err := at.readLogs(e, logs, site, asOf)
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
			return printAudit(cmd.OutOrStdout(), audit.Run(r.book, s.ID, r.asOf, r.beat), d, auditForm{asJSON, each})
		},
	}
	logsFlag(cmd, &logs)
	siteFlags(cmd, &site, &asOf)
	at.flags(cmd)
	cmd.Flags().StringVar(&day, "day", "", "only the welds of this `day`: 2026-03-09, yesterday or today")
	cmd.Flags().StringVar(&since, "since", "", "only the welds of this `day` and after")
	cmd.Flags().BoolVar(&each, "each", false, "a line for each finding, nothing read together")
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

// An auditForm is how findings are printed.
type auditForm struct{ json, each bool }

// groups are the findings as they are read.
func (a auditForm) groups(findings []audit.Finding) []audit.Group {
	if a.each {
		return audit.Singly(findings)
	}
	return audit.Groups(findings)
}

func printAudit(w io.Writer, res audit.Result, d days, a auditForm) error {
	findings := res.Open()
	if d != (days{}) {
		findings = res.OnDays(d.from, d.to)
	}
	var err error
	switch {
	case a.json:
		err = printJSON(w, append([]audit.Finding{}, findings...))
	case d == days{}:
		printOpen(w, a.groups(findings))
	default:
		printDays(w, res, d, a.groups(findings))
	}
	for _, f := range findings {
		if err == nil && f.Open() {
			return &exitError{code: exitFindings}
		}
	}
	return err
}

func printOpen(w io.Writer, groups []audit.Group) {
	if len(groups) == 0 {
		fmt.Fprintln(w, "nothing is open: every query is answered, and every joint that is being built has its weld")
		return
	}
	for _, g := range groups {
		printGroup(w, g, g.Do())
	}
}

// printDays lists what is open, what is settled and what is clear.
func printDays(w io.Writer, res audit.Result, d days, groups []audit.Group) {
	welds := res.WeldsOn(d.from, d.to)
	if len(welds) == 0 {
		fmt.Fprintln(w, "no weld was made then")
	}
	for _, g := range groups {
		switch f := g.First(); {
		case f.Accepted != nil:
			printGroup(w, g, f.Accepted.Line())
		case f.Settled:
			printGroup(w, g, "settled: it no longer stands")
		default:
			printGroup(w, g, g.Do())
		}
	}
	for _, weld := range welds {
		switch v := res.Verdict(weld.ID); {
		case v == audit.Clear:
			fmt.Fprintf(w, "%-5s  %s in %s: no fault recorded\n", v, weld.ID, logbook.Clean(weld.Joint))
		case v == audit.NoHeat && len(res.OfWeld(weld.ID)) == 0:
			fmt.Fprintf(w, "%-5s  %s in %s: given up before any current: %s\n", "note", weld.ID, logbook.Clean(weld.Joint), logbook.Clean(weld.Abandoned))
		}
	}
	if n := leftOut(res, groups); n > 0 {
		fmt.Fprintf(w, "%s open on the site besides, of other days or of joints without a weld: coolhold audit\n", logbook.Count(n, "finding"))
	}
}

// leftOut is how many findings are open that none of these groups holds.
func leftOut(res audit.Result, groups []audit.Group) int {
	listed := map[string]bool{}
	for _, g := range groups {
		for _, f := range g.Findings {
			listed[f.Key] = true
		}
	}
	return len(slices.DeleteFunc(res.Open(), func(f audit.Finding) bool { return listed[f.Key] }))
}

func printGroup(w io.Writer, g audit.Group, then string) {
	fmt.Fprintf(w, "%-5s  %s; %s\n", g.First().Word(), logbook.Clean(g.Says()), logbook.Clean(then))
}
