package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/office"
	"coolhold/logbook/office/pg"
	"coolhold/logbook/store"
	"coolhold/logbook/whole"
)

// An officeAsk is a verb that asks the office's database and writes what it says, as text or
// as JSON.
type officeAsk struct {
	db   string
	json bool
}

// flags adds what each of them takes.
func (a *officeAsk) flags(cmd *cobra.Command) *cobra.Command {
	officeDBFlag(cmd, &a.db)
	cmd.Flags().BoolVar(&a.json, "json", false, "write JSON")
	return cmd
}

// ask opens the database for f, and prints what f gives; a finding ends with exit code 1.
func ask[T any](e edges, cmd *cobra.Command, a officeAsk, f func(context.Context, *pg.Office) ([]T, error), none func() string, row func(io.Writer, T), finding bool) error {
	o, err := officeDB(e, a.db)
	if err != nil {
		return err
	}
	defer o.Close()
	all, err := f(context.Background(), o)
	if err != nil {
		return acted(err)
	}
	w := cmd.OutOrStdout()
	if a.json {
		err = printJSON(w, append([]T{}, all...))
	} else if len(all) == 0 {
		_, err = fmt.Fprintln(w, none())
	} else {
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, one := range all {
			row(t, one)
		}
		err = t.Flush()
	}
	if err == nil && finding && len(all) > 0 {
		err = &exitError{code: exitFindings}
	}
	return err
}

// says is an answer that is known before anybody is asked.
func says(text string) func() string { return func() string { return text } }

const officeTime = "2006-01-02 15:04"

func newOfficeSilent(e edges) *cobra.Command {
	var a officeAsk
	var days int
	cmd := &cobra.Command{
		Use:   "silent [--days N]",
		Short: "Name the laptops that were not heard of for a while",
		Long: `silent names each log that said nothing for some days, with its crew, when it last said
what it holds, and how much is open in its sites; then each laptop that was admitted and
never sent, and each that waits to be admitted. A laptop whose board runs says so by
itself; one that is silent may hold welds that nobody else has. It ends with exit code 1
where there is one of these.`,
		Example: `  coolhold office silent --days 3`,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if days < 1 {
				return usage("--days %d: at least 1", days)
			}
			since := e.now().Wall.Add(-time.Duration(days) * 24 * time.Hour)
			none := ""
			return ask(e, cmd, a, func(ctx context.Context, o *pg.Office) ([]pg.Quiet, error) {
				out, laptops, err := o.Silent(ctx, since)
				none = fmt.Sprintf("every laptop was heard of within %s", logbook.Count(days, "day"))
				if laptops == 0 {
					none = "no laptop is admitted: there is none to be heard of"
				}
				return out, err
			}, func() string { return none }, printQuiet, true)
		},
	}
	cmd.Flags().IntVar(&days, "days", office.SilentDays, "for how many `days`")
	return a.flags(cmd)
}

func printQuiet(w io.Writer, q pg.Quiet) {
	at, crew, withdrawn := q.Heard.Local().Format(officeTime), logbook.Clean(q.Crew), ""
	if q.Withdrawn {
		withdrawn = "\tits key is WITHDRAWN"
	}
	switch q.What {
	case "never":
		fmt.Fprintf(w, "key %s\t%s\tadmitted %s, and never sent anything\n", q.Key, crew, at)
	case "waiting":
		if crew == "" {
			crew = "not admitted"
		}
		fmt.Fprintf(w, "key %s\t%s\t%s since %s%s\n", logbook.Clean(q.Key), crew, waitsOf(q.Parcels, q.Tag), at, withdrawn)
	default:
		fmt.Fprintf(w, "log %s\t%s\tlast heard of %s\t%s\t%d open\t%s%s\n", q.Tag, crew, at, logbook.Count(int(q.Entries), "entry"), q.Open, q.Log, withdrawn)
	}
}

func newOfficeParted(e edges) *cobra.Command {
	var a officeAsk
	cmd := &cobra.Command{
		Use:   "parted",
		Short: "Name the logs that went on in two ways, and weld numbers that mean two pipes",
		Long: `parted names each log of which a laptop went on from an older copy: it was set up anew,
or a copy was worked on elsewhere. Both courses are kept, from the entry that is not the
same, and never merged. A weld number that both gave means two pipes: write to both what
each is called from now on. Let one laptop go on with the log and begin another on the
second, with letters of its own (coolhold --log FILE site new --tag). So it is with two logs that were given the same letters; they
are named too. It ends with exit code 1 where there is one of either that nobody settled
(coolhold office settle).`,
		Example: `  coolhold office parted`,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			open := false
			err := ask(e, cmd, a, func(ctx context.Context, o *pg.Office) ([]pg.Fork, error) {
				forks, err := o.Forks(ctx)
				open = slices.ContainsFunc(forks, func(f pg.Fork) bool { return f.Open })
				return forks, err
			}, says("no log parted, no two have the same letters"), printFork, false)
			if err == nil && open {
				err = &exitError{code: exitFindings}
			}
			return err
		},
	}
	return a.flags(cmd)
}

// mostTwice is how many weld numbers of two logs are written out: our choice.
const mostTwice = 5

func printFork(w io.Writer, f pg.Fork) {
	if f.Other != "" {
		fmt.Fprintf(w, "log %s (%s) and another log have the same letters, since %s: say which log with each weld number; their ids: %s and %s\n", f.Tag, logbook.Clean(f.Crew), f.Since.Local().Format(officeTime), f.Log, f.Other)
	} else {
		fmt.Fprintf(w, "log %s, branch %d (%s) left branch %d at entry %d; it has %d, first heard of %s, last %s; its id: %s/%d\n",
			f.Tag, f.Branch, logbook.Clean(f.Crew), f.Parent, f.Parted, f.Entries, f.Since.Local().Format(officeTime), f.Heard.Local().Format(officeTime), f.Log, f.Branch)
	}
	open := f.Twice
	if n := slices.IndexFunc(open, func(t pg.Twice) bool { return t.Settled }); n >= 0 {
		open = open[:n] // those that are settled come last, and are told with who did it
	}
	for i, t := range open {
		if f.Other == "" {
			fmt.Fprintf(w, "  %s is two pipes: %s here, %s in branch %d\n", t.Weld, logbook.Clean(t.Here), logbook.Clean(t.Else), t.There)
			continue
		}
		if i == mostTwice {
			fmt.Fprintf(w, "  and %d more; --json has all\n", len(open)-i)
			break
		}
		fmt.Fprintf(w, "  %s is two pipes: %s%s in the first, %s%s in the other\n", t.Weld, logbook.Clean(t.Here), ofBranch(t.Branch), logbook.Clean(t.Else), ofBranch(t.There))
	}
	for _, s := range f.Settled {
		of := ""
		if n := len(s.Numbers); n > 0 {
			of = " (" + strings.Join(s.Numbers[:min(n, mostTwice)], ", ")
			if n > mostTwice {
				of += fmt.Sprintf(" and %d more", n-mostTwice)
			}
			of += ")"
		}
		fmt.Fprintf(w, "  settled %s by %s%s: %s\n", s.At.Local().Format(officeTime), logbook.Clean(s.By), of, logbook.Clean(s.Why))
	}
	switch {
	case !f.Open:
	case f.Other == "":
		fmt.Fprintf(w, "  let one laptop go on with log %[1]s, and the other begin a log with letters of its own; read each with --log %[1]s/%[2]d and --log %[1]s/%[3]d; then: coolhold office settle %[1]s/%[3]d\n", f.Tag, f.Parent, f.Branch)
	default:
		fmt.Fprintf(w, "  let the newer of them begin a log with letters of its own; then: coolhold office settle %s\n", f.Log)
	}
}

// ofBranch names a further branch.
func ofBranch(no int) string {
	if no == 0 {
		return ""
	}
	return fmt.Sprintf(" (branch %d)", no)
}

func newOfficeSettle(e edges) *cobra.Command {
	var db, by, why string
	cmd := &cobra.Command{
		Use:   "settle LOG --by NAME --why TEXT",
		Short: "Say that the weld numbers of what parted are told apart",
		Long: `settle says of a log that went on in two ways, or of two logs with the same letters, that
somebody saw to it, and in TEXT what was done: how the pipes with one number are called
now, and which laptop goes on. LOG is as coolhold office parted names it, KM/1 say. Nothing
of either course is changed or left out. coolhold office parted tells it from then on, and
no longer ends with exit code 1 for it, until another number comes that means two pipes.
It can be said again, to put right or add to what was done: all of it stays told.`,
		Example: `  coolhold office settle KM/1 --by "Ida Invented" --why "KM-0012 of branch 1 is written 12b on the pipe"`,
		Args:    cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 || strings.TrimSpace(by) == "" || strings.TrimSpace(why) == "" {
				return usage("a log as coolhold office parted names it, --by and --why are needed; see coolhold office settle --help")
			}
			o, err := officeDB(e, db)
			if err != nil {
				return err
			}
			defer o.Close()
			f, err := o.Settle(context.Background(), args[0], by, why)
			if errors.Is(err, pg.ErrNotParted) {
				return exitWith(exitFindings, err)
			} else if err != nil {
				return acted(err)
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s is settled, with all that means two pipes in it now: %d\n", logbook.Clean(args[0]), len(f.Twice))
			return err
		},
	}
	officeDBFlag(cmd, &db)
	cmd.Flags().StringVar(&by, "by", "", "the `name` of who says so")
	cmd.Flags().StringVar(&why, "why", "", "`text`: what was done")
	return cmd
}

func newOfficeRates(e edges) *cobra.Command {
	var a officeAsk
	var by string
	cmd := &cobra.Command{
		Use:   "rates --by batch|unit|operator|crew",
		Short: "Say which batch, unit, operator or crew has most welds with a fail on record",
		Long: fmt.Sprintf(`rates counts the welds with each batch, control unit, operator or crew, and those with a
fail on record, accepted or cut out since or not. A weld is of the crew that the laptop's
key had when it was made. Fewer than %d welds are left out: they say nothing. The first are those with the highest share that is still sure: the lower
bound of Wilson's interval at 95 %%, so that one fail among few does not stand above many
among many. A share says where to look, not why.`, office.LeastRate),
		Example: `  coolhold office rates --by batch`,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if by == "" {
				return usage("by what? write --by batch, unit, operator or crew")
			}
			return ask(e, cmd, a, func(ctx context.Context, o *pg.Office) ([]office.Rate, error) {
				rates, few, err := o.Rates(ctx, by)
				if errors.Is(err, office.ErrNotHeld) {
					err = usage("--by %q is not counted by; write batch, unit, operator or crew", by)
				}
				if few > 0 {
					fmt.Fprintf(e.err, "coolhold: left out, since fewer than %d welds say nothing: %s\n", office.LeastRate, counted(few, by))
				}
				if err == nil {
					var late []string
					if late, err = o.Late(ctx); len(late) > 0 {
						fmt.Fprintf(e.err, "coolhold: not counted to the end, since not all is worked up: %s\n", logbook.Clean(strings.Join(late, ", ")))
					}
				}
				return rates, err
			}, says(fmt.Sprintf("none has %d welds yet", office.LeastRate)), func(w io.Writer, r office.Rate) {
				fmt.Fprintf(w, "%s\t%d welds\t%d with a fail\t%.1f %%\tat least %.1f %%\n", logbook.Clean(r.Of), r.Welds, r.Fails, 100*r.Share, 100*r.AtLeast)
			}, false)
		},
	}
	cmd.Flags().StringVar(&by, "by", "", "`what` to count by: batch, unit, operator or crew")
	return a.flags(cmd)
}

// counted counts what is counted by.
func counted(n int, by string) string {
	if by == "batch" && n != 1 {
		return fmt.Sprintf("%d batches", n)
	}
	return logbook.Count(n, by)
}

func newOfficeCheck(e edges) *cobra.Command {
	var a officeAsk
	cmd := &cobra.Command{
		Use:   "check",
		Short: "Hold all that the office has against the laptops' seals",
		Long: `check makes the root of every log anew from its lines and holds each parcel against the
seal that came with it, and that against the laptop's key. It only reads, so it can be
asked of a copy of the database too. It looks whether the office's roles have their rights,
and asks a question, as serve does before it listens. It ends with exit code 1 where something does not hold.`,
		Example: `  coolhold office check
  coolhold office check --db "host=copy dbname=welds"`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			bad := false
			var asked error
			err := ask(e, cmd, a, func(ctx context.Context, o *pg.Office) ([]pg.Checked, error) {
				asked = cmp.Or(o.Rights(ctx), o.Warm(ctx))
				return o.Check(ctx)
			}, says("the office holds nothing yet"), func(w io.Writer, c pg.Checked) {
				holds := "every parcel is what was sealed"
				if c.Fault != "" {
					bad, holds = true, "DOES NOT HOLD: "+c.Fault
				}
				fmt.Fprintf(w, "log %s/%d\t%s\t%s\t%s\t%s\n", c.Tag, c.Branch, logbook.Count(c.Parcels, "parcel"), logbook.Count(int(c.Entries), "entry"), holds, c.Log)
			}, false)
			if err == nil && asked != nil {
				err = exitWith(exitLog, fmt.Errorf("what was sent is told above; but the office cannot do all that it should: %w", asked))
			}
			if err == nil && bad {
				err = &exitError{code: exitFindings}
			}
			return err
		},
	}
	return a.flags(cmd)
}

func newOfficeRebuild(e edges) *cobra.Command {
	var db string
	cmd := &cobra.Command{
		Use:   "rebuild",
		Short: "Make the rows to search by anew from the parcels",
		Long: `rebuild drops all that was worked up and makes it anew. What laptops sent is not
touched. The roles of the office get their rights in the database again. It is needed
after a fault of the program, or where a table of what was worked up, or a right, is gone;
while it runs answers name the sites that are not worked up yet.`,
		Example: `  coolhold office rebuild`,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			o, err := officeToWorkUp(e, db)
			if err != nil {
				return err
			}
			defer o.Close()
			faults, err := o.Rebuild(context.Background())
			if err != nil {
				return exitWith(exitLog, err)
			}
			notWorkedUp(e, faults)
			fmt.Fprintln(cmd.OutOrStdout(), "all that could be was worked up anew")
			if len(faults) > 0 {
				return &exitError{code: exitFindings}
			}
			return nil
		},
	}
	officeDBFlag(cmd, &db)
	return cmd
}

func newOfficeHandBack(e edges) *cobra.Command {
	var db, out string
	cmd := &cobra.Command{
		Use:   "hand-back LOG --out FILE",
		Short: "Give a laptop its log back, as far as the office has it",
		Long: `hand-back writes a log as the office holds it: with its own id and letters and all of its
entries, and one more that says that it was made anew. LOG is its letters or its id, with
/1 behind it the branch of that number. Nothing that stands there is replaced. What the
laptop wrote after it last sent is not in it. On the laptop the office is named anew with
coolhold send --to: a log that was handed back knows of none.`,
		Example: `  coolhold office hand-back KM --out welds.coolhold`,
		Args:    cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 || out == "" {
				return usage("which log, and into which file? write coolhold %s", cmd.Use)
			}
			o, err := officeDB(e, db)
			if err != nil {
				return err
			}
			defer o.Close()
			id, tag, lines, err := o.HandBack(context.Background(), args[0])
			if err != nil {
				return acted(err)
			}
			r, err := handBack(e, id, tag, lines, out)
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s: log %s with %s from the office; coolhold verify %s checks it. It knows of no office yet: on the laptop, coolhold send --to https://… names it\n", logbook.Clean(out), tag, entries(r.Entries), logbook.Clean(out))
			return err
		},
	}
	officeDBFlag(cmd, &db)
	cmd.Flags().StringVar(&out, "out", "", "write the log to this `file`")
	return cmd
}

// handBack makes a log from lines, by way of a journal of them.
func handBack(e edges, id, tag string, lines [][]byte, out string) (r store.Restored, err error) {
	if _, err := os.Stat(filepath.Dir(out)); err != nil {
		return r, exitWith(exitInput, saved(out, err))
	}
	dir, err := os.MkdirTemp("", "coolhold-hand-*")
	if err != nil {
		return r, exitWith(exitLog, err)
	}
	defer os.RemoveAll(dir)
	var text bytes.Buffer
	if err := store.WriteJournal(&text, id, tag, lines); err != nil {
		return r, err
	}
	name := filepath.Join(dir, "log")
	if err := whole.New(name+".journal", whole.Bytes(text.Bytes(), 0o600)); err != nil {
		return r, exitWith(exitLog, saved(name, err))
	}
	r, err = store.Restore(context.Background(), name, out, e.now())
	return r, stored(err)
}
