package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/plan"
	"coolhold/logbook/register"
)

func newPlan(edges) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "plan",
		Short: "Check site plans and list their joints",
		RunE:  group,
	}
	cmd.AddCommand(newPlanCheck(), newPlanJoints())
	return cmd
}

func newPlanCheck() *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE…",
		Short: "List everything that is wrong in site plans",
		Long: `check reads site plans and prints every fault in them as

  FILE:LINE: place: key: what is wrong

to stdout, and ends with exit code 3. A sound plan gets one line; it says where
two circuits of a chamber have tape of one colour, which is no fault.`,
		Example:               `  coolhold plan check hillfoot.toml`,
		Args:                  files,
		DisableFlagsInUseLine: true,
		RunE: func(cmd *cobra.Command, args []string) error {
			return check(cmd, args, plan.Parse, func(p plan.Plan) string {
				sound := fmt.Sprintf("%s in %s", logbook.Count(len(p.Joints()), "joint"), logbook.Count(len(p.Chambers), "chamber"))
				return strings.Join(append([]string{sound}, p.SameTape()...), "; ")
			})
		},
	}
}

func newPlanJoints() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "joints FILE",
		Short: "List the joints that a site plan asks for",
		Long: `joints lists every joint that must exist when the site is done, in the order of
the plan, with the label that is written on the pipe. FG is the header from
ground, TG the header to ground. Joints with the same pipe move together.`,
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
			return printJoints(cmd.OutOrStdout(), p.Joints())
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
	fmt.Fprintln(tw, "JOINT\tPORT\tROW\tBAR\tFITTING\tOD MM\tSDR\tPIPE\tWHERE")
	for _, j := range joints {
		where := cmp.Or(j.Where, "chamber "+j.Chamber)
		fmt.Fprintf(tw, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", j.Label, dash(j.Port), cmp.Or(j.Row, "-"),
			cmp.Or(j.Bar, "-"), j.Fitting, dash(j.OdMM), dash(j.SDR), cmp.Or(strings.Join(j.Pipes(), " "), "-"), where)
	}
	return tw.Flush()
}

// dash shows a number, and what is not stated as "-".
func dash[N int | fusion.SDR](n N) string {
	if n == 0 {
		return "-"
	}
	return fmt.Sprint(n)
}
