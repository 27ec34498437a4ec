package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// A loopSaid is what is said with each reading of the loop: by whom, when, and whether the
// newest is taken back.
type loopSaid struct {
	said
	at, text string
	withdraw bool
	json     bool
}

func (f *loopSaid) flags(cmd *cobra.Command, what string) {
	f.said.flags(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.at, "at", "", "`when` it was, if not now: 14:05, or 2026-03-10 14:05")
	flags.StringVar(&f.text, "text", "", "`text`: what else was seen")
	flags.BoolVar(&f.withdraw, "withdraw", false, "take the newest "+what+" of the section back: it was said by mistake")
	flags.StringVar(&f.why, "why", "", "`text`: why it is taken back")
}

// asks wants who says it, and every flag that a record needs: nothing is taken for granted.
func (f *loopSaid) asks(cmd *cobra.Command, needs ...string) error {
	if strings.TrimSpace(f.by) == "" {
		return usage("--by is missing: who says so?")
	}
	if f.why != "" {
		return usage("--why goes with --withdraw")
	}
	var missing []string
	for _, name := range needs {
		if !cmd.Flags().Changed(name) {
			missing = append(missing, "--"+name)
		}
	}
	if len(missing) > 0 {
		return usage("%s missing: nothing is taken for granted; where nobody read or looked there is a word for that too; see %s --help", strings.Join(missing, " and "), cmd.CommandPath())
	}
	return nil
}

// answerTo is the code of what was said to a question.
func answerTo(flag string, o *logbook.Options, said string) (string, error) {
	code, known := o.Begun(said)
	if !known {
		return "", usage("--%s %q is not known; write %s", flag, said, strings.Join(o.Words(), ", "))
	}
	return code, nil
}

// helpOf are the answers to a question, for a help.
func helpOf(o *logbook.Options) string {
	var lines []string
	for _, opt := range o.List {
		word := opt.Word
		if opt.Code != opt.Word && opt.Code != logbook.Unseen {
			word = fmt.Sprintf("%s (or %q)", opt.Word, opt.Code)
		}
		lines = append(lines, word)
	}
	return strings.Join(lines, "; ")
}

// runs is a verb that lists without a place, and with one records what was seen there or
// takes the newest of it back.
func (f *loopSaid) runs(e edges, what, place string, list func(edges, *cobra.Command) error, record func(edges, *cobra.Command, string) error) func(*cobra.Command, []string) error {
	return func(cmd *cobra.Command, args []string) error {
		part := strings.Join(args, " ")
		switch {
		case part == "":
			return list(e, cmd)
		case f.json:
			return usage("--json goes with the list, not with a %s", place)
		case f.withdraw:
			return f.takeBack(e, cmd, what, part)
		}
		return record(e, cmd, part)
	}
}

// takeBack takes the newest of a kind in a section back.
func (f *loopSaid) takeBack(e edges, cmd *cobra.Command, what, part string) error {
	if strings.TrimSpace(f.by) == "" || strings.TrimSpace(f.why) == "" {
		return usage("--withdraw goes with --by and --why: who takes it back, and why?")
	}
	return f.put(e, cmd, func(s scene) (acts.Act, error) {
		section, err := s.section(part)
		if err != nil {
			return nil, err
		}
		seq, found := acts.NewestLoop(s, s.site.ID, acts.LoopKinds[what], section.ID)
		if !found {
			return nil, exitWith(exitFindings, fmt.Errorf("%s: no %s is recorded there: there is nothing to take back", section.Name, what))
		}
		return acts.WithdrawLoop(s.head, acts.LoopKinds[what], section.ID, seq, f.why), nil
	})
}

// records stores a reading of a section and says what is found on it.
func (f *loopSaid) records(e edges, cmd *cobra.Command, part string, act func(scene, logbook.SectionID) (acts.Act, error)) error {
	var id logbook.SectionID
	err := f.put(e, cmd, func(s scene) (acts.Act, error) {
		section, err := s.section(part)
		if err != nil {
			return nil, err
		}
		id = section.ID
		return act(s, id)
	})
	if err != nil {
		return err
	}
	return f.finds(e, cmd.OutOrStdout())
}

// finds prints what the audit has open on flow, purge and fluid, the worst first.
func (f *loopSaid) finds(e edges, w io.Writer) error {
	r, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	for _, found := range audit.Run(r.book, s.ID, r.asOf, r.beat).Open() {
		if audit.OfLoop(found.Rule) {
			_, err = fmt.Fprintf(w, "  %s: %s\n", found.Word(), logbook.Clean(found.Says))
		}
	}
	return err
}

// noneOf refuses flags that go with something else.
func noneOf(cmd *cobra.Command, goes string, names ...string) error {
	for _, name := range names {
		if cmd.Flags().Changed(name) {
			return usage("--%s goes %s", name, goes)
		}
	}
	return nil
}
