package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/kit"
	"coolhold/logbook/ready"
)

func newReady(e edges) *cobra.Command {
	var q readyQuery
	cmd := &cobra.Command{
		Use:   "ready",
		Short: "Say what is short before anything is scraped",
		Long: `ready puts plan, tables, kit and shift of a site side by side, for the joints
that are open: the row of each fitting and its pipe, the ambient temperature
against the bands, pins against leads and adapters, volts and longest time
against the control units, power and volts against the generator, the
extension's loss, the dates of people and units, clamps, scrapers, re-rounders
and end caps against the sizes of pipe, and the fittings to take along against
what is left in the van: what the kit declared, less what was fused since.

Each line says what is short and by how much, the worst first, and what it
stands on; an assumption is shown as one. What was not declared is not known. A
line about power may turn short, never in order. It ends with exit code 1 while
something is short, open or not known.`,
		Example: `  coolhold ready
  coolhold ready --expect -2..9
  coolhold ready --kit van.toml --json`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return q.run(cmd.OutOrStdout(), e) },
	}
	logFlag(cmd, &q.log)
	cmd.Flags().StringVar(&q.site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(&q.kit, "kit", "", "compare with this kit `file` without taking it into the log")
	cmd.Flags().StringVar(&q.expect, "expect", "", "ambient temperatures expected, `LOW..HIGH` in °C (else the last reading of today)")
	cmd.Flags().BoolVar(&q.json, "json", false, "write JSON")
	return cmd
}

type readyQuery struct {
	log, site, kit, expect string
	json                   bool
}

func (q readyQuery) run(w io.Writer, e edges) error {
	o, err := q.options()
	if err != nil {
		return err
	}
	r, s, err := readSite(e, q.log, q.site, "")
	if err != nil {
		return err
	}
	o.Now = r.asOf
	lines := ready.WorstFirst(ready.Check(r.book, s.ID, o))
	if q.json {
		err = printJSON(w, lines)
	} else {
		err = printReady(w, lines)
	}
	if err == nil && !ready.Settled(lines) {
		return &exitError{code: exitFindings}
	}
	return err
}

// options are what the command line says besides the log.
func (q readyQuery) options() (o ready.Given, err error) {
	if q.expect != "" {
		r, err := ready.ParseRange(q.expect)
		if err != nil {
			return o, usage("--expect: %w", err)
		}
		o.Expect = &r
	}
	if q.kit != "" {
		k, err := loadKit(q.kit)
		if err != nil {
			return o, err
		}
		o.Kit = &k
	}
	return o, nil
}

func printReady(w io.Writer, lines []ready.Comparison) error {
	for _, l := range lines {
		if _, err := fmt.Fprintf(w, "%s\n    %s\n", l, l.Ground()); err != nil {
			return err
		}
	}
	return nil
}

// loadKit reads a kit for a verb that needs it whole.
func loadKit(name string) (kit.Kit, error) { return load(name, "kit", kit.Parse) }

func newKit(e edges) *cobra.Command {
	cmd := &cobra.Command{Use: "kit", Short: "Begin and check kit files", Long: kitFormat, RunE: group}
	cmd.AddCommand(newBlank("kit file", "kit", kit.New), newTaken(e, "kit"))
	cmd.AddCommand(&cobra.Command{
		Use:   "check FILE…",
		Short: "List everything that is wrong in kit files",
		Long: `check reads kit files and prints every fault in them as

  FILE:LINE: thing: key: what is wrong

to stdout, and ends with exit code 3. A sound kit gets one line. All but the
serial of a control unit may be left out; it is then not known.`,
		Example:               `  coolhold kit check van.toml`,
		Args:                  files,
		DisableFlagsInUseLine: true,
		RunE: func(cmd *cobra.Command, args []string) error {
			return check(cmd, args, kit.Parse, func(k kit.Kit) string {
				return soundKit(k)
			})
		},
	})
	return cmd
}

func newSiteKit(e edges) *cobra.Command {
	var log, site, by string
	cmd := &cobra.Command{
		Use:   "kit FILE --by NAME",
		Short: "Take what the crew has with it for a site",
		Long: `kit takes a kit file into the log with its exact text: control units, adapters,
generator, extension, tools and the fittings in the van, as the named person
declares them. The newest kit of a site counts; coolhold ready compares with it,
coolhold order gives each joint to a unit that can fuse it. What is fused from
then on is counted off what was in the van.`,
		Example: `  coolhold site kit testdata/kits/brookside.toml --by "Ona Brill"
  coolhold site kit van.toml --site hillfoot-barn --by "Ona Brill"`,
		Args: oneFile,
		RunE: func(cmd *cobra.Command, args []string) error {
			if by == "" {
				return usage("nobody declares this kit; name somebody with --by")
			}
			done, err := takeInto(logPath(e, log), site, head(e, by), args[0], loadKit, acts.TakeKit)
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s: kit %s taken; see what is short: coolhold ready\n", logbook.Clean(done.site.ID), logbook.Clean(args[0]))
			return err
		},
	}
	logFlag(cmd, &log)
	cmd.Flags().StringVar(&site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(&by, "by", "", "the `name` of who declares it")
	return cmd
}
