package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
)

func newDrawing(e edges) *cobra.Command {
	var q drawingQuery
	cmd := &cobra.Command{
		Use:   "drawing",
		Short: "Draw the chambers with the state of every joint, in characters",
		Long: `drawing draws each chamber of a site: the rail whose ports are in the high row at
the top, the other at the bottom, a circuit from rail to rail in each column, each
joint with its port, its weld and the state of its record. It is the drawing of the board and
of the register's PDF, drawn so that no lines cross. A leg that was welded to another
port than the plan's is drawn there, with "plan 6" under the port; where both legs of a
circuit would be on one rail they are where the plan has them, with "made 6". Joints outside the chambers stand below.`,
		Example: `  coolhold drawing
  coolhold drawing --chamber B --width 120
  coolhold drawing --as-of "2026-03-09 18:00" --json`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return q.run(e, cmd.OutOrStdout()) },
	}
	readFlags(cmd, &q.log, &q.site, &q.asOf)
	cmd.Flags().StringVar(&q.chamber, "chamber", "", "draw only the chamber of this `name`")
	cmd.Flags().IntVar(&q.width, "width", 80, "`columns` that a drawing may take")
	cmd.Flags().BoolVar(&q.json, "json", false, "print one JSON object")
	return cmd
}

type drawingQuery struct {
	log, site, asOf, chamber string
	width                    int
	json                     bool
}

// widest is the most columns of a drawing; a bound of sense, our choice.
const widest = 1000

func (q drawingQuery) run(e edges, w io.Writer) error {
	if q.width < chart.Least || q.width > widest {
		return usage("--width %d is out of range; write %d to %d", q.width, chart.Least, widest)
	}
	r, s, err := readSite(e, q.log, q.site, q.asOf)
	if err != nil {
		return err
	}
	names, err := q.chambers(s)
	if err != nil {
		return err
	}
	places := chart.Places(r.book, s.ID, audit.Run(r.book, s.ID, r.asOf, r.beat))
	at := r.asOf.Local().Truncate(time.Second)
	if q.json {
		return printJSON(w, drawingJSONOf(s, names, q.chamber == "", places, at))
	}
	fmt.Fprintf(w, "%s, as of %s\n", logbook.Clean(s.Name), at.Format("2006-01-02 15:04"))
	for _, name := range names {
		for i, d := range chart.Chamber(name, places, q.width, chart.Spares(r.book, s.ID, places)...) {
			printDrawing(w, chamberTitle(s, name, i), d)
		}
	}
	if d := chart.Runs(append(places, chart.Factory(s)...), q.width); q.chamber == "" && d.H > 0 {
		printDrawing(w, "Joints outside the chambers", d)
	}
	return nil
}

// chambers are the names of the chambers to draw.
func (q drawingQuery) chambers(s logbook.Site) ([]string, error) {
	var names []string
	for _, c := range s.Chambers {
		names = append(names, c.Name)
	}
	if q.chamber == "" {
		return names, nil
	}
	i := slices.IndexFunc(names, func(n string) bool { return strings.EqualFold(n, q.chamber) })
	if i < 0 {
		return nil, exitWith(exitFindings, fmt.Errorf("no chamber %q on this site; its chambers are: %s", q.chamber, cmp.Or(strings.Join(names, ", "), "-")))
	}
	return names[i : i+1], nil
}

func chamberTitle(s logbook.Site, name string, part int) string {
	title := "Chamber " + name
	for _, c := range s.Chambers {
		if c.Name == name && c.Lid != "" {
			title += ", lid " + c.Lid
		}
	}
	if part > 0 {
		title += ", continued"
	}
	return title
}

func printDrawing(w io.Writer, title string, d chart.Drawing) {
	fmt.Fprintf(w, "\n%s\n\n", logbook.Clean(title))
	for _, line := range d.Text() {
		fmt.Fprintln(w, line)
	}
}

// drawingJSON is the answer for other programs; its keys never change.
type drawingJSON struct {
	Site     string          `json:"site"`
	At       time.Time       `json:"at"`
	Chambers []chamberJSON   `json:"chambers"`
	Outside  []drawnPlaceOut `json:"outside"` // empty where one chamber was asked for
}

type chamberJSON struct {
	Chamber string          `json:"chamber"`
	Joints  []drawnPlaceOut `json:"joints"`
}

// drawnPlaceOut is one joint; port is 0 and port_welded "" where there is none.
type drawnPlaceOut struct {
	Joint   string `json:"joint"`
	Circuit int    `json:"circuit"`
	Leg     string `json:"leg"`
	Header  string `json:"header"` // "FG" or "TG"
	Port    int    `json:"port"`
	Row     string `json:"row"`
	Bar     string `json:"bar"`
	Welded  string `json:"port_welded"`
	Tape    string `json:"tape"`
	Fitting string `json:"fitting"`
	Weld    string `json:"weld"`
	State   string `json:"state"`
	Covered bool   `json:"covered"` // under the ground and not settled
}

func drawingJSONOf(s logbook.Site, names []string, all bool, places []chart.Place, at time.Time) drawingJSON {
	out := drawingJSON{Site: s.ID, At: at, Chambers: []chamberJSON{}, Outside: []drawnPlaceOut{}}
	for _, name := range names {
		out.Chambers = append(out.Chambers, chamberJSON{name, placesIn(name, places)})
	}
	if all {
		out.Outside = placesIn("", places)
	}
	return out
}

func placesIn(chamber string, places []chart.Place) []drawnPlaceOut {
	out := []drawnPlaceOut{}
	for _, p := range places {
		if p.Chamber == chamber && len(p.Split) == 0 {
			out = append(out, drawnPlaceOut{
				p.Label, p.Circuit, p.Leg, p.Way, p.Joint.Port, p.Row, p.Bar, p.Port, p.Tape, p.Fitting, p.Weld, string(p.State), p.Covered,
			})
		}
	}
	return out
}
