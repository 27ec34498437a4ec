package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/paper"
)

func newCover(e edges) *cobra.Command {
	var f said
	var c coverSaid
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "cover [SECTION --by NAME] | cover check SECTION ...",
		Short: "List what may be covered with ground, or record that it was",
		Long: `cover lists each section of a site, a chamber or the pipe of one header outside: may
be covered, or which joints are missing, or when it was covered and by whom. It says so as far
as the record shows: the pressure test, the site's rules and the client's own
inspection come first. It ends with exit code 1 while a joint is missing.

A joint is missing until a settled weld stands in it, nothing is open at it, and no
order of the foreman is unanswered; a joint elsewhere that is held on the same pipe
is missing too, because ground would move it. A loss of pressure of which nobody
said the circuit keeps every section open that it may be in.

Under each section stands what its plan wants looked at before welding and before the
cover, with what is recorded of it: coolhold cover check records that. What is not
looked at keeps the section open as a missing joint does.

With a section it records that it was covered. Where joints are missing it refuses
with exit code 5, unless it has happened --all-the-same: then the entry names them.
With --on it was covered on that day; one before the site was opened in the log is
taken, and the audit asks about it.

With --withdraw the newest cover of a section is taken back: it was said by mistake.
Both stay in the log. What was covered and is dug up is no mistake: coolhold happened
--what "dug up" says so.`,
		Example: `  coolhold cover
  coolhold cover check "chamber A" --before cover --rest yes --cover-m 1.05 --by "Hedda Invented"
  coolhold cover "chamber A" --by "Hedda Invented"
  coolhold cover "run A/FG" --by "Hedda Invented" --all-the-same
  coolhold cover "run A/FG" --by "Hedda Invented" --on 2026-03-08
  coolhold cover "run A/FG" --by "Hedda Invented" --withdraw --why "it was run B/FG"`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			part := strings.Join(args, " ")
			switch {
			case part == "" && (f.by != "" || c != coverSaid{}):
				return usage("which section? write coolhold cover \"chamber A\" --by NAME")
			case part == "":
				return listCovers(e, cmd, f, asJSON)
			case asJSON:
				return usage("--json goes with the list, not with a section")
			}
			if err := c.check(f, head(e, "")); err != nil {
				return err
			}
			return f.put(e, cmd, func(s scene) (acts.Act, error) { return c.covered(s, part, f.why) })
		},
	}
	f.flags(cmd)
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	cmd.Flags().BoolVar(&c.allTheSame, "all-the-same", false, "it was covered although joints are missing; the entry names them")
	cmd.Flags().StringVar(&c.on, "on", "", "`date` on which it was covered, 2026-03-08, where that is not today")
	cmd.Flags().BoolVar(&c.withdraw, "withdraw", false, "take the newest cover of the section back: it was said by mistake")
	cmd.Flags().StringVar(&f.why, "why", "", "`text`: why a cover is taken back")
	cmd.AddCommand(newCoverCheck(e))
	return cmd
}

// A coverSaid is what is said of a section beside its name.
type coverSaid struct {
	on                   string
	allTheSame, withdraw bool
}

// check finds what is missing or wrong on the command line, as of today.
func (c *coverSaid) check(f said, h acts.Head) error {
	switch {
	case strings.TrimSpace(f.by) == "":
		return usage("--by is missing: who says so?")
	case c.withdraw && (c.on != "" || c.allTheSame):
		return usage("--withdraw takes a cover back: it goes with no --on and no --all-the-same")
	case c.withdraw && strings.TrimSpace(f.why) == "":
		return usage("--why is missing: why is the cover taken back?")
	case !c.withdraw && f.why != "":
		return usage("--why goes with --withdraw")
	case c.on == "":
		return nil
	}
	day, err := paper.ParseDay(c.on, zoneOf(h.At))
	if err != nil {
		return usage("--on: %w", err)
	}
	if c.on = day.Format(time.DateOnly); c.on > h.At.Local().Format(time.DateOnly) {
		return usage("--on %s is still to come: today is %s", c.on, h.At.Local().Format(time.DateOnly))
	}
	return nil
}

func listCovers(e edges, cmd *cobra.Command, f said, asJSON bool) error {
	r, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	res, all, missing := audit.Run(r.book, s.ID, r.asOf, r.beat), []audit.Covering{}, false
	for _, p := range ahead.Sections(r.book, s.ID) {
		c := audit.CoveringOf(r.book, res, p)
		all, missing = append(all, c), missing || c.Lacking()
	}
	if asJSON {
		err = printJSON(cmd.OutOrStdout(), all)
	} else {
		printCovers(cmd.OutOrStdout(), all)
	}
	if err == nil && missing {
		return &exitError{code: exitFindings}
	}
	return err
}

func printCovers(w io.Writer, all []audit.Covering) {
	if len(all) == 0 {
		fmt.Fprintln(w, "no joint counts on this site: there is nothing to cover")
	}
	for _, c := range all {
		fmt.Fprintf(w, "%s: %s\n", logbook.Clean(c.Section), logbook.Clean(strings.Join(c.Lines(), "; ")))
		for _, l := range c.Missing {
			for _, says := range l.Says {
				fmt.Fprintf(w, "  %s  %s\n", logbook.Clean(l.Joint), logbook.Clean(says))
			}
		}
		for _, l := range c.Looked {
			fmt.Fprintf(w, "  %s\n", logbook.Clean(l.Listed()))
		}
		if says := c.Untested(); says != "" {
			fmt.Fprintf(w, "  %s\n", says)
		}
	}
}

// covered records that a section was covered, as it stands now, or takes its newest cover
// back.
func (c coverSaid) covered(s scene, part, why string) (acts.Act, error) {
	p, err := s.part(part)
	if err != nil {
		return nil, err
	}
	if c.withdraw {
		k, _ := s.site.CoverOf(p.Name)
		k.Section = p.Name
		return acts.UncoverSection(s.head, k, why), nil
	}
	now := audit.CoveringOf(s, s.audit(), p)
	act := acts.CoverSectionOn(s.head, s.beat, now, c.on, c.allTheSame)
	if now.Lacking() && !c.allTheSame {
		return hinted(act, "if it was covered, --all-the-same records it and names them"), nil
	}
	return act, nil
}

// part finds a section that is covered in one go by its name, upper and lower case alike.
func (s scene) part(said string) (ahead.Section, error) {
	var names []string
	for _, p := range ahead.Sections(s, s.site.ID) {
		if names = append(names, p.Name); strings.EqualFold(p.Name, strings.TrimSpace(said)) {
			return p, nil
		}
	}
	return ahead.Section{}, exitWith(exitFindings, fmt.Errorf("no section %q on %s; it has %s", said, s.site.ID, strings.Join(names, ", ")))
}
