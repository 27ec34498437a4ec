package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
)

// A flowSaid is what one opened circuit showed.
type flowSaid struct {
	loopSaid
	flow, gaugeMax noted
	shut, others   string
	seen           []string
}

func newFlow(e edges) *cobra.Command {
	f := new(flowSaid)
	cmd := &cobra.Command{
		Use:   "flow [CIRCUIT --flow L/MIN --shut WORDS --others WORDS --by NAME]",
		Short: "Open one circuit at a time, to see its flow and that no legs are crossed",
		Long: `flow lists the circuits with the flow that each showed last, beside the others and beside
what 0.6 m/s wants, and what that says of crossed legs.

With a circuit it records what was seen while that one alone was open. It decides only
where both legs of every other circuit were shut: with valves on one rail only, water may
come back by another leg, and nothing can be decided. Flow in exactly the open circuit is
"no crossing seen"; flow in another is a fail, with the joints to look at; no flow at all
is air, a gauge that sticks, or crossed legs, which between valves that hold are a dead end:
bleed, and look again. Where two circuits show none, open both legs of both together: if
water flows then, their legs are crossed.

--shut:   ` + helpOf(logbook.Shuttings) + `
--others: ` + helpOf(logbook.OtherFlows) + `

With --withdraw the newest check of a circuit is taken back. Both stay in the log.`,
		Example: `  coolhold flow
  coolhold flow "circuit 1" --flow 28.5 --shut both --others still --gauge-max 42 --by "Hedda Invented"
  coolhold flow "circuit 2" --flow 12 --shut both --others flow --seen "circuit 3=14" --gauge-max 42 --by "Hedda Invented"
  coolhold flow "circuit 2" --withdraw --by "Hedda Invented" --why "it was circuit 3"`,
		Args: cobra.ArbitraryArgs,
	}
	f.flags(cmd, "flow check")
	flags := cmd.Flags()
	flags.Var(&f.flow, "flow", "flow on its own gauge in `L/min`, or \"not read\"")
	flags.StringVar(&f.shut, "shut", "", "`words`: how the others were shut")
	flags.StringVar(&f.others, "others", "", "`words`: what their gauges showed")
	flags.StringArrayVar(&f.seen, "seen", nil, "`circuit=L/min`: another that showed flow; once for each")
	flags.Var(&f.gaugeMax, "gauge-max", "the most that the gauge can show in `L/min`, or \"not known\"")
	flags.BoolVar(&f.json, "json", false, "write the list as JSON")
	cmd.RunE = f.runs(e, "flow", "circuit", f.list, f.record)
	return cmd
}

func (f *flowSaid) list(e edges, cmd *cobra.Command) error {
	if err := noneOf(cmd, "with a circuit: write coolhold flow \"circuit 1\" …", "flow", "shut", "others", "seen", "gauge-max", "by", "at", "text", "why", "withdraw"); err != nil {
		return err
	}
	r, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	rows, w := ahead.FlowRows(r.book, s.ID), cmd.OutOrStdout()
	if f.json {
		return printJSON(w, append([]ahead.FlowRow{}, rows...))
	}
	for _, row := range rows {
		fmt.Fprintf(w, "%s: %s\n", logbook.Clean(row.Name), logbook.Clean(row.Line()))
	}
	if len(rows) == 0 {
		fmt.Fprintln(w, "this site has no circuit")
	}
	return f.finds(e, w)
}

func (f *flowSaid) record(e edges, cmd *cobra.Command, part string) (err error) {
	if err := f.asks(cmd, "flow", "shut", "others", "gauge-max"); err != nil {
		return err
	}
	b := logbook.FlowChecked{LPM: f.flow.read(), GaugeMaxLPM: f.gaugeMax.read(), Text: strings.TrimSpace(f.text)}
	if b.Shut, err = answerTo("shut", logbook.Shuttings, f.shut); err != nil {
		return err
	}
	if b.Others, err = answerTo("others", logbook.OtherFlows, f.others); err != nil {
		return err
	}
	if b.Stated, err = whenSaid(head(e, ""), "--at", f.at); err != nil {
		return err
	}
	return f.records(e, cmd, part, func(s scene, id logbook.SectionID) (acts.Act, error) {
		b.Section, b.Seen = id, nil
		for _, said := range f.seen {
			o, err := seenFlow(s, said)
			if err != nil {
				return nil, err
			}
			b.Seen = append(b.Seen, o)
		}
		return acts.CheckFlow(s.head, b), nil
	})
}

// seenFlow is another circuit that showed flow: "circuit 3=14", or without the figure.
func seenFlow(s scene, said string) (o logbook.FlowSeen, err error) {
	name, figure, given := strings.Cut(said, "=")
	section, err := s.section(name)
	if err != nil {
		return o, err
	}
	o.Section = section.ID
	if !given {
		return o, nil
	}
	var flow noted
	if flow.Set(figure) != nil {
		return o, usage("--seen %s is no flow in L/min; write %s=14", strconv.Quote(said), name)
	}
	o.LPM = flow.read()
	return o, nil
}
