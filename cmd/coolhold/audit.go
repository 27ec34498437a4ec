package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"coolhold/logbook/audit"
)

func newAudit(e edges) *cobra.Command {
	var log, site, asOf string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "audit",
		Short: "List what is still open on a site",
		Long: `audit lists joints without an accepted weld, failed welds not cut out, and
everything unread, unreleased or doubtful, the worst first, a line each. It ends
with exit code 1 while something is open, 0 when nothing is.`,
		Example: `  coolhold audit
  coolhold audit --json --as-of "2026-03-09 18:00"`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			r, err := readLog(e, log, asOf)
			if err != nil {
				return err
			}
			s, err := pickSite(r.book, site)
			if err != nil {
				return err
			}
			open := append([]audit.Finding{}, audit.Run(r.book, s.ID, r.asOf, r.beat).Open()...)
			if asJSON {
				err = printJSON(cmd.OutOrStdout(), open)
			} else {
				printOpen(cmd.OutOrStdout(), open)
			}
			if err == nil && len(open) > 0 {
				return &exitError{code: exitFindings}
			}
			return err
		},
	}
	readFlags(cmd, &log, &site, &asOf)
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

func printOpen(w io.Writer, findings []audit.Finding) {
	if len(findings) == 0 {
		fmt.Fprintln(w, "nothing is open: no fault is recorded, and every joint has its weld")
		return
	}
	for _, f := range findings {
		word := f.Severity.String()
		if f.Work && f.Severity != audit.Fail {
			word = "open"
		}
		fmt.Fprintf(w, "%-5s  %s; %s\n", word, f.Says, f.Do)
	}
}
