package main

import (
	"fmt"
	"strconv"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/fusion/loop"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
)

// headerSizes are the pipes laid side by side: those that headers of ground loops are made
// of, 63, 90 and 110 mm, and their neighbours (common practice, no source).
var headerSizes = []int{40, 50, 63, 75, 90, 110, 125, 140, 160}

// A headerJSON is one header pipe, for other programs.
type headerJSON struct {
	OdMM       int     `json:"od_mm"`
	VelocityMS float64 `json:"velocity_ms"`
	Reynolds   float64 `json:"reynolds"`
	Friction   float64 `json:"friction"`
	HeadLossM  float64 `json:"head_loss_m"`
	Litres     float64 `json:"litres"`
	PurgeLPM   float64 `json:"purge_lpm"` // 0.6 m/s
	Uncertain  bool    `json:"uncertain,omitempty"`
}

// candidates lays header pipes side by side for a flow and a distance.
func (q *purgeSaid) candidates(cmd *cobra.Command) error {
	if q.od.set {
		return usage("--od goes with one pipe, --headers with all sizes")
	}
	q.sum.needs = []string{"sdr", "length", "flow", "water"}
	if err := q.sum.check(cmd, ""); err != nil {
		return err
	}
	list, err := loop.Headers(headerSizes, fusion.SDR(q.sdr.v), q.length.v, q.flow.v, q.water.v)
	if err != nil {
		return exitWith(exitRefused, err)
	}
	var out []headerJSON
	for _, c := range list {
		want, _ := c.Pipe.PurgeFlow()
		l := c.Loss
		out = append(out, headerJSON{c.Pipe.OdMM, six(l.VelocityMS), six(l.Reynolds), six(l.Friction), six(l.HeadM), six(l.Litres), six(want), l.Uncertain()})
	}
	w := cmd.OutOrStdout()
	if q.sum.json {
		return printJSON(w, out)
	}
	fmt.Fprintf(w, "SDR %s, %s m, %s L/min of water at %s °C\n", q.sdr.String(), q.length.String(), q.flow.String(), q.water.String())
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "mm\tm/s\thead loss, m\tlitres\t0.6 m/s, L/min\t")
	for _, h := range out {
		loss := fmt.Sprintf("%.2f", h.HeadLossM)
		if h.Uncertain {
			loss = "uncertain " + loss
		}
		fmt.Fprintf(t, "%d\t%.2f\t%s\t%.1f\t%.1f\t\n", h.OdMM, h.VelocityMS, loss, h.Litres, h.PurgeLPM)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	_, err = fmt.Fprint(w, "\n"+purgeRests+"None is proposed: designers decide.\n")
	return err
}

// usualWaterC is what the water of a site is reckoned at where nobody says: headers carry
// 8 to 10 °C in the season of building (common practice, no source).
const usualWaterC = 10

// ofSite lists what each circuit and header wants.
func (q *purgeSaid) ofSite(e edges, cmd *cobra.Command) error {
	ask := ahead.PurgeAsk{WaterC: usualWaterC, Changes: q.times()}
	if q.water.set {
		if q.water.none {
			return usage("--water must be given here: the figures depend on it")
		}
		ask.WaterC = q.water.v
	}
	var err error
	if ask.Pump, err = pumpOf(q.pump); err != nil {
		return err
	}
	r, s, err := readSite(e, q.log, q.site, "")
	if err != nil {
		return err
	}
	if ask.Pump == nil {
		ask.Pump = ahead.LastPump(s)
	}
	needs, err := ahead.PurgeNeeds(r.book, s.ID, ask)
	w := cmd.OutOrStdout()
	switch {
	case err != nil:
		return exitWith(exitRefused, err)
	case q.sum.json:
		return printJSON(w, append([]ahead.PurgeNeed{}, needs...))
	case len(needs) == 0:
		fmt.Fprintln(w, "this site has no circuit and no header")
		return nil
	}
	fmt.Fprintf(w, "water at %s °C, changed %s%s\n", fusion.Figure(ask.WaterC), timesOf(ask.Changes), pumpSays(ask.Pump))
	for _, n := range needs {
		fmt.Fprintf(w, "\n%s\n", logbook.Clean(n.Name))
		for _, l := range n.Lines() {
			fmt.Fprintf(w, "  %s\n", logbook.Clean(l))
		}
	}
	fmt.Fprint(w, "\n"+purgeRests+"Go on for 15 minutes after the last bubble. Designers decide.\n")
	return q.finds(e, w)
}

// pumpSays names the pump that is reckoned with.
func pumpSays(p loop.Pump) string {
	if p == nil {
		return ""
	}
	return "; pump " + logbook.PumpLine(ahead.PumpPoints(p))
}

func timesOf(n float64) string {
	if n == 1 {
		return "once"
	}
	return fusion.Figure(n) + " times"
}

// pumpOf reads a curve: "50:30 100:24", or with commas between the points.
func pumpOf(said string) (loop.Pump, error) {
	if strings.TrimSpace(said) == "" {
		return nil, nil
	}
	var p loop.Pump
	for _, point := range strings.FieldsFunc(said, func(r rune) bool { return r == ' ' || r == ';' }) {
		flow, head, two := strings.Cut(point, ":")
		var lpm, m figure
		if !two || lpm.Set(flow) != nil || m.Set(head) != nil {
			return nil, usage("--pump %s is no point of a curve: write \"50:30 100:24\", L/min and m", strconv.Quote(point))
		}
		p = append(p, loop.Duty{LPM: lpm.v, HeadM: m.v})
	}
	if err := p.Check(); err != nil {
		return nil, exitWith(exitRefused, err)
	}
	return p, nil
}

// onSection records a purge, or takes one back.
func (q *purgeSaid) onSection(e edges, cmd *cobra.Command, part string, others []string) (err error) {
	if err := noneOf(cmd, "with a sum, not with a section", others...); err != nil {
		return err
	}
	if q.withdraw {
		return q.takeBack(e, cmd, "purge", part)
	}
	if err := q.asks(cmd, "flow", "minutes", "after-bubble", "bypassed", "strainer", "turned"); err != nil {
		return err
	}
	pump, err := pumpOf(q.pump)
	if err != nil {
		return err
	}
	b := logbook.Purged{Pump: ahead.PumpPoints(pump), LPM: q.flow.read(), Minutes: q.minutes.read(), AfterBubble: q.afterBubble.read(), WaterC: q.water.celsius(), Text: strings.TrimSpace(q.text)}
	for _, fact := range []struct {
		flag, said string
		to         *string
	}{{"bypassed", q.bypassed, &b.Bypassed}, {"strainer", q.strainer, &b.Strainer}, {"turned", q.reversed, &b.Turned}} {
		if *fact.to, err = answerTo(fact.flag, logbook.PurgeFacts, fact.said); err != nil {
			return err
		}
	}
	if b.Stated, err = whenSaid(head(e, ""), "--at", q.at); err != nil {
		return err
	}
	return q.records(e, cmd, part, func(s scene, id logbook.SectionID) (acts.Act, error) {
		b.Section = id
		return acts.RecordPurge(s.head, b), nil
	})
}
