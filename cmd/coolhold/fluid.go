package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
)

// A fluidSaid is what was filled into a section.
type fluidSaid struct {
	loopSaid
	content, name, batch, inhibitor string
	instrument, meantFor            string
	share, litres, freezes          noted
}

func newFluid(e edges) *cobra.Command {
	f := new(fluidSaid)
	cmd := &cobra.Command{
		Use:   "fluid [SECTION --content WORDS --by NAME …]",
		Short: "Say how much fluid a section takes, or record what was filled in",
		Long: `fluid lists what each section holds and what is in it as last said. With --share it says
how many litres bring that volume to a share: litres × share / 100. The litres go by
the least wall and are an upper figure. What it freezes at is read, never computed:
follow the maker of the fluid.

With a section, or "all", it records what was filled in, and the freezing point as read
by an instrument that is meant for that fluid.

--content:   ` + helpOf(logbook.Contents) + `
--meant-for: ` + helpOf(logbook.MeantFors),
		Example: `  coolhold fluid --share 25
  coolhold fluid all --content ready --name "invented fluid" --share 30 --litres 420 --batch B-17 --inhibitor "as delivered" --freezes -14 --instrument "refractometer R-1" --meant-for yes --by "Hedda Invented"
  coolhold fluid all --content water --by "Hedda Invented"`,
		Args: cobra.ArbitraryArgs,
	}
	f.flags(cmd, "filling")
	flags := cmd.Flags()
	flags.StringVar(&f.content, "content", "", "`words`: what is in the pipe")
	flags.StringVar(&f.name, "name", "", "`name` of the fluid, as it stands on its can")
	flags.Var(&f.share, "share", "share wanted in `percent` by volume; of a record that of the fluid, or \"not known\"")
	flags.Var(&f.litres, "litres", "`litres` of it that were filled in, or \"not known\"")
	flags.StringVar(&f.batch, "batch", "", "its `batch`, or \"not known\"")
	flags.StringVar(&f.inhibitor, "inhibitor", "", "its `inhibitor`, or \"not known\"")
	flags.Var(&f.freezes, "freezes", "freezing point in °`C` as read, or \"not read\"")
	flags.StringVar(&f.instrument, "instrument", "", "`name` of what it was read with")
	flags.StringVar(&f.meantFor, "meant-for", "", "`words`: is that meant for this fluid")
	flags.BoolVar(&f.json, "json", false, "write the list as JSON")
	cmd.RunE = f.runs(e, "fluid", "section", f.list, f.record)
	return cmd
}

// A fluidRow is what a section holds and what is in it, for other programs.
type fluidRow struct {
	Section string          `json:"section"`
	Need    ahead.FluidNeed `json:"need"`
	Now     *fluidNow       `json:"now,omitempty"`   // nil: nothing was said of it
	Parts   []string        `json:"parts,omitempty"` // what was said since of pipes in it, in words
}

type fluidNow struct {
	logbook.FluidFilled
	By string `json:"by"`
	At string `json:"at"` // local time, RFC 3339
}

func (f *fluidSaid) list(e edges, cmd *cobra.Command) error {
	if err := noneOf(cmd, "with a section: write coolhold fluid all …", "content", "name", "litres", "batch", "inhibitor", "freezes", "instrument", "meant-for", "by", "at", "text", "why", "withdraw"); err != nil {
		return err
	}
	if f.share.set && (f.share.none || f.share.v < 0 || f.share.v > 100) {
		return exitWith(exitRefused, fmt.Errorf("share %s %% is out of range: it goes from 0 to 100 %%", f.share.String()))
	}
	r, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	rows := []fluidRow{}
	sections := ahead.TestSections(r.book, s.ID)
	for _, t := range sections {
		row := fluidRow{Section: t.Name, Need: ahead.FluidNeedOf(t, f.share.read()), Parts: ahead.ContentOfParts(sections, s, t)}
		if now, found := ahead.ContentOf(s, t); found {
			row.Now = &fluidNow{now.FluidFilled, now.By, now.When().Local().Format("2006-01-02T15:04:05Z07:00")}
		}
		rows = append(rows, row)
	}
	if f.json {
		return printJSON(cmd.OutOrStdout(), rows)
	}
	return f.tell(e, cmd.OutOrStdout(), rows)
}

func (f *fluidSaid) tell(e edges, w io.Writer, rows []fluidRow) error {
	for _, row := range rows {
		in := "what is in it was not said"
		if row.Now != nil {
			in = row.Now.Line() + ", by " + row.Now.By
		}
		if row.Now == nil && row.Parts != nil {
			in = strings.Join(row.Parts, "; ")
		} else if row.Parts != nil {
			in += "; since then " + strings.Join(row.Parts, "; ")
		}
		fmt.Fprintf(w, "%s: %s; %s\n", logbook.Clean(row.Section), row.Need.Line(), logbook.Clean(in))
	}
	return f.finds(e, w)
}

func (f *fluidSaid) record(e edges, cmd *cobra.Command, part string) (err error) {
	needs := []string{"content"}
	b := logbook.FluidFilled{Name: strings.TrimSpace(f.name), SharePct: f.share.read(), Litres: f.litres.read(), Batch: strings.TrimSpace(f.batch), Inhibitor: strings.TrimSpace(f.inhibitor), Instrument: strings.TrimSpace(f.instrument), Text: strings.TrimSpace(f.text)}
	if cmd.Flags().Changed("content") {
		if b.Content, err = answerTo("content", logbook.Contents, f.content); err != nil {
			return err
		}
	}
	if b.Content != logbook.ContentWater {
		needs = append(needs, "name", "share", "litres", "batch", "inhibitor", "freezes")
	}
	if b.FreezingC = f.freezes.celsius(); b.FreezingC != nil {
		needs = append(needs, "instrument", "meant-for")
	}
	if err := f.asks(cmd, needs...); err != nil {
		return err
	}
	if f.meantFor != "" {
		if b.MeantFor, err = answerTo("meant-for", logbook.MeantFors, f.meantFor); err != nil {
			return err
		}
	}
	if b.Stated, err = whenSaid(head(e, ""), "--at", f.at); err != nil {
		return err
	}
	return f.records(e, cmd, part, func(s scene, id logbook.SectionID) (acts.Act, error) {
		b.Section = id
		return acts.FillFluid(s.head, b), nil
	})
}
