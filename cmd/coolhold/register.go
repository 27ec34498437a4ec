package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"coolhold/logbook/audit"
	"coolhold/logbook/register"
)

func newRegister(e edges) *cobra.Command {
	var log, site, asOf, format, out string
	cmd := &cobra.Command{
		Use:   "register --format csv|json",
		Short: "Write the register of joints and welds",
		Long: `register lists every weld of a site in order, then the joints in which nothing
stands. It says what was recorded; "clear" means that no fault is recorded.

With --as-of it is the register as it was at that time: the same log and the
same time give the same bytes.`,
		Example: `  coolhold register --format csv --out register.csv
  coolhold register --format json --as-of "2026-03-09 18:00"`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if format != "csv" && format != "json" {
				return usage("--format %q is not known; write csv or json", format)
			}
			r, err := readLog(e, log, asOf)
			if err != nil {
				return err
			}
			s, err := pickSite(r.book, site)
			if err != nil {
				return err
			}
			rows := register.Rows(r.book, s.ID, audit.Run(r.book, s.ID, r.asOf, r.beat))
			var buf bytes.Buffer
			if format == "csv" {
				err = register.CSV(&buf, rows)
			} else {
				err = register.JSON(&buf, s, r.snap.ID, r.asOf.Local(), rows)
			}
			if err != nil {
				return err
			}
			return deliver(cmd.OutOrStdout(), out, buf.Bytes())
		},
	}
	readFlags(cmd, &log, &site, &asOf)
	cmd.Flags().StringVar(&format, "format", "csv", "csv or json")
	cmd.Flags().StringVar(&out, "out", "", "write to this `file` instead of stdout, whole or not at all")
	return cmd
}

func readFlags(cmd *cobra.Command, log, site, asOf *string) {
	logFlag(cmd, log)
	cmd.Flags().StringVar(site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(asOf, "as-of", "", "as it was at this `time` (RFC 3339, or \"2026-03-09 18:00\")")
}

// deliver writes data to stdout, or whole to a file: to a temporary one first,
// which then takes the name.
func deliver(w io.Writer, file string, data []byte) error {
	if file == "" {
		_, err := w.Write(data)
		return err
	}
	tmp, err := os.CreateTemp(filepath.Dir(file), ".coolhold-*")
	if err != nil {
		return fmt.Errorf("%s is not written: %w", file, err)
	}
	defer os.Remove(tmp.Name())
	_, err = tmp.Write(data)
	if err = errors.Join(err, tmp.Sync(), tmp.Chmod(0o644), tmp.Close()); err != nil {
		return fmt.Errorf("%s is not written: %w", file, err)
	}
	return os.Rename(tmp.Name(), file)
}
