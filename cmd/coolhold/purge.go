package main

import (
	"fmt"
	"math"
	"strings"
	"text/template"

	"github.com/spf13/cobra"

	"coolhold/fusion/loop"
	"coolhold/logbook"
)

// A purgeSaid is what the verb purge was given: a pipe for a sum, a site, or what was seen
// of a purge.
type purgeSaid struct {
	loopSaid
	pipeSaid
	length, changes              figure
	flow, water                  noted
	fluid, pump                  string
	headers                      bool
	minutes, afterBubble         noted
	bypassed, strainer, reversed string
	sum                          *sum
}

func newPurge(e edges) *cobra.Command {
	q := new(purgeSaid)
	cmd := &cobra.Command{
		Use:   "purge [--od MM --sdr CLASS --length M --flow L/MIN --water C | SECTION … --by NAME]",
		Short: "Give flow, head loss and time of purging with water, or record a purge",
		Long: `purge lists each circuit and header of a site: what it holds, the flow for 0.6 m/s, its
head loss and the time to change its water; with --pump what a pump gives there and how
far it falls short, and what one circuit at a time does not purge of the header.

With --od it needs no log: it gives what a flow of water does in so many metres of a PE
pipe, out and back together. With --headers it does so for header pipes of each size, side
by side: designers decide.

All of the pipe alone: fittings, valves and hoses take more. All of water alone: fluid
with antifreeze is thicker, and is refused with exit code 5.

With a section it records what was seen of a purge; --pump names the pump that ran, and
from then on the site is reckoned with it. Every section wants 0.6 m/s or more,
and goes on for 15 minutes after the last bubble (UFGS 15741N); the heat pump is bypassed,
a strainer is in, the direction is turned once (common practice, no source).

--bypassed, --strainer, --turned: ` + helpOf(logbook.PurgeFacts),
		Example: `  coolhold purge --water 8 --changes 3 --pump "50:30 100:24 150:12"
  coolhold purge --od 40 --sdr 11 --length 200 --flow 30 --water 10
  coolhold purge --od 40 --sdr 11 --length 200 --flow 30 --water 10 --changes 3 --json
  coolhold purge --headers --sdr 11 --length 60 --flow 75 --water 10
  coolhold purge "circuit 1" --flow 31 --minutes 40 --after-bubble 15 --bypassed yes --strainer yes --turned yes --by "Hedda Invented"`,
		Args: cobra.ArbitraryArgs,
	}
	q.loopSaid.flags(cmd, "purge")
	q.flagged(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error { return q.run(e, cmd, strings.Join(args, " ")) }
	return cmd
}

func (q *purgeSaid) flagged(cmd *cobra.Command) {
	flags := cmd.Flags()
	q.pipeSaid.flagged(flags)
	flags.Var(&q.length, "length", "length of the pipe in `m`, out and back together")
	flags.Var(&q.flow, "flow", "flow in `L/min`; of a record \"not read\" too")
	flags.Var(&q.water, "water", "temperature of the water in °`C`")
	flags.Var(&q.changes, "changes", "how many `times` the water in the pipe is changed; once where that is not said")
	flags.StringVar(&q.fluid, "fluid", "water", "what is in the `pipe`; only for water there are figures")
	flags.StringVar(&q.pump, "pump", "", "`curve` of a pump as points of L/min and m: \"50:30 100:24 150:12\"")
	flags.BoolVar(&q.headers, "headers", false, "header pipes of each size, side by side")
	flags.Var(&q.minutes, "minutes", "how many `minutes` it was purged in all, or \"not known\"")
	flags.Var(&q.afterBubble, "after-bubble", "how many `minutes` of them after the last bubble, or \"not known\"")
	flags.StringVar(&q.bypassed, "bypassed", "", "`words`: was the heat pump bypassed")
	flags.StringVar(&q.strainer, "strainer", "", "`words`: was a strainer in")
	flags.StringVar(&q.reversed, "turned", "", "`words`: was the direction turned once")
	q.sum = newSum(cmd, "od", "sdr", "length", "flow", "water")
}

// run tells apart what is asked: a sum, a record, or the site.
func (q *purgeSaid) run(e edges, cmd *cobra.Command, part string) error {
	if !strings.EqualFold(strings.TrimSpace(q.fluid), "water") {
		return exitWith(exitRefused, fmt.Errorf("%q is %w: all figures here are those of water; ready-mixed fluid is thicker, ask whoever made it", q.fluid, loop.ErrRange))
	}
	record := []string{"minutes", "after-bubble", "bypassed", "strainer", "turned", "by", "at", "text", "why", "withdraw"}
	pipe := []string{"od", "sdr", "length", "headers"}
	switch {
	case part != "":
		return q.onSection(e, cmd, part, append(pipe, "changes", "fluid", "json"))
	case q.od.set || q.sdr.set || q.length.set || q.headers:
		if err := noneOf(cmd, "with a section: write coolhold purge \"circuit 1\" …", record...); err != nil {
			return err
		}
		if err := noneOf(cmd, "with a site, not with a pipe", "pump", "log", "site"); err != nil {
			return err
		}
		if q.headers {
			return q.candidates(cmd)
		}
		return q.ofPipe(cmd)
	}
	if err := noneOf(cmd, "with a section, or a pipe", append(record, "flow")...); err != nil {
		return err
	}
	return q.ofSite(e, cmd)
}

// ofPipe is the sum of one pipe.
func (q *purgeSaid) ofPipe(cmd *cobra.Command) error {
	if err := q.sum.check(cmd, ""); err != nil {
		return err
	}
	pipe, err := q.pipe()
	if err != nil {
		return err
	}
	run := loop.Stretch{Pipe: pipe, LengthM: q.length.v}
	l, err := loop.Flow(run, q.flow.v, q.water.v)
	minutes := 0.0
	if err == nil {
		minutes, err = loop.ChangeMinutes(l.Litres, q.flow.v, q.times())
	}
	want, _ := pipe.PurgeFlow()
	return q.sum.tell(cmd.OutOrStdout(), err, purgeText, purgeJSON{
		run, q.flow.v, q.water.v, q.times(), want, l,
		six(l.VelocityMS), six(l.Reynolds), six(l.Friction), six(l.HeadM), six(l.Litres), six(minutes), l.Uncertain(),
	})
}

// times is how often the water is changed.
func (q *purgeSaid) times() float64 {
	if q.changes.set {
		return q.changes.v
	}
	return 1
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

// purgeRests is what the figures of a purge rest on.
const purgeRests = `Formula: Darcy-Weisbach, f × L/D × v²/2g; f by Colebrook-White, below Reynolds 2300 64/Re.
Source: textbook; water by IAPWS values at every 5 °C, between them interpolated; roughness
  of PE 0.007 mm (all from memory); walls as in coolhold pipe; 0.6 m/s is UFGS 15741N.
Range: water of 0 to 30 °C; 0.1 to 10000 m, 0.1 to 10000 L/min; fittings, valves and hoses
  are not counted; the least wall counts, so litres are an upper figure, loss a lower one.
`

var purgeText = template.Must(template.New("purge").Parse(
	`{{.Run.Pipe}}, {{.Run.LengthM}} m, {{.Flow}} L/min of water at {{.Water}} °C
  velocity     {{printf "%.2f" .VelocityMS}} m/s{{if .Short}}; 0.6 m/s wants {{printf "%.1f" .Want}} L/min, {{printf "%.1f" .Short}} more{{end}}
  Reynolds     {{printf "%.0f" .Reynolds}}, {{.Loss.Regime}}{{if .Uncertain}}: from 2300 to 4000 nothing is settled, the larger loss is given{{end}}
  friction     {{printf "%.4f" .Friction}}
  head loss    {{printf "%.2f" .HeadLossM}} m, {{printf "%.1f" .Loss.KPa}} kPa, of the pipe alone
  holds        {{printf "%.1f" .Litres}} L
  minutes      {{printf "%.1f" .Minutes}}, the water changed {{if eq .Changes 1.0}}once{{else}}{{.Changes}} times{{end}}

` + purgeRests + `Go on for 15 minutes after the last bubble. Designers decide.
`))
