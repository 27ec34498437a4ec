package main

import (
	"fmt"
	"math"
	"strings"
	"text/template"

	"github.com/spf13/cobra"

	"coolhold/fusion/loop"
)

// A purgeSum is what water does in one pipe, as asked on the command line.
type purgeSum struct {
	pipeSaid
	length, flow, water, changes figure
	fluid                        string
	s                            *sum
}

func newPurge(edges) *cobra.Command {
	var q purgeSum
	cmd := &cobra.Command{
		Use:   "purge --od MM --sdr CLASS --length M --flow L/MIN --water C",
		Short: "Give velocity, head loss and time of water in a pipe",
		Long: `purge gives what a flow of water does in so many metres of a PE pipe, out and back
together: velocity, Reynolds number, friction factor, head loss, what the pipe holds, and
how long it takes to change that. Of the pipe alone: fittings, valves and hoses take
more. Water alone: fluid with antifreeze is thicker, and is refused with exit code 5.

When purged every section wants 0.6 m/s or more, and goes on for 15 minutes after the
last bubble (UFGS 15741N). One circuit at a time does not purge the header.`,
		Example: `  coolhold purge --od 40 --sdr 11 --length 200 --flow 30 --water 10
  coolhold purge --od 40 --sdr 11 --length 200 --flow 30 --water 10 --changes 3 --json`,
		Args: noArgs,
	}
	flags := cmd.Flags()
	q.flagged(flags)
	flags.Var(&q.length, "length", "length of the pipe in `m`, out and back together")
	flags.Var(&q.flow, "flow", "flow in `L/min`")
	flags.Var(&q.water, "water", "temperature of the water in °`C`")
	flags.Var(&q.changes, "changes", "how many `times` the water in the pipe is changed; once where that is not said")
	flags.StringVar(&q.fluid, "fluid", "water", "what is in the `pipe`; only for water there are figures")
	q.s = newSum(cmd, "od", "sdr", "length", "flow", "water")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error { return q.run(cmd) }
	return cmd
}

func (q *purgeSum) run(cmd *cobra.Command) error {
	if !strings.EqualFold(strings.TrimSpace(q.fluid), "water") {
		return exitWith(exitRefused, fmt.Errorf("%q is %w: all figures here are those of water; ready-mixed fluid is thicker, ask whoever made it", q.fluid, loop.ErrRange))
	}
	if err := q.s.check(cmd, ""); err != nil {
		return err
	}
	pipe, err := q.pipe()
	if err != nil {
		return err
	}
	if !q.changes.set {
		q.changes.v = 1
	}
	run := loop.Stretch{Pipe: pipe, LengthM: q.length.v}
	l, err := loop.Flow(run, q.flow.v, q.water.v)
	minutes := 0.0
	if err == nil {
		minutes, err = loop.ChangeMinutes(l.Litres, q.flow.v, q.changes.v)
	}
	want, _ := pipe.PurgeFlow()
	return q.s.tell(cmd.OutOrStdout(), err, purgeText, purgeJSON{
		run, q.flow.v, q.water.v, q.changes.v, want, l,
		six(l.VelocityMS), six(l.Reynolds), six(l.Friction), six(l.HeadM), six(l.Litres), six(minutes), l.Uncertain(),
	})
}

// Short is by how many L/min the flow is under that for 0.6 m/s, to a tenth.
func (a purgeJSON) Short() float64 { return max(0, math.Round(10*(a.Want-a.Flow))/10) }

// purgeJSON is the answer for other programs; its keys never change.
type purgeJSON struct {
	Run        loop.Stretch `json:"-"`
	Flow       float64      `json:"-"`
	Water      float64      `json:"-"`
	Changes    float64      `json:"-"`
	Want       float64      `json:"-"`
	Loss       loop.Loss    `json:"-"`
	VelocityMS float64      `json:"velocity_ms"`
	Reynolds   float64      `json:"reynolds"`
	Friction   float64      `json:"friction"`
	HeadLossM  float64      `json:"head_loss_m"`
	Litres     float64      `json:"litres"`
	Minutes    float64      `json:"minutes"`
	Uncertain  bool         `json:"uncertain,omitempty"` // Reynolds between 2,300 and 4,000
}

var purgeText = template.Must(template.New("purge").Parse(
	`{{.Run.Pipe}}, {{.Run.LengthM}} m, {{.Flow}} L/min of water at {{.Water}} °C
  velocity     {{printf "%.2f" .VelocityMS}} m/s{{if .Short}}; 0.6 m/s wants {{printf "%.1f" .Want}} L/min, {{printf "%.1f" .Short}} more{{end}}
  Reynolds     {{printf "%.0f" .Reynolds}}, {{.Loss.Regime}}{{if .Uncertain}}: from 2300 to 4000 nothing is settled, the larger loss is given{{end}}
  friction     {{printf "%.4f" .Friction}}
  head loss    {{printf "%.2f" .HeadLossM}} m, {{printf "%.1f" .Loss.KPa}} kPa, of the pipe alone
  holds        {{printf "%.1f" .Litres}} L
  minutes      {{printf "%.1f" .Minutes}}, the water changed {{if eq .Changes 1.0}}once{{else}}{{.Changes}} times{{end}}

Formula: Darcy-Weisbach, f × L/D × v²/2g; f by Colebrook-White, below Reynolds 2300 64/Re.
Source: textbook; water by IAPWS values at every 5 °C, between them interpolated; roughness
  of PE 0.007 mm (all from memory); walls as in coolhold pipe; 0.6 m/s is UFGS 15741N.
Range: water of 0 to 30 °C; 0.1 to 10000 m, 0.1 to 10000 L/min; fittings, valves and hoses
  are not counted; the least wall counts, so litres are an upper figure, loss a lower one.
Go on for 15 minutes after the last bubble. Designers decide.
`))
