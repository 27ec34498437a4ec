package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/register/html"
	"coolhold/logbook/register/pdf"
	"coolhold/logbook/register/xlsx"
	"coolhold/logbook/whole"
	"coolhold/tui"
)

// A registering is what was asked for on the command line.
type registering struct {
	logs, verdicts                 []string
	site, asOf, day, since, format string
	files                          string // the folder with the photos
	out                            outlet
	prove                          bool
	bom                            bool
	at                             officeAsked
}

func newRegister(e edges) *cobra.Command {
	var q registering
	cmd := &cobra.Command{
		Use:   "register",
		Short: "Write the register of joints and welds",
		Long: `register lists every weld of a site in order, then the joints in which nothing
stands. It says what was recorded; "clear" means that no fault is recorded.

The format is that of --format, else of the ending of --out, else csv. The PDF
is the document for the warranty file. The HTML says the same in one file for a phone,
a browser or a screen reader, without a server: each weld by itself, with its place to
lead to (register.html#weld-KM-0012).

Times are local as the laptop's clock had them. The PDF and the workbook write them
so; the HTML writes their offset from UTC behind them; CSV and JSON write each
with its offset (RFC 3339: +01:00, or Z for UTC).

Several logs of one site, as kept on several laptops, go into one register with
--log for each. Copies of one log count once. Each weld keeps the place that its own
log's plan has; where the plans are unlike they are two sites, until somebody says by
name that they are one (coolhold site same). Of two logs with one tag the welds carry
the first letters of their log's id.

With --files FOLDER PDF and HTML show the photos that were enclosed, made small: each is
found there by its content, whatever it is called, with what it is of, our time and
the time in its file. One that is not there or was changed is named as such. JPEG and
PNG are drawn.

With --prove the JSON carries its proof. It needs a seal of this laptop over
everything in the log: run coolhold seal first.

With --as-of it is the register as it was at that time: the same log and the
same time give the same content.`,
		Example: `  coolhold register --out register.pdf
  coolhold register --out register.html
  coolhold register --out register.xlsx --day 2026-03-09
  coolhold register --bom --out register.csv
  coolhold register --out register.pdf --files photos
  coolhold register --verdict fail --verdict query
  coolhold register --log monday.coolhold --log van.coolhold --out register.pdf
  coolhold register --format json --as-of "2026-03-09 18:00"
  coolhold seal --site fallow-court && coolhold register --site fallow-court --format json --prove --out register.json`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return q.run(e, cmd.OutOrStdout()) },
	}
	f := cmd.Flags()
	logsFlag(cmd, &q.logs)
	siteFlags(cmd, &q.site, &q.asOf)
	q.at.flags(cmd)
	f.StringVar(&q.day, "day", "", "only welds of this `day`: 2026-03-09, yesterday or today")
	f.StringVar(&q.since, "since", "", "only welds from this `time` on (a day, RFC 3339, or \"2026-03-09 18:00\")")
	f.StringSliceVar(&q.verdicts, "verdict", nil, "only welds of this `verdict`: "+strings.Join(register.Verdicts, ", "))
	f.StringVar(&q.format, "format", "", "csv, json, xlsx, pdf or html")
	f.BoolVar(&q.prove, "prove", false, "with JSON, of a log that is sealed to its end (coolhold seal): carry the seal, all entries of the site and of other sites their hashes, so that it can be checked without the log")
	f.StringVar(&q.files, "files", "", "with PDF or HTML: the `folder` in which the enclosed photos lie")
	f.BoolVar(&q.bom, "bom", false, "with CSV: begin it with the mark by which a spreadsheet knows UTF-8 (without, it may spoil letters such as é)")
	q.out.flags(cmd, "it")
	return cmd
}

// A format writes a report; step is told how far it is, where that can take
// long.
type format func(w io.Writer, rep register.Report, step func(done, of int)) error

var formats = map[string]format{
	"html": html.Write,
	"csv":  func(w io.Writer, rep register.Report, _ func(done, of int)) error { return register.CSV(w, rep) },
	"json": func(w io.Writer, rep register.Report, _ func(done, of int)) error { return register.JSON(w, rep) },
	"pdf":  pdf.Write,
	"xlsx": xlsx.Write,
}

// formatOf is the format asked for.
func (q registering) formatOf() (string, error) {
	format := cmp.Or(q.format, strings.ToLower(strings.TrimPrefix(filepath.Ext(q.out.file), ".")))
	if format == "" {
		format = "csv"
	}
	if _, known := formats[format]; known {
		return format, nil
	}
	if q.format == "" {
		return "", usage("--out %q does not end in csv, json, xlsx, pdf or html; name one of them with --format", q.out.file)
	}
	return "", usage("--format %q is not known; write csv, json, xlsx, pdf or html", format)
}

func (q registering) run(e edges, w io.Writer) error {
	format, err := q.formatOf()
	if err != nil {
		return err
	}
	if binary := format == "pdf" || format == "xlsx"; binary && q.out.file == "" && tui.IsTerminal(e.out) {
		return usage("%s is nothing to read in a terminal; name a file with --out", format)
	}
	if q.files != "" && format != "pdf" && format != "html" {
		return usage("--files goes with PDF or HTML, which show the photos; %s names them by their hash", format)
	}
	if q.bom && format != "csv" {
		return usage("--bom goes with CSV; %s says by itself how it is written: leave --bom out, or write --format csv", format)
	}
	o, err := q.options(e.now())
	if err != nil {
		return err
	}
	if q.prove {
		if format != "json" {
			return usage("--prove goes with JSON; write --format json")
		}
		if q.at.at != "" {
			return usage("--prove goes with a log on this machine, which has the proof; leave --office out")
		}
		return q.proved(e, w, o)
	}
	rep, err := reportOf(e, q, o)
	if err != nil {
		return err
	}
	var buf bytes.Buffer
	bar := e.bar
	if q.files != "" {
		bar.enters("looking for the photos")
		rep.Pictures, err = picturesIn(q.files, rep.Site.Enclosed, bar.step)
	}
	if err == nil {
		if q.bom {
			buf.WriteString(register.BOM)
		}
		bar.enters("writing the register")
		err = formats[format](&buf, rep, bar.step)
	}
	if err != nil {
		return err
	}
	return q.out.deliver(w, buf.Bytes())
}

// options are the filters, checked. "yesterday" is the day before the time
// that the register is as of.
func (q registering) options(now fusion.Stamp) (register.Query, error) {
	if q.asOf != "" {
		t, err := parseAsOf(q.asOf, now)
		if err != nil {
			return register.Query{}, err
		}
		now.Wall = t.UTC()
	}
	o := register.Query{Verdicts: q.verdicts}
	var err error
	if q.day != "" {
		if o.Day, err = parseDay("--day", q.day, now.Local()); err != nil {
			return o, err
		}
	}
	for _, v := range q.verdicts {
		if !slices.Contains(register.Verdicts, v) {
			return o, usage("--verdict %q is not known; write one of: %s", v, strings.Join(register.Verdicts, ", "))
		}
	}
	if q.since == "" {
		return o, nil
	}
	from, err := parseDay("--since", q.since, now.Local())
	if err != nil {
		o.Since, err = parseTime("--since", q.since, now)
		return o, err
	}
	o.Since, err = time.ParseInLocation(time.DateOnly, from, now.Local().Location())
	return o, err
}

// reportOf reads the logs and makes the report of a site.
func reportOf(e edges, q registering, o register.Query) (register.Report, error) {
	r, logs, err := q.at.readLogs(e, q.logs, q.site, q.asOf)
	if err != nil {
		return register.Report{}, err
	}
	s, err := pickSite(r.book, q.site)
	if err != nil {
		return register.Report{}, err
	}
	e.bar.enters("judging the welds")
	o.AsOf, o.Logs = r.asOf.Local(), logs
	rep := register.New(r.book, s.ID, audit.Run(r.book, s.ID, r.asOf, r.beat), o)
	rep.Program = program()
	return rep, nil
}

func readFlags(cmd *cobra.Command, log, site, asOf *string) {
	logFlag(cmd, log)
	siteFlags(cmd, site, asOf)
}

func siteFlags(cmd *cobra.Command, site, asOf *string) {
	cmd.Flags().StringVar(site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(asOf, "as-of", "", "as it was at this `time` (RFC 3339, or \"2026-03-09 18:00\")")
}

// written says of a file that it was not, where that is so.
func saved(file string, err error) error {
	if err == nil || errors.Is(err, whole.ErrUnsynced) {
		return err
	}
	var path *fs.PathError
	var link *os.LinkError
	switch { // their name for the file is that of a part
	case errors.As(err, &path):
		err = path.Err
	case errors.As(err, &link):
		err = link.Err
	}
	return fmt.Errorf("%s is not written: %w", file, err)
}
