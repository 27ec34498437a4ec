package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

func newCover(e edges) *cobra.Command {
	var f said
	var asJSON, allTheSame bool
	cmd := &cobra.Command{
		Use:   "cover [SECTION --by NAME]",
		Short: "List what may be covered with ground, or record that it was",
		Long: `cover lists each section of a site, a chamber or the pipe of one header outside: may
be covered, or which joints are missing, or when it was covered and by whom. It says so as far
as the record shows: the pressure test, the site's rules and the client's own
inspection come first. It ends with exit code 1 while a joint is missing.

A joint is missing until a settled weld stands in it, nothing is open at it, and no
order of the foreman is unanswered; a joint elsewhere that is held on the same pipe
is missing too, because ground would move it. A loss of pressure of which nobody
said the circuit keeps every section open that it may be in.

With a section it records that it was covered. Where joints are missing it refuses
with exit code 5, unless it has happened --all-the-same: then the entry names them.`,
		Example: `  coolhold cover
  coolhold cover "chamber A" --by "Hedda Invented"
  coolhold cover "run A/FG" --by "Hedda Invented" --all-the-same`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			part := strings.Join(args, " ")
			switch {
			case part == "" && (f.by != "" || allTheSame):
				return usage("which section? write coolhold cover \"chamber A\" --by NAME")
			case part == "":
				return listCovers(e, cmd, f, asJSON)
			case asJSON:
				return usage("--json goes with the list, not with a section")
			}
			if err := f.named(cmd); err != nil {
				return err
			}
			return f.put(e, cmd, func(s scene) (acts.Act, error) { return covered(s, part, allTheSame) })
		},
	}
	f.flags(cmd)
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	cmd.Flags().BoolVar(&allTheSame, "all-the-same", false, "it was covered although joints are missing; the entry names them")
	return cmd
}

func listCovers(e edges, cmd *cobra.Command, f said, asJSON bool) error {
	r, err := readLog(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	s, err := pickSite(r.book, f.site)
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
	}
}

// covered records that a section was covered, its name in upper and lower case
// alike, as it stands now.
func covered(s scene, part string, allTheSame bool) (acts.Act, error) {
	var names []string
	for _, p := range ahead.Sections(s, s.site.ID) {
		names = append(names, p.Name)
		if !strings.EqualFold(p.Name, part) {
			continue
		}
		c := audit.CoveringOf(s, s.audit(), p)
		act := acts.CoverSection(s.head, s.beat, c, allTheSame)
		if c.Lacking() && !allTheSame {
			return hinted(act, "if it was covered, --all-the-same records it and names them"), nil
		}
		return act, nil
	}
	return nil, exitWith(exitFindings, fmt.Errorf("no section %q on %s; it has %s", part, s.site.ID, strings.Join(names, ", ")))
}
