package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/fault"
	"coolhold/logbook/plan"
	"coolhold/logbook/store"
	"coolhold/logbook/table"
)

func newSite(e edges) *cobra.Command {
	cmd := &cobra.Command{Use: "site", Short: "Open sites, take tables and kits for them, say which are one", RunE: group}
	cmd.AddCommand(newSiteNew(e), newSiteTable(e), newSiteKit(e), newSiteSame(e))
	return cmd
}

func newSiteNew(e edges) *cobra.Command {
	var log, plan, tag string
	var tables []string
	cmd := &cobra.Command{
		Use:   "new --plan FILE --table FILE…",
		Short: "Open a site from its plan and its fusion tables",
		Long: `new takes a site plan and its fusion tables into the log with their exact text
and lists every joint that must exist. A plan whose fittings do not go where they
stand is refused, and so is one with a fitting that no table has. Where there is
no log it makes one, with two letters of its own that stand in every weld number.

Each table must then be read back once against its print by a named person:
the board asks for it.`,
		Example: `  coolhold site new --plan testdata/plans/hillfoot.toml --table testdata/tables/valley.toml
  coolhold site new --log /media/stick/valley.coolhold --tag KM --plan plan.toml --table a.toml --table b.toml`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if plan == "" || len(tables) == 0 {
				return usage("a plan and at least one table are needed; write coolhold site %s", cmd.Use)
			}
			l, site, err := openSite(e, head(e, ""), logPath(e, log), tag, plan, tables)
			if err != nil {
				return err
			}
			return exitWith(exitLog, l.View(context.Background(), func(r logbook.Reader) error {
				s, _ := r.Site(site)
				printOpened(cmd.OutOrStdout(), s, r.Joints(site), l)
				return nil
			}))
		},
	}
	logFlag(cmd, &log)
	cmd.Flags().StringVar(&plan, "plan", "", "the site plan's `file`")
	cmd.Flags().StringArrayVar(&tables, "table", nil, "a fusion table's `file`; may be given more than once")
	cmd.Flags().StringVar(&tag, "tag", "", "two `letters` for a new log (else drawn at random)")
	return cmd
}

// printOpened says what is to be welded and what is not ours.
func printOpened(w io.Writer, s logbook.Site, joints []logbook.Joint, l *store.Log) {
	ours := logbook.Count(len(joints), "joint") + " to weld"
	if s.Plan != nil && factory(*s.Plan) != "" {
		ours += "; " + factory(*s.Plan)
	}
	fmt.Fprintf(w, "%s: %s; log %s, weld numbers %s-…\n", logbook.Clean(s.ID), ours, logbook.Clean(l.Path()), l.Tag())
}

// openSite reads the files before anything is made, so that bad input changes
// nothing.
func openSite(e edges, h acts.Head, path, tag, plan string, tables []string) (*store.Log, string, error) {
	p, err := loadPlan(plan)
	if err != nil {
		return nil, "", err
	}
	planFile, err := takeFile(plan)
	if err != nil {
		return nil, "", err
	}
	g := givenSite{name: plan, plan: p, planFile: planFile}
	for _, name := range tables {
		t, err := loadTable(name)
		if err != nil {
			return nil, "", err
		}
		f, err := takeFile(name)
		if err != nil {
			return nil, "", err
		}
		g.tables, g.files = append(g.tables, t), append(g.files, f)
	}
	return g.open(e, h, path, tag)
}

// A givenSite is what a site is opened from, as it was read.
type givenSite struct {
	name     string // of the plan, in what is said of it
	plan     plan.Plan
	planFile acts.File
	tables   []fusion.Table
	files    []acts.File // of the tables
}

// openTyped opens a site from texts that are at hand.
func openTyped(e edges, h acts.Head, path, tag string, planFile acts.File, files []acts.File) (*store.Log, string, error) {
	p, err := plan.Parse([]byte(planFile.Text))
	if err != nil {
		return nil, "", exitWith(exitInput, err)
	}
	g := givenSite{name: planFile.Name, plan: p, planFile: planFile, files: files}
	for _, f := range files {
		t, err := table.Parse([]byte(f.Text))
		if err != nil {
			return nil, "", exitWith(exitInput, err)
		}
		g.tables = append(g.tables, t)
	}
	return g.open(e, h, path, tag)
}

func (g givenSite) open(e edges, h acts.Head, path, tag string) (*store.Log, string, error) {
	if err := cmp.Or(inNoTable(g.name, g.plan.Joints(), g.tables), misfit(g.name, g.plan, g.tables)); err != nil {
		return nil, "", err
	}
	defer underSave.begin()() // no log without its site
	act := acts.OpenSite(h, g.planFile, g.files)
	if _, err := act(logbook.NewBook("", 1)); err != nil { // before a log is made for it
		return nil, "", acted(err)
	}
	d := deed{path: path, whole: true, head: h, open: func(path string) (*store.Log, error) { return openOrCreate(e, path, tag) }}
	done, err := d.write(func(scene) (acts.Act, error) { return act, nil })
	if err != nil {
		return nil, "", err
	}
	return done.log, done.entries[0].Site, nil
}

// inNoTable refuses a plan with a fitting that no table has: nobody could weld
// it, and on the site there may be no bag to copy. Case and the width of blanks do
// not count.
func inNoTable(file string, joints []plan.Joint, tables []fusion.Table) error {
	var names, missing []string
	for _, t := range tables {
		for _, f := range t.Fittings {
			names = append(names, f.Name)
		}
	}
	labels := map[string][]string{}
	for _, j := range joints {
		if j.Fitting == "" || slices.ContainsFunc(names, func(n string) bool { return fusion.Folded(n) == fusion.Folded(j.Fitting) }) {
			continue
		}
		if labels[j.Fitting] == nil {
			missing = append(missing, j.Fitting)
		}
		labels[j.Fitting] = append(labels[j.Fitting], j.Label)
	}
	if len(missing) == 0 {
		return nil
	}
	meant := ""
	if near := fault.Nearest(missing[0], names, 1); len(near) > 0 {
		meant = fmt.Sprintf("is %q meant? ", near[0])
	}
	for i, fitting := range missing {
		missing[i] = fmt.Sprintf("%s (%q)", ahead.InShort(labels[fitting]), fitting)
	}
	return exitWith(exitInput, fmt.Errorf("%s: no table given has the fitting of %s: %scorrect the plan, or give the table that has it too", file, strings.Join(missing, ", "), meant))
}

func takeFile(name string) (acts.File, error) {
	data, err := readInput(name)
	return acts.File{Name: filepath.Base(name), Text: string(data)}, err
}

func newSiteTable(e edges) *cobra.Command {
	var log, site, table string
	cmd := &cobra.Command{
		Use:   "table --table FILE",
		Short: "Take a further table, or a corrected one, for a site",
		Long: `table takes one more fusion table for a site that is open. A row of it goes
before the same row of an older table. Like every table it must be read back.`,
		Example: `  coolhold site table --site hillfoot-barn --table valley-2.toml`,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if table == "" {
				return usage("no table given; write coolhold site %s", cmd.Use)
			}
			done, err := takeInto(logPath(e, log), site, head(e, ""), table, loadTable, acts.TakeTable)
			if err != nil {
				return err
			}
			fmt.Fprintf(cmd.OutOrStdout(), "%s: table %s taken; read it back on the board (key 5)\n", logbook.Clean(done.site.ID), logbook.Clean(table))
			return nil
		},
	}
	logFlag(cmd, &log)
	cmd.Flags().StringVar(&site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(&table, "table", "", "the fusion table's `file`")
	return cmd
}

// takeInto takes a file into a log. It is read before the log is touched, so
// that bad input changes nothing.
func takeInto[T any](path, site string, h acts.Head, name string, load func(string) (T, error), act func(acts.Head, acts.File) acts.Act) (written, error) {
	if _, err := load(name); err != nil {
		return written{}, err
	}
	f, err := takeFile(name)
	if err != nil {
		return written{}, err
	}
	return deedOn(path, site, h).write(just(func(h acts.Head) acts.Act { return act(h, f) }))
}
