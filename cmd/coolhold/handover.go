package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/handover"
	"coolhold/logbook/handover/a4"
	"coolhold/logbook/handover/phone"
	"coolhold/tui"
)

// A handing is what was asked for of a hand-over.
type handing struct {
	log, site, asOf, chamber, format string
	out                              outlet
	json                             bool
}

// handingForms are the forms of a leaf, the one of a terminal first.
var handingForms = []string{"text", "pdf", "html", "json"}

func newHandover(e edges) *cobra.Command {
	var q handing
	cmd := &cobra.Command{
		Use:   "handover",
		Short: "Hand the loop over: the plumber's leaf, a page for the lid of a chamber",
		Long: `handover writes what a plumber must know before a pipe is connected, opened or run: which
pipe is from ground and which to ground, size, SDR and end, litres, what is in the pipe now
and what it freezes at as read, the flow of each circuit, pressure left standing, valves,
caps, ports, tests, joints that no test holds, what is open, and whom to call. It is one A4
page to print in black and white, or one HTML file for a phone.

It says what is recorded. What is not recorded is said to be so: say it with coolhold
handover left. It never says that anything may run: that is for the heat pump's maker, the
designer and the licensed trade that commissions it.

With --chamber it is the page for the lid of that chamber.

The format is that of --format, else of the ending of --out (pdf, html, json, txt), else
text. With --as-of it is the hand-over as it was at that time.`,
		Example: `  coolhold handover
  coolhold handover --out leaf.pdf
  coolhold handover --out leaf.html
  coolhold handover --chamber A --out lid.pdf
  coolhold handover left all --bar 2 --shut "fill, purge" --call "Hedda Invented" --phone "not given" --by "Hedda Invented"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return group(cmd, args)
			}
			data, err := q.run(e)
			if err != nil {
				return err
			}
			return q.out.deliver(cmd.OutOrStdout(), data)
		},
	}
	readFlags(cmd, &q.log, &q.site, &q.asOf)
	cmd.Flags().StringVar(&q.chamber, "chamber", "", "the page for the lid of this `chamber`")
	cmd.Flags().StringVar(&q.format, "format", "", strings.Join(handingForms, ", "))
	cmd.Flags().BoolVar(&q.json, "json", false, "write JSON, all of it")
	q.out.flags(cmd, "it")
	cmd.AddCommand(newHandoverLeft(e))
	return cmd
}

// formatOf is the form asked for.
func (q handing) formatOf() (string, error) {
	ending := strings.ToLower(strings.TrimPrefix(filepath.Ext(q.out.file), "."))
	switch {
	case q.json && q.format != "":
		return "", usage("--json and --format do not go together; write one of them")
	case q.json:
		return "json", nil
	case q.format != "" && !slices.Contains(handingForms, q.format):
		return "", usage("--format %q is not known; write %s", q.format, strings.Join(handingForms, ", "))
	case q.format != "":
		return q.format, nil
	case ending == "htm":
		return "html", nil
	case slices.Contains(handingForms, ending):
		return ending, nil
	case ending == "" || ending == "txt":
		return "text", nil
	}
	return "", usage("--out %q does not end in pdf, html, json or txt; name the form with --format", q.out.file)
}

func (q handing) run(e edges) ([]byte, error) {
	format, err := q.formatOf()
	switch {
	case err != nil:
		return nil, err
	case format == "pdf" && q.out.file == "" && tui.IsTerminal(e.out):
		return nil, usage("a PDF is no text for a terminal: name a file with --out, or write --format text")
	case format == "json" && q.chamber != "":
		return nil, usage("--chamber does not go with JSON, which holds all of it; leave it out")
	}
	h, s, r, err := q.handover(e)
	if err != nil {
		return nil, err
	}
	if format == "json" {
		var buf bytes.Buffer
		err := printJSON(&buf, h)
		return buf.Bytes(), err
	}
	leaf := h.Leaf()
	if q.chamber != "" {
		name, err := chamberOf(r.book, s, q.chamber)
		if err != nil {
			return nil, err
		}
		var found bool
		if leaf, found = h.ChamberPage(name); !found {
			return nil, exitWith(exitFindings, errors.New("the plan of the site tells nothing of that chamber"))
		}
	}
	return leafAs(format, h, leaf, r.asOf.Local())
}

// leafAs is a leaf in a form.
func leafAs(format string, h handover.Handover, leaf handover.Leaf, at time.Time) ([]byte, error) {
	var buf bytes.Buffer
	var err error
	switch format {
	case "pdf":
		err = a4.Write(&buf, at, leaf)
	case "html":
		phoneOf := ""
		if h.Call != nil {
			phoneOf = h.Call.Phone
		}
		err = phone.Write(&buf, leaf, phoneOf)
	default:
		err = leaf.WriteText(&buf)
	}
	return buf.Bytes(), err
}

func (q handing) handover(e edges) (handover.Handover, logbook.Site, reading, error) {
	r, s, err := readSite(e, q.log, q.site, q.asOf)
	if err != nil {
		return handover.Handover{}, s, r, err
	}
	res := audit.Run(r.book, s.ID, r.asOf, r.beat)
	return handover.Of(r.book, s.ID, res, handover.Query{Now: r.asOf, Program: program()}), s, r, nil
}

// writeHandoverFiles writes the plumber's leaf as PDF and for a phone, and the page of
// each chamber, into the documents folder, and gives their names.
// A file that is there is never written over.
func writeHandoverFiles(e edges, path, site string) (string, error) {
	q := handing{log: path, site: site}
	h, s, r, err := q.handover(e)
	if err != nil {
		return "", err
	}
	at := r.asOf.Local()
	made := map[string][]byte{}
	for _, format := range []string{"pdf", "html"} {
		if made[format], err = leafAs(format, h, h.Leaf(), at); err != nil {
			return "", err
		}
	}
	lids := bytes.Buffer{}
	var pages []handover.Leaf
	for _, c := range h.Chambers {
		p, _ := h.ChamberPage(c.Name)
		pages = append(pages, p)
	}
	if len(pages) > 0 {
		if err := a4.Write(&lids, at, pages...); err != nil {
			return "", err
		}
		made["lids.pdf"] = lids.Bytes()
	}
	folder := documents(e)
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return "", fmt.Errorf("the hand-over is not written: %w", err)
	}
	files, err := deliverNew(filepath.Join(folder, fileName(s.ID)+"-handover-"+at.Format(time.DateOnly)), made)
	return oneName(files), err
}

// oneName are files of one name with their endings: "leaf.html, .lids.pdf, .pdf".
func oneName(files []string) string {
	if len(files) == 0 {
		return ""
	}
	base := strings.TrimSuffix(files[0], filepath.Ext(files[0]))
	says := files[0]
	for _, f := range files[1:] {
		says += ", " + strings.TrimPrefix(f, base)
	}
	return says
}

// A leftSaid is how a section was left.
type leftSaid struct {
	loopSaid
	bar, gauge, shut, open       string
	caps, fill, purge, end, mark string
	call, phone, firm            string
	lpm                          figure
}

func newHandoverLeft(e edges) *cobra.Command {
	f := new(leftSaid)
	cmd := &cobra.Command{
		Use:   "left SECTION --by NAME …",
		Short: "Record how a section was left: pressure, valves, caps, ports, whom to call",
		Long: `left records how a section was left for whoever works on it next: a circuit, a header, a
chamber, or "all". Nothing has a default: of what is not said nothing is recorded, and the
plumber's leaf says so. What was said stands until it is said anew, each thing by itself.

Of the whole site ("all") it is said whom to call; of a header how it ends in the plant room
and is marked there; of a circuit the flow as it was set by hand.

With --withdraw the newest of a section is taken back. Both stay in the log.`,
		Example: `  coolhold handover left all --bar 2 --gauge G-77 --shut "fill, purge 1, purge 2" --open "all circuits" --fill "tee with cap, plant room" --purge "two valves on the headers" --by "Hedda Invented"
  coolhold handover left all --call "Hedda Invented" --phone "invented number" --firm "Invented Loops" --by "Hedda Invented"
  coolhold handover left FG --end "flange, blind" --mark "FG in white paint" --by "Hedda Invented"
  coolhold handover left "circuit 1" --flow 18 --by "Hedda Invented"
  coolhold handover left all --bar none --shut none --by "Hedda Invented"
  coolhold handover left all --withdraw --by "Hedda Invented" --why "it was the other site"`,
		Args: cobra.ArbitraryArgs,
	}
	f.flags(cmd, "of how it was left")
	flags := cmd.Flags()
	flags.StringVar(&f.bar, "bar", "", "pressure left standing in `bar` at the gauge, \"none\" where it is let off, \"not read\", or \"could not look\"")
	flags.StringVar(&f.gauge, "gauge", "", "the `gauge` that it was read from")
	flags.StringVar(&f.shut, "shut", "", "`names` of the valves left shut, with commas between them, or \"none\"")
	flags.StringVar(&f.open, "open", "", "`names` of the valves left open, with commas between them")
	flags.StringVar(&f.caps, "caps", "", "`words`: where caps and plugs are")
	flags.StringVar(&f.fill, "fill", "", "`words`: where it is filled")
	flags.StringVar(&f.purge, "purge", "", "`words`: where it is purged")
	flags.Var(&f.lpm, "flow", "of a circuit: its flow in `L/min`, as it was set by hand")
	flags.StringVar(&f.end, "end", "", "of a header: `words`, how it ends in the plant room: capped, flange, elbow")
	flags.StringVar(&f.mark, "mark", "", "of a header: `words`, how it is marked there")
	flags.StringVar(&f.call, "call", "", "`name` of who is to be called")
	flags.StringVar(&f.phone, "phone", "", "the `number` of who is to be called")
	flags.StringVar(&f.firm, "firm", "", "the `firm` of who is to be called")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		section := strings.Join(args, " ")
		switch {
		case section == "":
			return usage("which section? write coolhold handover %s, of a circuit, a header, a chamber, or all", cmd.Use)
		case f.withdraw:
			return f.takeBack(e, cmd, "left", section)
		}
		return f.record(e, cmd, section)
	}
	return cmd
}

// saidFlags are those that say how it was left.
var saidFlags = []string{"bar", "gauge", "shut", "open", "caps", "fill", "purge", "flow", "end", "mark", "call", "phone", "firm", "text"}

func (f *leftSaid) record(e edges, cmd *cobra.Command, section string) error {
	if err := f.asks(cmd); err != nil {
		return err
	}
	if !slices.ContainsFunc(saidFlags, cmd.Flags().Changed) {
		return usage("nothing is said of how it was left: give one of --%s; see %s --help", strings.Join(saidFlags, ", --"), cmd.CommandPath())
	}
	if f.call == "" && cmp.Or(f.phone, f.firm) != "" {
		return usage("--phone and --firm go with --call: who is to be called?")
	}
	b := logbook.LeftAs{Gauge: f.gauge, Caps: f.caps, Fill: f.fill, Purge: f.purge, End: f.end, Mark: f.mark, Text: f.text, Open: strings.Split(f.open, ",")}
	if f.call != "" {
		b.Call = &logbook.Call{Name: f.call, Phone: f.phone, Firm: f.firm}
	}
	if f.lpm.set {
		b.LPM = &f.lpm.v
	}
	b.NoneShut, b.Shut = acts.ValvesShut(f.shut)
	if err := f.pressure(&b); err != nil {
		return err
	}
	var err error
	if b.Stated, err = whenSaid(head(e, ""), "--at", f.at); err != nil {
		return err
	}
	return f.put(e, cmd, func(s scene) (acts.Act, error) {
		t, err := s.section(section)
		b.Section = t.ID
		return acts.LeaveAs(s.head, b), err
	})
}

// pressure reads what was left standing.
func (f *leftSaid) pressure(b *logbook.LeftAs) error {
	said := strings.TrimSpace(f.bar)
	if said == "" {
		return nil
	}
	if strings.EqualFold(said, "none") {
		b.Pressure = logbook.PressureNone
		return nil
	}
	if code, known := logbook.Standings.Begun(said); known {
		b.Pressure = code
		return nil
	}
	var bar noted
	if bar.Set(said) != nil {
		return usage("--bar %q is no pressure: write a figure in bar, \"none\", \"not read\" or \"could not look\"", said)
	}
	if b.Pressure, b.Bar = logbook.PressureStands, bar.read(); b.Bar != nil && *b.Bar == 0 {
		b.Pressure, b.Bar = logbook.PressureNone, nil
	}
	return nil
}
