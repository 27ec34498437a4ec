package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/labels"
	"coolhold/logbook/labels/a4"
	"coolhold/tui"
)

func newLabels(e edges) *cobra.Command {
	var q labelQuery
	cmd := &cobra.Command{
		Use:   "labels",
		Short: "Say what to write or print for each joint, leg and header",
		Long: `labels lists what to write with a marker, and prints a sheet to cut into labels:
for each joint its weld, date and operator's mark, and until when it must cool
while a hold runs; for each leg of a circuit its port and rail; for each header,
in full for the plumber, from ground (FG) or to ground (TG). What is not welded
yet gets lines to write on. Joints that are not
being built, or were replaced by a make-up piece, get no label.

The format is that of --format, else pdf where --out ends in .pdf, else text.`,
		Example: `  coolhold labels
  coolhold labels --joint 3A
  coolhold labels --chamber A --out labels.pdf`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			data, err := q.run(e)
			if err != nil {
				return err
			}
			return q.out.deliver(cmd.OutOrStdout(), data)
		},
	}
	logFlag(cmd, &q.log)
	cmd.Flags().StringVar(&q.site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(&q.chamber, "chamber", "", "only labels of this `chamber`")
	cmd.Flags().StringVar(&q.joint, "joint", "", "only labels of this `joint`")
	cmd.Flags().StringVar(&q.format, "format", "", "text or pdf")
	cmd.Flags().BoolVar(&q.json, "json", false, "write JSON")
	q.out.flags(cmd, "it")
	return cmd
}

// A labelQuery is what was asked for on the command line.
type labelQuery struct {
	log, site, chamber, joint, format string
	out                               outlet
	json                              bool
}

func (q labelQuery) run(e edges) ([]byte, error) {
	format, err := q.formatOf()
	switch {
	case err != nil:
		return nil, err
	case format == "pdf" && q.out.file == "" && tui.IsTerminal(e.out):
		return nil, usage("a PDF is no text for a terminal: name a file with --out, or write --format text")
	}
	sheet, _, err := q.sheet(e)
	if err != nil {
		return nil, err
	}
	var buf bytes.Buffer
	switch format {
	case "json":
		err = printJSON(&buf, sheet.Labels)
	case "pdf":
		err = a4.Write(&buf, sheet)
	default:
		err = labels.WriteText(&buf, sheet.Labels)
	}
	return buf.Bytes(), err
}

// formatOf is the format asked for: text, pdf or json.
func (q labelQuery) formatOf() (string, error) {
	switch {
	case q.json && q.format != "":
		return "", usage("--json and --format do not go together; write one of them")
	case q.json:
		return "json", nil
	case q.format == "" && strings.EqualFold(filepath.Ext(q.out.file), ".pdf"):
		return "pdf", nil
	case q.format == "":
		return "text", nil
	case q.format != "text" && q.format != "pdf":
		return "", usage("--format %q is not known; write text or pdf", q.format)
	}
	return q.format, nil
}

// sheet reads the log and gives the labels that were asked for.
func (q labelQuery) sheet(e edges) (a4.Sheet, logbook.Site, error) {
	r, s, err := readSite(e, q.log, q.site, "")
	if err != nil {
		return a4.Sheet{}, s, err
	}
	o := labels.Query{Now: r.asOf, Beat: r.beat}
	if o.Chamber, err = chamberOf(r.book, s, q.chamber); err != nil {
		return a4.Sheet{}, s, err
	}
	if q.joint != "" {
		j, err := jointOf(r.book, s, q.joint)
		if err != nil {
			return a4.Sheet{}, s, err
		}
		o.Joint = j.Label
	}
	list := labels.Of(r.book, s, o)
	if len(list) == 0 {
		return a4.Sheet{}, s, exitWith(exitFindings, errors.New("there is no such label: the joint is not being built, was replaced by a make-up piece, or lies in another chamber"))
	}
	return a4.Sheet{Site: s.Name, Labels: list, At: r.asOf.Local()}, s, nil
}

// chamberOf is the name of a chamber as the plan writes it, found in either
// case; "" stays "".
func chamberOf(r logbook.Reader, s logbook.Site, name string) (string, error) {
	var names []string
	for _, j := range r.Joints(s.ID) {
		switch {
		case name == "":
			return "", nil
		case strings.EqualFold(j.Chamber, name):
			return j.Chamber, nil
		case j.Chamber != "" && !slices.Contains(names, j.Chamber):
			names = append(names, j.Chamber)
		}
	}
	return "", exitWith(exitFindings, fmt.Errorf("no chamber %q on %s; it has %s", name, s.ID, strings.Join(names, ", ")))
}

// writeLabelFile writes the labels of a site into the documents folder and gives
// the file's name. A file that is there is never written over.
func writeLabelFile(e edges, path, site string) (string, error) {
	sheet, s, err := labelQuery{log: path, site: site}.sheet(e)
	if err != nil {
		return "", err
	}
	var buf bytes.Buffer
	if err := a4.Write(&buf, sheet); err != nil {
		return "", err
	}
	folder := documents(e)
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return "", fmt.Errorf("the labels are not written: %w", err)
	}
	base := filepath.Join(folder, fileName(s.ID)+"-labels-"+sheet.At.Format(time.DateOnly))
	files, err := deliverNew(base, map[string][]byte{"pdf": buf.Bytes()})
	return strings.Join(files, ""), err
}
