package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/paper"
	"coolhold/logbook/paper/a4"
	"coolhold/logbook/paper/xlsx"
	"coolhold/tui"
)

func newSheet(e edges) *cobra.Command {
	var log, site, joints, format string
	var out outlet
	cmd := &cobra.Command{
		Use:   "sheet --out FILE.pdf",
		Short: "Print a blank sheet for the van",
		Long: `sheet prints an A4 sheet for a day without the laptop: the open joints and those
whose weld failed, the times of their fittings by band as they stand in the table that was read back, and
boxes to tick and to write in for what coolhold transcribe takes in. As XLSX or
CSV it is the file to type into: a row a joint, the same columns, and in the workbook
lists of the words to choose from.

The format is that of --format, else of the name after --out, else pdf.`,
		Example: `  coolhold sheet --out van.pdf
  coolhold sheet --out van.xlsx
  coolhold sheet --joints 1A,1B --format text`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if format == "" {
				format = formatOf(out.file)
			}
			switch {
			case !slices.Contains(sheetFormats, format):
				return usage("--format %q is not known; write pdf, xlsx, csv or text", format)
			case (format == "pdf" || format == "xlsx") && out.file == "" && tui.IsTerminal(e.out):
				return usage("a %s is no text for a terminal: name a file with --out, or write --format text", strings.ToUpper(format))
			}
			r, s, err := readSite(e, log, site, "")
			if err != nil {
				return err
			}
			list, err := jointsFor(r, s, joints)
			if err != nil {
				return err
			}
			data, err := printed(paper.SheetOf(s, list, r.asOf.Local().Format("2006-01-02")), format, e)
			if err != nil {
				return err
			}
			return out.deliver(cmd.OutOrStdout(), data)
		},
	}
	logFlag(cmd, &log)
	cmd.Flags().StringVar(&site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(&joints, "joints", "", "only these `joints`, with commas between them (else all that are open or failed)")
	cmd.Flags().StringVar(&format, "format", "", "pdf, xlsx, csv or text")
	out.flags(cmd, "it")
	return cmd
}

var sheetFormats = []string{"pdf", "xlsx", "csv", "text"}

// formatOf is the format by the name of a file, pdf where it says nothing.
func formatOf(file string) string {
	ext := strings.ToLower(strings.TrimPrefix(filepath.Ext(file), "."))
	switch {
	case ext == "txt":
		return "text"
	case slices.Contains(sheetFormats, ext):
		return ext
	}
	return "pdf"
}

func printed(s paper.Sheet, format string, e edges) ([]byte, error) {
	var buf bytes.Buffer
	var err error
	switch format {
	case "text":
		err = s.WriteText(&buf)
	case "csv":
		err = s.WriteCSV(&buf)
	case "xlsx":
		err = xlsx.Write(&buf, s, e.now().Local())
	default:
		err = a4.Write(&buf, s, e.now().Local())
	}
	return buf.Bytes(), err
}

// jointsFor are the joints named, or those that are open and, after them, those
// whose weld failed: they are to be welded anew.
func jointsFor(r reading, s logbook.Site, names string) (out []paper.ToWeld, err error) {
	res := audit.Run(r.book, s.ID, r.asOf, r.beat)
	must := func(j logbook.Joint) paper.ToWeld {
		if j.Stands != "" && res.Verdict(j.Stands) == audit.Failed {
			return paper.ToWeld{Joint: j, CutOut: j.Stands}
		}
		return paper.ToWeld{Joint: j}
	}
	if names == "" {
		for _, j := range ahead.OpenJoints(r.book, s.ID) {
			out = append(out, must(j))
		}
		for _, j := range r.book.Joints(s.ID) {
			if m := must(j); m.CutOut != "" {
				out = append(out, m)
			}
		}
		if len(out) == 0 {
			err = exitWith(exitFindings, fmt.Errorf("no joint of %s is open and none failed; name joints with --joints", s.ID))
		}
		return out, err
	}
	for _, name := range strings.Split(names, ",") {
		j, err := jointOf(r.book, s, strings.TrimSpace(name))
		if err != nil {
			return nil, err
		}
		out = append(out, must(j))
	}
	return out, nil
}

// jointOf finds a joint by its label, in either case.
func jointOf(r logbook.Reader, s logbook.Site, name string) (logbook.Joint, error) {
	for _, j := range r.Joints(s.ID) {
		if strings.EqualFold(j.Label, name) {
			return j, nil
		}
	}
	return logbook.Joint{}, exitWith(exitFindings, fmt.Errorf("no joint %q on %s", name, s.ID))
}
