package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// A readSaid is what a reading was given beside its pressure.
type readSaid struct {
	test, phase, text, at string
	letOut, measure       figure
	instead               int
}

func newPressureRead(e edges) *cobra.Command {
	f, r := new(said), new(readSaid)
	cmd := &cobra.Command{
		Use:   "read [BAR] --by NAME [--phase WORD]",
		Short: "Record what the gauge shows, or water that was let out",
		Long: `read records what the gauge shows at the moment it is typed, or --at another time. With
--phase a phase of the method begins with it, and the clock leads from there:

` + phaseHelp() + `

Water that was let out goes with the smallest step of what it was measured with. A
reading that was written down wrongly is put right with --instead and its number; both
stay in the log, and somebody else is asked.`,
		Example: `  coolhold pressure read 6.1 --phase "pressure reached" --by "Hedda Invented"
  coolhold pressure read 6.05 --by "Hedda Invented"
  coolhold pressure read 5.4 --phase "let water out" --let-out 0.31 --measure 0.01 --by "Hedda Invented"
  coolhold pressure read 6.05 --instead 2 --why "60.5 was mistyped" --by "Hedda Invented"`,
	}
	f.flags(cmd)
	flags := cmd.Flags()
	flags.StringVar(&r.test, "test", "", "`number` of the test, where several go on")
	flags.StringVar(&r.phase, "phase", "", "`words`: the phase that begins now")
	flags.Var(&r.letOut, "let-out", "water let out in `litres`")
	flags.Var(&r.measure, "measure", "the smallest step of its measure in `litres`")
	flags.StringVar(&r.text, "text", "", "`text`: what else was seen")
	flags.StringVar(&r.at, "at", "", "`when` it was read, if not now: 14:05, or 2026-03-10 14:05")
	flags.IntVar(&r.instead, "instead", 0, "`number` of the reading that is put right")
	flags.StringVar(&f.why, "why", "", "`text`: why a reading is put right")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if strings.TrimSpace(f.by) == "" {
			return usage("--by is missing: who says so?")
		}
		b, phase, err := r.body(head(e, ""), args)
		if err != nil {
			return err
		}
		b.Why = strings.TrimSpace(f.why)
		return f.put(e, cmd, func(s scene) (acts.Act, error) {
			t, err := s.test(r.test)
			b.Test = t.ID
			return acts.ReadPressure(s.head, phase, b), err
		})
	}
	return cmd
}

// body is what was read.
func (r readSaid) body(h acts.Head, args []string) (b logbook.PressureRead, phase logbook.PressurePhase, err error) {
	b = logbook.PressureRead{Text: strings.TrimSpace(r.text), Instead: r.instead}
	if len(args) > 1 {
		return b, phase, noMore(args[1:])
	}
	if len(args) == 1 {
		var bar figure
		if err := bar.Set(args[0]); err != nil {
			return b, phase, usage("%q is no pressure in bar", args[0])
		}
		b.Bar = &bar.v
	}
	if r.phase != "" {
		code, known := logbook.PressurePhases.Begun(r.phase)
		if !known {
			return b, phase, usage("--phase %q is not known; write %s", r.phase, strings.Join(logbook.PressurePhases.Words(), ", "))
		}
		phase = logbook.PressurePhase(code)
	}
	if r.letOut.set {
		b.LetOutL = &r.letOut.v
	}
	if r.measure.set {
		b.MeasureL = &r.measure.v
	}
	b.Stated, err = whenSaid(h, "--at", r.at)
	return b, phase, err
}

func phaseHelp() string {
	var b strings.Builder
	for _, m := range []logbook.PressureMethod{logbook.AsSpecified, logbook.EN805, logbook.DecayTrend} {
		var words []string
		for _, p := range m.Phases() {
			words = append(words, p.String())
		}
		fmt.Fprintf(&b, "  %s: %s\n", m, strings.Join(words, "; "))
	}
	return strings.TrimRight(b.String(), "\n")
}

func newPressureEnd(e edges) *cobra.Command {
	f := new(said)
	var test, ending, leaks, text, at string
	var left figure
	cmd := &cobra.Command{
		Use:   "end --ending WORDS --leaks WORDS --by NAME [--left BAR]",
		Short: "Say how a pressure test ended and what was seen",
		Long: `end ends a test, with what was seen of leaks while it was under pressure and what
pressure is left standing in the section; 0 where it was let out. A test that is
stopped or called off says in --text what happened.

--ending: ` + strings.Join(logbook.PressureEndings.Words(), "; ") + `
--leaks:  ` + strings.Join(logbook.Leaks.Words(), "; "),
		Example: `  coolhold pressure end --ending "run to its end" --leaks "looked at every joint, no leak" --left 2 --by "Hedda Invented"
  coolhold pressure end --ending "called off" --text "the pump failed" --by "Hedda Invented"`,
		Args: noArgs,
	}
	f.flags(cmd)
	flags := cmd.Flags()
	flags.StringVar(&test, "test", "", "`number` of the test, where several go on")
	flags.StringVar(&ending, "ending", "", "`words`: how it ended")
	flags.StringVar(&leaks, "leaks", "", "`words`: what was seen of leaks under pressure")
	flags.Var(&left, "left", "pressure left standing in `bar`; 0: let out")
	flags.StringVar(&text, "text", "", "`text`: what happened")
	flags.StringVar(&at, "at", "", "`when` it ended, if not now: 14:05, or 2026-03-10 14:05")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		b, err := f.ended(head(e, ""), ending, leaks, at)
		if err != nil {
			return err
		}
		if b.Text = strings.TrimSpace(text); left.set {
			b.LeftBar = &left.v
		}
		err = f.put(e, cmd, func(s scene) (acts.Act, error) {
			t, err := s.test(test)
			b.Test = t.ID
			return acts.EndPressure(s.head, b), err
		})
		if err != nil {
			return err
		}
		return f.tells(e, cmd.OutOrStdout(), b.Test, false)
	}
	return cmd
}

func (f said) ended(h acts.Head, ending, leaks, at string) (b logbook.PressureEnded, err error) {
	code, known := logbook.PressureEndings.Begun(ending)
	switch {
	case strings.TrimSpace(f.by) == "":
		return b, usage("--by is missing: who says so?")
	case !known:
		return b, usage("--ending %q is not known; write %s", ending, strings.Join(logbook.PressureEndings.Words(), " or "))
	}
	b.Ending = logbook.PressureEnding(code)
	if leaks != "" {
		if b.Leaks, known = logbook.Leaks.Begun(leaks); !known {
			return b, usage("--leaks %q is not known; write %s", leaks, strings.Join(logbook.Leaks.Words(), " or "))
		}
	}
	b.Stated, err = whenSaid(h, "--at", at)
	return b, err
}

// tells prints what a test came to, or all of it.
func (f said) tells(e edges, w io.Writer, id string, whole bool) error {
	r, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	t, err := testNamed(s, id)
	if err != nil {
		return err
	}
	for _, k := range audit.Run(r.book, s.ID, r.asOf, r.beat).Tests() {
		if k.ID == t.ID {
			printTest(w, k, whole)
		}
	}
	return nil
}

func printTest(w io.Writer, t audit.Tested, whole bool) {
	say := func(format string, args ...any) {
		fmt.Fprintln(w, logbook.Clean(fmt.Sprintf(format, args...)))
	}
	if whole {
		say("%s", t.PressureBegun.Line())
		say("  by %s, witness %s", t.By, orNotKnown(t.Witness))
		for _, v := range logbook.PressureValues {
			if v.Asked(t.Method) && v.Key != "witness" {
				say("  %-30s %s", v.Name, v.Shown(t.PressureBegun))
			}
		}
		for _, line := range t.Course() {
			say("  %s", line)
		}
	}
	say("%s", t.Line())
	lead := "  "
	if t.Open() {
		lead = "  so far: "
	}
	for _, line := range t.Result.Lines {
		say("%s%s", lead, line)
	}
	for _, o := range t.Outside {
		say("  not in it: %s, %s", o.Joint, o.Says())
	}
}

func orNotKnown(s string) string {
	if s == "" {
		return logbook.UnknownWord
	}
	return s
}

func newPressureShow(e edges) *cobra.Command {
	f, asJSON := new(said), false
	cmd := &cobra.Command{
		Use:     "show TEST",
		Short:   "Show a pressure test whole: what was given, read and what it comes to",
		Example: `  coolhold pressure show KM-P1`,
		Args:    wants(1, "which test?"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noMore(args[1:]); err != nil {
				return err
			}
			if asJSON {
				return f.testJSON(e, cmd.OutOrStdout(), args[0])
			}
			return f.tells(e, cmd.OutOrStdout(), args[0], true)
		},
	}
	logFlag(cmd, &f.log)
	cmd.Flags().StringVar(&f.site, "site", "", "the `site`, where the log has several")
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

func (f said) testJSON(e edges, w io.Writer, id string) error {
	r, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	t, err := testNamed(s, id)
	if err != nil {
		return err
	}
	for _, k := range audit.Run(r.book, s.ID, r.asOf, r.beat).Tests() {
		if k.ID == t.ID {
			return printJSON(w, k.Record())
		}
	}
	return exitWith(exitFindings, fmt.Errorf("pressure test %s was taken back: %s", t.ID, t.Withdrawn.Why))
}

func newPressureWithdraw(e edges) *cobra.Command {
	f := new(said)
	cmd := &cobra.Command{
		Use:   "withdraw TEST --by NAME --why TEXT",
		Short: "Take a pressure test back that was recorded by mistake",
		Long: `withdraw says that a test was none, as was said by mistake. Both stay in the log; where
the gauge had been read somebody else is asked. A test that was given up is no mistake:
coolhold pressure end --ending "called off" says so.`,
		Example: `  coolhold pressure withdraw KM-P1 --by "Hedda Invented" --why "it was circuit 2"`,
		Args:    wants(1, "which test?"),
	}
	f.whyFlag(cmd, "why it was none")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := f.named(cmd); err != nil {
			return err
		}
		return f.put(e, cmd, func(s scene) (acts.Act, error) {
			t, err := s.test(args[0])
			return acts.WithdrawPressure(s.head, t.ID, f.why), err
		})
	}
	return cmd
}

func newPressureClosing(e edges) *cobra.Command {
	f := new(said)
	cmd := &cobra.Command{
		Use:   "closing WELD --by NAME --why TEXT",
		Short: "Name the weld that closes a section after its test",
		Long: `closing says of a weld that it closes a section that was tested before it was made. No
test holds it; a look at it under pressure by somebody else, with a witness, ends its
query: coolhold pressure look.`,
		Example: `  coolhold pressure closing KM-0016 --by "Hedda Invented" --why "joins the tested circuit to the tested header"`,
	}
	f.whyFlag(cmd, "why no test can hold it")
	return onWeld(e, cmd, f, 1, func(h acts.Head, w logbook.Weld, rest []string) (acts.Act, error) {
		return acts.NameClosing(h, w.ID, f.why), noMore(rest)
	})
}

func newPressureLook(e edges) *cobra.Command {
	f := new(said)
	var leaks, witness, text, at string
	var bar figure
	cmd := &cobra.Command{
		Use:   "look WELD --bar BAR --leaks WORDS --witness NAME --by NAME",
		Short: "Record a look at one weld while its section is under pressure",
		Long: `look records what was seen of one weld under pressure. It ends the query of a closing
weld where neither who looked nor the witness made it. One that leaked is a fail.

--leaks: ` + strings.Join(logbook.Leaks.Words(), "; "),
		Example: `  coolhold pressure look KM-0016 --bar 3 --leaks "looked at every joint, no leak" --witness "Bo Invented" --by "Hedda Invented"`,
	}
	f.flags(cmd)
	flags := cmd.Flags()
	flags.Var(&bar, "bar", "what the gauge shows in `bar`")
	flags.StringVar(&leaks, "leaks", "", "`words`: what was seen")
	flags.StringVar(&witness, "witness", "", "`name` of who saw it too, or none")
	flags.StringVar(&text, "text", "", "`text`: what else was seen")
	flags.StringVar(&at, "at", "", "`when` it was looked at, if not now: 14:05, or 2026-03-10 14:05")
	return onWeld(e, cmd, f, 1, func(h acts.Head, w logbook.Weld, rest []string) (acts.Act, error) {
		if err := noMore(rest); err != nil {
			return nil, err
		}
		code, known := logbook.Leaks.Begun(leaks)
		switch {
		case !bar.set:
			return nil, usage("--bar is missing: what does the gauge show?")
		case !known:
			return nil, usage("--leaks %q is not known; write %s", leaks, strings.Join(logbook.Leaks.Words(), " or "))
		case strings.TrimSpace(witness) == "":
			return nil, usage("--witness is missing: who saw it too? write none where nobody did")
		}
		if fusion.Folded(strings.TrimSpace(witness)) == "none" {
			witness = ""
		}
		stated, err := whenSaid(h, "--at", at)
		b := logbook.PressureLook{Bar: bar.v, Leaks: code, Witness: strings.TrimSpace(witness), Text: strings.TrimSpace(text), Stated: stated}
		return acts.LookUnderPressure(h, w.ID, b), err
	})
}
