package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/csv"
	"fmt"
	"hash/maphash"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/recall"
	"coolhold/logbook/register"
	"coolhold/logbook/store"
)

// A recalling is what was asked for on the command line.
type recalling struct {
	recall.Query
	logs   []string
	format string
	out    outlet
	at     officeAsked
}

func newRecall(e edges) *cobra.Command {
	var q recalling
	cmd := &cobra.Command{
		Use:   "recall --batch B | --unit SERIAL | --operator NAME [--from DAY] [--to DAY]",
		Short: "Find every weld that ever had a batch, a control unit or an operator",
		Long: `recall looks through all sites of one log, or of several with --log for each, for
the welds that have a batch (of fitting, coil or stub), a control unit or an operator,
or that had it before a correction or a changed answer, on a bag that was read, or on
paper. Case, blanks and hyphens do not count, nor a word before a batch ("coil 5591");
what matched is shown as it was written. With --office it looks in all logs there, or in
those that --log names (NC/1 for a branch), and says which laptops it cannot know of.

It ends with exit code 1 where nothing is found.`,
		Example: `  coolhold recall --batch W-4032-7
  coolhold recall --unit CU-1 --from 2026-03-01 --to 2026-03-31 --log monday.coolhold --log van.coolhold
  coolhold recall --operator "Ada Invented" --format csv --out ada.csv`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return q.run(e, cmd) },
	}
	f := cmd.Flags()
	logsFlag(cmd, &q.logs)
	q.at.flags(cmd)
	f.StringVar(&q.Batch, "batch", "", "`batch` of a fitting, coil or stub")
	f.StringVar(&q.Unit, "unit", "", "`serial` number of a control unit")
	f.StringVar(&q.Operator, "operator", "", "`name` of an operator")
	f.StringVar(&q.From, "from", "", "only welds of this `day` and after: 2026-03-09, yesterday or today")
	f.StringVar(&q.To, "to", "", "only welds of this `day` and before")
	f.StringVar(&q.format, "format", "", "text, csv or json")
	q.out.flags(cmd, "it")
	return cmd
}

var recallForms = map[string]func(io.Writer, []recall.Hit) error{
	"text": printRecall,
	"csv":  recallCSV,
	"json": func(w io.Writer, hits []recall.Hit) error { return printJSON(w, hits) },
}

func (q *recalling) run(e edges, cmd *cobra.Command) error {
	form, err := q.check(e, cmd)
	if err != nil {
		return err
	}
	hits, err := q.find(e, q.Query)
	switch {
	case err != nil:
		return err
	case len(hits) == 0:
		if q.format == "json" { // who reads it by program gets a list too
			if err := q.out.deliver(cmd.OutOrStdout(), []byte("[]\n")); err != nil {
				return err
			}
		}
		return q.nothing(e)
	}
	var buf bytes.Buffer
	if err := form(&buf, hits); err != nil {
		return err
	}
	return q.out.deliver(cmd.OutOrStdout(), buf.Bytes())
}

// find looks in the logs that are named, or at the office.
func (q *recalling) find(e edges, query recall.Query) ([]recall.Hit, error) {
	switch {
	case q.at.at != "":
		return q.at.recalled(e, q.logs, query)
	case len(q.logs) == 0:
		return recalled(e, []string{""}, query)
	}
	return recalled(e, q.logs, query)
}

// check wants one thing asked for, days that are days, and a format that is known.
func (q *recalling) check(e edges, cmd *cobra.Command) (form func(io.Writer, []recall.Hit) error, err error) {
	given := 0
	for _, name := range []string{"batch", "unit", "operator"} {
		if cmd.Flags().Changed(name) {
			given++
		}
	}
	if given != 1 {
		return nil, usage("one of --batch, --unit and --operator is needed, not %d; see coolhold recall --help", given)
	}
	if err := q.at.check(q.logs); err != nil {
		return nil, err
	}
	if q.Blank() {
		return nil, usage("what is asked for is blank; see coolhold recall --help")
	}
	for flag, day := range map[string]*string{"--from": &q.From, "--to": &q.To} {
		if *day == "" {
			continue
		}
		if *day, err = parseDay(flag, *day, e.now().Local()); err != nil {
			return nil, err
		}
	}
	if q.From != "" && q.To != "" && q.From > q.To {
		return nil, usage("--from %s is after --to %s: there is no such day", q.From, q.To)
	}
	if ending := strings.ToLower(strings.TrimPrefix(filepath.Ext(q.out.file), ".")); q.format == "" && recallForms[ending] != nil {
		q.format = ending
	}
	q.format = cmp.Or(q.format, "text")
	if form = recallForms[q.format]; form == nil {
		return nil, usage("--format %q is not known; write text, csv or json", q.format)
	}
	return form, nil
}

// nothing says that nothing was found. Where days were named, what there is of other days
// is said: nobody shall take a batch for one that was never used.
func (q *recalling) nothing(e edges) error {
	what, anyDay := logbook.Clean(q.String()), q.Query
	if anyDay.From, anyDay.To = "", ""; anyDay != q.Query {
		e.err = io.Discard // what is not known was said
		hits, err := q.find(e, anyDay)
		if err != nil {
			return err
		}
		if len(hits) > 0 {
			has := map[bool]string{true: "has", false: "have"}[len(hits) == 1]
			return exitWith(exitFindings, fmt.Errorf("no weld of those days (%s) has or had %s; %s of other days %s or had it", q.days(), what, logbook.Count(len(hits), "weld"), has))
		}
	}
	return exitWith(exitFindings, fmt.Errorf("no weld has or had %s", what))
}

// days are those that were asked for.
func (q *recalling) days() string {
	var parts []string
	if q.From != "" {
		parts = append(parts, "from "+q.From)
	}
	if q.To != "" {
		parts = append(parts, "to "+q.To)
	}
	return strings.Join(parts, " ")
}

// A lookedThrough is one file with what was found in it.
type lookedThrough struct {
	logbook.LogCopy
	sums []uint64 // of the lines, where there are several files
	hits []recall.Hit
}

// recalled are the hits in all logs. Of copies of one log the longest counts; copies
// that both went on are refused, since each lacks welds that the other has.
func recalled(e edges, files []string, q recall.Query) ([]recall.Hit, error) {
	var logs []lookedThrough
	looker := looking{Query: q, several: len(files) > 1, seed: maphash.MakeSeed()}
	for _, file := range files {
		l, err := looker.through(logPath(e, file))
		if err != nil {
			return nil, exitWith(exitLog, err)
		}
		i := slices.IndexFunc(logs, func(o lookedThrough) bool { return o.ID == l.ID })
		if i < 0 {
			logs = append(logs, l)
			continue
		}
		if n := parting(logs[i].sums, l.sums); n > 0 {
			return nil, exitWith(exitLog, logbook.Forked(logs[i].Name, l.Name, n))
		}
		if len(l.sums) > len(logs[i].sums) {
			logs[i] = l
		}
	}
	return named(logs), nil
}

// parting is the first line, counted from 1, in which two copies differ; 0 where the
// shorter begins the longer.
func parting(a, b []uint64) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i + 1
		}
	}
	return 0
}

// named are the hits of all logs with the names that tell those apart.
func named(logs []lookedThrough) (out []recall.Hit) {
	var copies []logbook.LogCopy
	for _, l := range logs {
		copies = append(copies, l.LogCopy)
	}
	for i, from := range logbook.Origins(copies) {
		for _, h := range logs[i].hits {
			h.Log, h.LogID, h.Weld = from.Name(), from.ID, h.Weld+from.Mark
			out = append(out, h)
		}
	}
	return out
}

// A looking goes through files one after the other.
type looking struct {
	recall.Query
	several bool
	seed    maphash.Seed
}

func (q looking) through(file string) (l lookedThrough, err error) {
	err = store.ReadLines(context.Background(), file, func(lines store.Lines) error {
		l.Name, l.ID, l.Tag = file, lines.ID, lines.Tag
		s := recall.New(q.Query)
		look := func(line []byte) {
			if q.several {
				l.sums = append(l.sums, maphash.Bytes(q.seed, line))
			}
			s.Look(line)
		}
		if err := lines.Each(look); err != nil || len(s.Sites()) == 0 {
			return err
		}
		err := keeping(lines, s)
		l.hits = s.Hits(l.Tag)
		return err
	})
	return l, err
}

// keeping goes through the lines of the sites in which something was found; through all of
// them where one of those was never opened.
func keeping(lines store.Lines, s *recall.Search) error {
	for _, site := range s.Sites() {
		if opened, err := lines.OfSite(site, s.Keep); err != nil {
			return err
		} else if !opened {
			s.Forget()
			return lines.Each(s.Keep)
		}
	}
	return nil
}

// matched says what matched, as it was written.
func matched(h recall.Hit) string {
	var parts []string
	for _, m := range h.Matches {
		was := ""
		if !m.Now {
			was = "before, "
		}
		if m.How != "" {
			was += m.How.String() + ", "
		}
		parts = append(parts, fmt.Sprintf("%s %q (%s%s)", m.Value, m.As, was, m.Kind))
	}
	return strings.Join(parts, "; ")
}

func printRecall(w io.Writer, hits []recall.Hit) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, h := range hits {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\n", h.Day, h.Weld, logbook.Clean(h.Site), logbook.Clean(h.Joint), h.State, logbook.Clean(matched(h)))
	}
	return t.Flush()
}

// recallCSV writes a row a weld by RFC 4180, as the register does.
func recallCSV(w io.Writer, hits []recall.Hit) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	rows := [][]string{{"log", "log_id", "site", "address", "weld", "joint", "chamber", "day", "state", "fitting", "operator", "control_unit", "matched"}}
	for _, h := range hits {
		rows = append(rows, []string{h.Log, h.LogID, h.Site, h.Address, h.Weld, h.Joint, h.Chamber, h.Day, h.State, h.Fitting, h.Operator, h.Unit, matched(h)})
	}
	for _, row := range rows {
		for i := range row {
			row[i] = register.Harmless(row[i])
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
