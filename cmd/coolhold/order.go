package main

import (
	"fmt"
	"io"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

func newOrder(e edges) *cobra.Command {
	var q orderQuery
	cmd := &cobra.Command{
		Use:   "order",
		Short: "Propose an order of the joints left, and say when all is over",
		Long: `order proposes in which order to take the joints that are left, so that the last
hold ends early, and forecasts the last fusion, the last hold and from when a
pressure test may start as far as the tables print it. The longest cooling comes
first; the low row of a chamber comes before its high one; no joint is worked
while another on its pipe fuses or cools. Of orders that end alike it takes one with
few moves between the chambers and what lies outside them.

Each fitting goes to a control unit that can fuse it, by the volts, pins, longest
time and generator of the kit (coolhold site kit), and no more units fuse at once
than the generator carries. A fitting that no unit can fuse is listed with what
speaks against each; so is one that is short in the van, by what the kit declared
less what was fused since. Work ends with the day: what is left falls on the next
working day.

A joint that is covered with ground comes last. While a weld that failed still stands, or a loss of pressure is not repaired,
no pressure test is forecast.

Fusion and cooling times are those of the fitting's own table at the last ambient
reading. What is assumed stands below. It is a proposal: the operator may always
take another joint.`,
		Example: `  coolhold order
  coolhold order --units 2 --clamps 4 --prepare 10
  coolhold order --moving 10 --until 17:30
  coolhold order --ambient 9 --json`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return q.run(e, cmd) },
	}
	readFlags(cmd, &q.log, &q.site, &q.asOf)
	cmd.Flags().IntVar(&q.units, "units", 0, "control units at work (else those of the open shift, else of the kit)")
	cmd.Flags().IntVar(&q.clamps, "clamps", 0, "clamp sets in all (else those of the kit, else enough)")
	cmd.Flags().Float64Var(&q.prepare, "prepare", 0, "minutes to prepare a joint (else as measured on this site)")
	cmd.Flags().StringVar(&q.ambient, "ambient", "", "ambient temperature in °`C` (else the last reading)")
	cmd.Flags().Float64Var(&q.moving, "moving", 0, "minutes to move between chambers or to what lies outside them (else none is counted)")
	cmd.Flags().StringVar(&q.until, "until", "", "when the day's work ends, `HH:MM` (else 18:00, or 10 h after a late start: our choice)")
	cmd.Flags().BoolVar(&q.json, "json", false, "print one JSON object")
	return cmd
}

type orderQuery struct {
	log, site, asOf, ambient, until string
	units, clamps                   int
	prepare, moving                 float64
	json                            bool
}

func (q orderQuery) run(e edges, cmd *cobra.Command) error {
	g, err := q.given(cmd.Flags().Changed)
	if err != nil {
		return err
	}
	r, s, err := readSite(e, q.log, q.site, q.asOf)
	if err != nil {
		return err
	}
	res := audit.Run(r.book, s.ID, r.asOf, r.beat)
	g.Failed = func(weld string) bool { return res.Verdict(weld) == audit.Failed }
	o := ahead.OrderOf(r.book, logbook.ShelfOf(s), s.ID, g, r.asOf, r.beat)
	if q.json {
		return printJSON(cmd.OutOrStdout(), orderJSONOf(s, o, r.asOf))
	}
	return printOrder(cmd.OutOrStdout(), s, o, r.asOf)
}

// given checks what the flags say. A flag that is written must be in its range;
// none is not 0.
func (q orderQuery) given(changed func(string) bool) (g ahead.OrderGiven, err error) {
	for _, f := range []struct {
		name      string
		ok        bool
		got, most any
	}{
		{"units", q.units >= 1 && q.units <= ahead.MostUnits, q.units, ahead.MostUnits},
		{"clamps", q.clamps >= 1 && q.clamps <= ahead.MostClamps, q.clamps, ahead.MostClamps},
		{"prepare", q.prepare >= 1 && q.prepare <= ahead.MostPrepareMin, q.prepare, ahead.MostPrepareMin},
		{"moving", q.moving >= 1 && q.moving <= ahead.MostMovingMin, q.moving, ahead.MostMovingMin},
	} {
		if changed(f.name) && !f.ok {
			return g, usage("--%s %v is out of range; write 1 to %v", f.name, f.got, f.most)
		}
	}
	g = ahead.OrderGiven{Units: q.units, Clamps: q.clamps, Prepare: inMinutes(q.prepare), Moving: inMinutes(q.moving)}
	if changed("until") {
		if g.Until, err = ahead.ParseClock(q.until); err != nil {
			return g, usage("--until: %w", err)
		}
	}
	if changed("ambient") {
		c, err := fusion.ParseCelsius(q.ambient)
		if err != nil {
			return g, usage("--ambient: %w", err)
		}
		g.Ambient = &c
	}
	return g, nil
}

func inMinutes(n float64) time.Duration { return time.Duration(n * float64(time.Minute)) }

func printOrder(w io.Writer, s logbook.Site, o ahead.Order, now fusion.Stamp) error {
	switch {
	case len(o.Rows) == 0 && len(o.Again) > 0:
		fmt.Fprintf(w, "%s: no joint is open, %d to cut out\n", logbook.Clean(s.Name), len(o.Again))
	case len(o.Rows) == 0:
		fmt.Fprintf(w, "%s: no joint is open\n", logbook.Clean(s.Name))
	default:
		fmt.Fprintf(w, "%s: %s open, proposed at %s\n\n", logbook.Clean(s.Name), logbook.Count(len(o.Rows), "joint"), now.Local().Format("2006-01-02 15:04"))
	}
	rows := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for i, p := range o.Rows {
		row := p.Joint.Row
		if row != "" {
			row += " row"
		}
		fmt.Fprintf(rows, "%3d\t%s\t%s\t%s\t", i+1, logbook.Clean(p.Joint.Label), logbook.Clean(p.Fitting), row)
		if p.Why != "" {
			fmt.Fprintf(rows, "%s\t\t%s\n", logbook.Clean(p.Unit), logbook.Clean(p.Why))
			continue
		}
		fmt.Fprintf(rows, "%s\t%s\tcool until %s%s\n", logbook.Clean(p.Unit), p.Span(now), logbook.UpMinute(p.Held).Format("15:04"), inHand(p))
	}
	if err := rows.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(w)
	for _, line := range append(lookAhead(o, now), o.Lacks()...) {
		fmt.Fprintln(w, logbook.Clean(line))
	}
	fmt.Fprintln(w, "\nBuilt on:")
	for _, line := range o.Assumed {
		fmt.Fprintln(w, "  "+logbook.Clean(line))
	}
	return nil
}

func inHand(p ahead.Planned) string {
	if p.Weld == "" {
		return ""
	}
	return ", in hand: " + p.Weld
}

func lookAhead(o ahead.Order, now fusion.Stamp) []string {
	if line := o.Ahead(now, "pressure test"); line != "" {
		return []string{"If all goes on so: " + line}
	}
	return []string{"No forecast: nothing runs, and no joint has times"}
}

// orderJSON is the answer for other programs; its keys never change. Times are
// null where none is known.
type orderJSON struct {
	Site         string         `json:"site"`
	At           time.Time      `json:"at"`
	Order        []orderRowJSON `json:"order"`
	LastFusion   *time.Time     `json:"last_fusion"`
	LastHold     *time.Time     `json:"last_hold"`
	PressureTest *time.Time     `json:"pressure_test_from"`
	NoWait       []string       `json:"no_wait_printed"`
	WithoutTimes []string       `json:"without_times"`
	CutOutFirst  []string       `json:"cut_out_first"`
	PressureLost []string       `json:"pressure_lost"`
	NoUnit       []noUnitJSON   `json:"no_unit_can_fuse"`
	Van          []stockJSON    `json:"van"` // empty where the kit declares no stock
	Moves        int            `json:"moves"`
	BuiltOn      []string       `json:"built_on"`
}

type noUnitJSON struct {
	Fitting string   `json:"fitting"`
	Joints  []string `json:"joints"`
	Why     []string `json:"why"`
}

type stockJSON struct {
	Fitting  string `json:"fitting"`
	Needed   int    `json:"needed"`
	Declared *int   `json:"declared"` // null where the kit does not name it
	Fused    int    `json:"fused_since"`
	Left     int    `json:"left"`
	Short    int    `json:"short"`
	GivenUp  int    `json:"walks_given_up_not_counted"`
}

type orderRowJSON struct {
	Joint     string     `json:"joint"`
	Fitting   string     `json:"fitting"`
	Row       string     `json:"row"`
	Weld      string     `json:"weld"` // in hand; "" where not begun
	Unit      string     `json:"unit"`
	Start     *time.Time `json:"start"`
	FusionEnd *time.Time `json:"fusion_end"`
	HoldEnd   *time.Time `json:"hold_end"`
	Why       string     `json:"why_no_times"`
}

func orderJSONOf(s logbook.Site, o ahead.Order, now fusion.Stamp) orderJSON {
	out := orderJSON{
		Site: s.ID, At: now.Local().Truncate(time.Second), Order: []orderRowJSON{}, LastFusion: known(o.LastFusion), LastHold: known(o.LastHold), PressureTest: known(o.Test),
		NoWait: append([]string{}, o.NoWait...), WithoutTimes: append([]string{}, o.Without...), BuiltOn: o.Assumed,
		CutOutFirst: append([]string{}, o.Again...), PressureLost: []string{}, NoUnit: []noUnitJSON{}, Van: []stockJSON{}, Moves: o.Moves,
	}
	for _, n := range o.NoUnit {
		out.NoUnit = append(out.NoUnit, noUnitJSON{n.Fitting, n.Joints, n.Why})
	}
	for _, v := range o.Stock {
		line := stockJSON{Fitting: v.Fitting, Needed: v.Needed, Fused: v.Used, Left: v.Left(), Short: v.Short(), GivenUp: v.GivenUp}
		if v.Listed {
			line.Declared = &v.Declared
		}
		out.Van = append(out.Van, line)
	}
	for _, e := range o.Lost {
		out.PressureLost = append(out.PressureLost, e.About()+" on "+e.On)
	}
	for _, p := range o.Rows {
		out.Order = append(out.Order, orderRowJSON{p.Joint.Label, p.Fitting, p.Joint.Row, p.Weld, p.Unit, known(p.Start), known(p.Fused), known(p.Held), p.Why})
	}
	return out
}

// known is a time to the second, or nil for none.
func known(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	t = t.Truncate(time.Second)
	return &t
}
