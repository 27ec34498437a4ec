package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

// A groundSaid is what is said of a section before it is welded or covered.
type groundSaid struct {
	loopSaid
	before, rest, routes string
	lines                map[string]*string // by code
	figures              map[string]*noted
	offsets              []string
}

func newCoverCheck(e edges) *cobra.Command {
	f := &groundSaid{lines: map[string]*string{}, figures: map[string]*noted{}}
	cmd := &cobra.Command{
		Use:   "check SECTION --before welding|cover [--bed WORDS ...] --by NAME",
		Short: "Say what was seen of a section before it is welded or covered",
		Long: `check records what was seen of a section before it is welded or covered: what its plan
wants looked at (before_welding, before_cover), and anything else. It may be said in
parts, as the work goes on; of each line the newest that was seen counts. What is not as
it should be is a query at once; what is not looked at by the cover is one then.

Each line is answered by: ` + helpOf(logbook.GroundFacts) + `.
--rest answers every other line that the plan wants there. A figure is as measured, or
"not read"; what is set out stands in the plan.

A photo is a file that is enclosed for the section; of one enclosed after the cover the
time in its file tells whether it was taken before. What was seen earlier is entered with
--at. With --withdraw the newest look at a section is taken back; both stay in the log.`,
		Example: `  coolhold cover check "chamber A" --before welding --level yes --level-m 101.32 --lid yes --lid-m 102.1 --by "Hedda Invented"
  coolhold cover check "chamber A" --before cover --tape no --rest yes --cover-m 1.05 --by "Hedda Invented"
  coolhold cover check "chamber A" --before cover --offset "house corner to lid=4.35" --offset "gate post to lid=7.1" --routes "1 and 2 to the hedge" --by "Hedda Invented"
  coolhold cover check "chamber A" --withdraw --by "Hedda Invented" --why "it was chamber B"`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usage("which section? write coolhold cover check \"chamber A\" ...")
			}
			return f.run(e, cmd, strings.Join(args, " "))
		},
	}
	f.flags(cmd, "look")
	flags := cmd.Flags()
	flags.StringVar(&f.before, "before", "", "before `what` it was looked at: welding or cover")
	for _, l := range logbook.GroundAsked {
		f.lines[l.Code] = new(string)
		flags.StringVar(f.lines[l.Code], l.Code, "", "`words`: "+l.Ask)
		if l.Figure != "" {
			f.figures[l.Code] = new(noted)
			flags.Var(f.figures[l.Code], l.Code+"-m", l.Figure+" as measured, in `m`, or \"not read\"")
		}
	}
	flags.StringVar(&f.rest, "rest", "", "`words`: every other line that the plan wants")
	flags.StringArrayVar(&f.offsets, "offset", nil, "`point=m`: from which fixed point to what, and how far; twice or more")
	flags.StringVar(&f.routes, "routes", "", "`text`: how the loops lie")
	return cmd
}

func (f *groundSaid) run(e edges, cmd *cobra.Command, part string) (err error) {
	if f.withdraw {
		return f.back(e, cmd, part)
	}
	if err := f.asks(cmd, "before"); err != nil {
		return err
	}
	b := logbook.GroundChecked{Routes: f.routes, Text: f.text}
	stage, err := answerTo("before", logbook.GroundStages, f.before)
	if err != nil {
		return err
	}
	b.Stage = logbook.GroundStage(stage)
	if b.Offsets, err = offsetsSaid(f.offsets); err != nil {
		return err
	}
	if b.Stated, err = whenSaid(head(e, ""), "--at", f.at); err != nil {
		return err
	}
	err = f.put(e, cmd, func(s scene) (acts.Act, error) {
		section, err := s.part(part)
		if err != nil {
			return nil, err
		}
		part, b.Section = section.Name, section.Name
		b.Seen, err = f.seen(s, section, b.Stage)
		return acts.CheckGround(s.head, b), err
	})
	if err != nil {
		return err
	}
	return f.lacks(e, cmd.OutOrStdout(), part)
}

// seen is what was said of each line, with its figure.
func (f *groundSaid) seen(s scene, section ahead.Section, stage logbook.GroundStage) (out []logbook.GroundSeen, err error) {
	wanted := ahead.GroundOf(s, s.site, section).Required(stage)
	for _, l := range logbook.GroundAsked {
		said := *f.lines[l.Code]
		if said == "" && slices.ContainsFunc(wanted, func(w ahead.Looked) bool { return w.Line == l.Code }) {
			said = f.rest
		}
		figure := f.figures[l.Code]
		if said == "" {
			if figure != nil && figure.set {
				return nil, usage("--%s-m goes with --%s: is it as it should be?", l.Code, l.Code)
			}
			continue
		}
		seen := logbook.GroundSeen{Line: l.Code}
		if seen.State, err = answerTo(l.Code, logbook.GroundFacts, said); err != nil {
			return nil, err
		}
		if figure != nil {
			if seen.Says() && !figure.set {
				return nil, usage("--%s-m missing: %s as measured, in m, or \"not read\"", l.Code, l.Figure)
			}
			seen.M = figure.read()
		}
		out = append(out, seen)
	}
	return out, nil
}

// offsetsSaid reads "house corner to lid=4.35".
func offsetsSaid(said []string) (out []logbook.Offset, err error) {
	for _, text := range said {
		at := strings.LastIndexByte(text, '=')
		var m figure
		if at < 1 || m.Set(text[at+1:]) != nil {
			return nil, usage("--offset %q is no offset; write \"house corner to lid=4.35\"", text)
		}
		out = append(out, logbook.Offset{From: strings.TrimSpace(text[:at]), M: m.v})
	}
	return out, nil
}

// back takes the newest look at a section back.
func (f *groundSaid) back(e edges, cmd *cobra.Command, part string) error {
	if strings.TrimSpace(f.by) == "" || strings.TrimSpace(f.why) == "" {
		return usage("--withdraw goes with --by and --why: who takes it back, and why?")
	}
	return f.put(e, cmd, func(s scene) (acts.Act, error) {
		section, err := s.part(part)
		if err != nil {
			return nil, err
		}
		now, _ := s.site.GroundOf(section.Name)
		return acts.WithdrawGround(s.head, section.Name, now.Seq, f.why), nil
	})
}

// lacks prints what is open on the section.
func (f *groundSaid) lacks(e edges, w io.Writer, part string) error {
	r, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	for _, found := range audit.Run(r.book, s.ID, r.asOf, r.beat).OfPart(part) {
		if found.Open() {
			_, err = fmt.Fprintf(w, "  %s: %s\n", found.Word(), logbook.Clean(found.Says))
		}
	}
	return err
}
