package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/fault"
	"coolhold/logbook/plan"
	"coolhold/logbook/register"
)

func newPlan(e edges) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "plan",
		Short: "Begin and check site plans and list their joints",
		Long:  planFormat,
		RunE:  group,
	}
	cmd.AddCommand(newBlank("site plan", "plan", plan.New), newPlanCheck(), newPlanJoints(), newTaken(e, "plan"))
	return cmd
}

func newPlanCheck() *cobra.Command {
	var tables []string
	cmd := &cobra.Command{
		Use:   "check FILE…",
		Short: "List everything that is wrong in site plans",
		Long: `check reads site plans and prints every fault in them as

  FILE:LINE: place: key: what is wrong

to stdout, and ends with exit code 3. A sound plan gets one line; it says where
two circuits of a chamber have tape of one colour, which is no fault.

With --table each fitting of a plan is held against every pipe end that meets at
its joint. One that cannot go there is a fault; one that no table has is said.`,
		Example: `  coolhold plan check hillfoot.toml
  coolhold plan check hillfoot.toml --table valley.toml`,
		Args:                  files,
		DisableFlagsInUseLine: true,
		RunE: func(cmd *cobra.Command, args []string) error {
			against, err := loadTables(tables)
			if err != nil {
				return err
			}
			parse := func(data []byte) (plan.Plan, error) { return fitting(data, against) }
			return check(cmd, args, parse, func(p plan.Plan) string {
				sound := []string{soundPlan(p)}
				if n := factory(p); n != "" {
					sound = append(sound, n)
				}
				_, unlisted := p.Against(against)
				return strings.Join(slices.Concat(sound, p.SameTape(), unlisted), "; ")
			})
		},
	}
	cmd.Flags().StringArrayVar(&tables, "table", nil, "a fusion table's `file` to hold the fittings against; may be given more than once")
	return cmd
}

// loadTables reads fusion tables for a verb that needs them whole.
func loadTables(names []string) ([]fusion.Table, error) {
	var out []fusion.Table
	for _, name := range names {
		t, err := loadTable(name)
		if err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	return out, nil
}

// fitting reads a plan whose fittings go where they stand. What does not is no
// fault of one line: it is in the plan and the table together.
func fitting(data []byte, tables []fusion.Table) (plan.Plan, error) {
	p, err := plan.Parse(data)
	if err != nil {
		return p, err
	}
	var faults fault.List
	wrong, _ := p.Against(tables)
	for _, line := range wrong {
		faults = append(faults, fault.Fault{What: " " + line}) // a blank in place of its line
	}
	if len(faults) > 0 {
		return p, faults
	}
	return p, nil
}

func newPlanJoints() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "joints FILE",
		Short: "List the joints that a site plan asks for",
		Long: `joints lists every joint that must exist when the site is done, in the order of
the plan, with the label that is written on the pipe. FG is the header from
ground, TG the header to ground. Where several pipe ends meet the size of each is
given, the stub of a chamber first. Joints with the same pipe move together. What
came fused from a works is listed below: nobody is to weld it.`,
		Example: `  coolhold plan joints hillfoot.toml
  coolhold plan joints hillfoot.toml --json`,
		Args: oneFile,
		RunE: func(cmd *cobra.Command, args []string) error {
			p, err := loadPlan(args[0])
			if err != nil {
				return err
			}
			if asJSON {
				return printJSON(cmd.OutOrStdout(), p.Joints())
			}
			if err := printJoints(cmd.OutOrStdout(), p.Joints()); err != nil {
				return err
			}
			printFactory(cmd.OutOrStdout(), p.NotOurs())
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print a JSON list with one object a joint")
	return cmd
}

// printJSON writes JSON in which no text of a log acts on a terminal.
func printJSON(w io.Writer, v any) error {
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return err
	}
	_, err := io.WriteString(w, register.Shown(text.String()))
	return err
}

func printJoints(w io.Writer, joints []plan.Joint) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "JOINT\tPORT\tROW\tRAIL\tFITTING\tOD MM\tSDR\tPIPE\tWHERE")
	for _, j := range joints {
		where := cmp.Or(j.Where, "chamber "+j.Chamber)
		if j.Probe != "" {
			where += ", probe " + j.Probe
		}
		od, sdr := eachEnd(j)
		fmt.Fprintf(tw, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", j.Label, dash(j.Port), cmp.Or(j.Row, "-"),
			cmp.Or(j.Bar, "-"), j.Fitting, od, sdr, cmp.Or(strings.Join(j.Pipes(), " "), "-"), where)
	}
	return tw.Flush()
}

// eachEnd is the size and class of every end that meets at a joint, the stub of a
// chamber first.
func eachEnd(j plan.Joint) (od, sdr string) {
	var ods, sdrs []string
	for _, e := range j.Meet() {
		ods, sdrs = append(ods, dash(e.OdMM)), append(sdrs, dash(e.SDR))
	}
	if same := slices.Compact(slices.Clone(sdrs)); len(same) == 1 {
		sdrs = same
	}
	return strings.Join(ods, " / "), strings.Join(sdrs, " / ")
}

// printFactory lists what nobody is to weld.
func printFactory(w io.Writer, joints []plan.NotOurs) {
	for _, n := range joints {
		fmt.Fprintf(w, "not ours: %s, %s; %s\n", n.Label, n.Where, n.Says())
	}
}

// misfit refuses a plan whose fittings cannot go where they stand.
func misfit(name string, p plan.Plan, tables []fusion.Table) error {
	wrong, _ := p.Against(tables)
	if len(wrong) == 0 {
		return nil
	}
	more := ""
	if n := len(wrong) - 1; n > 0 {
		more = fmt.Sprintf(" (and %d more: coolhold plan check %s --table …)", n, name)
	}
	return exitWith(exitInput, fmt.Errorf("%s: %s%s", name, wrong[0], more))
}

// factory counts the joints that nobody is to weld, or is "".
func factory(p plan.Plan) string {
	if len(p.Factory) == 0 {
		return ""
	}
	return logbook.Count(len(p.Factory), "factory joint") + ", not ours"
}

// dash shows a number, and what is not stated as "-".
func dash[N int | fusion.SDR](n N) string {
	if n == 0 {
		return "-"
	}
	return fmt.Sprint(n)
}
