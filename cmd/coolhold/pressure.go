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
)

// newPressure lists the sections of a site with their tests, and holds what is said of
// one.
func newPressure(e edges) *cobra.Command {
	var f said
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "pressure",
		Short: "Pressure tests with water: what may be tested and what came of it",
		Long: `pressure lists what can be tested as one thing: each circuit, each header, each chamber,
all of it. It says whether every joint in it is accepted and when the longest printed
pressure wait is over, what its tests came to, and what changed after them: a test
holds no weld that was made, cut out or disturbed since.

It advises. What has happened is recorded, a test begun too early with its finding. A
test is within what its method allows, not within it, or nothing can be decided; and
this only as far as recorded. No pressure is proposed.

A pressure test stores energy: people out of the trench, bleed slowly, no air. The
site's own rules come first.`,
		Example: `  coolhold pressure
  coolhold pressure begin "circuit 3" --by "Hedda Invented" …
  coolhold pressure read 6.1 --phase "pressure reached" --by "Hedda Invented"
  coolhold pressure end --ending "run to its end" --leaks "looked at every joint, no leak" --left 2 --by "Hedda Invented"
  coolhold pressure show KM-P1`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return group(cmd, args)
			}
			return listTests(e, cmd, f, asJSON)
		},
	}
	logFlag(cmd, &f.log)
	cmd.Flags().StringVar(&f.site, "site", "", "the `site`, where the log has several")
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	cmd.AddCommand(newPressureBegin(e), newPressureRead(e), newPressureEnd(e), newPressureShow(e), newPressureWithdraw(e), newPressureClosing(e), newPressureLook(e), newPressureVolume(e))
	return cmd
}

func listTests(e edges, cmd *cobra.Command, f said, asJSON bool) error {
	r, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	res, all := audit.Run(r.book, s.ID, r.asOf, r.beat), []audit.Testing{}
	for _, t := range ahead.TestSections(r.book, s.ID) {
		all = append(all, audit.TestingOf(r.book, res, t, r.asOf, r.beat))
	}
	if asJSON {
		return printJSON(cmd.OutOrStdout(), all)
	}
	w := cmd.OutOrStdout()
	if len(all) == 0 {
		fmt.Fprintln(w, "no joint counts on this site: there is nothing to test")
	}
	for _, t := range all {
		fmt.Fprintf(w, "%s: %s\n", logbook.Clean(t.Name), logbook.Clean(strings.Join(t.Lines(r.asOf), "; ")))
	}
	return nil
}

func newPressureBegin(e edges) *cobra.Command {
	f, at := new(said), ""
	given, wallOf := map[string]*string{}, ""
	cmd := &cobra.Command{
		Use:   "begin SECTION --by NAME …",
		Short: "Record that a section is put under pressure, with all that is given before",
		Long: `begin records that a section is put under pressure. Everything that is asked must be
said; what nobody knows is "not known". It refuses nothing for being too early or too
high: it records it and says what is found.

With --at it was begun at another time, last week say, and --why tells why it is
entered later.

What is asked, by its flag:
` + pressureHelp(),
		Example: `  coolhold pressure begin "circuit 3" --by "Hedda Invented" --stage "before cover" --method "as the specification says" --spec "4.2" --bar 6 --minutes 60 --fall 0.2 \
    --weakest "flow gauge" --weakest-bar 10 --gauge G-77 --range 10 --resolution 0.05 --calibrated 2026-01-12 --above 1.2 --water 9 --pipe 8 --sun no \
    --caps yes --heat-pump "shut off" --vessel "none there" --safety-valve "shut off" --vents "shut off" --witness "Bo Invented"`,
		Args: wants(1, "which section?"),
	}
	f.flags(cmd)
	for _, v := range logbook.PressureValues {
		given[v.Key] = cmd.Flags().String(flagOf(v), "", "`"+askedAs(v)+"`: "+v.Name)
	}
	cmd.Flags().StringVar(&wallOf, "wall-of", "", "`pipe` whose wall was measured, where the section has several sizes")
	cmd.Flags().StringVar(&at, "at", "", "`when` it was begun, if not now: 14:05, or 2026-03-10 14:05")
	cmd.Flags().StringVar(&f.why, "why", "", "`text`: why it is entered later")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		h := head(e, "")
		b, err := f.begun(h, given, at)
		if err != nil {
			return err
		}
		b.WallOf = wallOf
		err = f.put(e, cmd, func(s scene) (acts.Act, error) {
			section, err := s.section(strings.Join(args, " "))
			b.Section = section.ID
			return acts.BeginPressure(s.head, s.beat, b), err
		})
		if err != nil {
			return err
		}
		return f.advises(e, cmd.OutOrStdout(), b.Section)
	}
	return cmd
}

// begun takes what was given on the command line before a test.
func (f said) begun(h acts.Head, given map[string]*string, at string) (b logbook.PressureBegun, err error) {
	if strings.TrimSpace(f.by) == "" {
		return b, usage("--by is missing: who says so?")
	}
	if b.Stated, err = whenSaid(h, "--at", at); err != nil {
		return b, err
	}
	switch b.Why = strings.TrimSpace(f.why); {
	case b.Stated != nil && b.Why == "":
		return b, usage("--why is missing: why is it entered later?")
	case b.Stated == nil && b.Why != "":
		return b, usage("--why goes with --at")
	}
	var missing []string
	for _, v := range logbook.PressureValues {
		said := strings.TrimSpace(*given[v.Key])
		switch {
		case !v.Asked(b.Method) && said != "":
			return b, usage("--%s is no matter of %s", flagOf(v), b.Method)
		case !v.Asked(b.Method):
			continue
		case said == "":
			missing = append(missing, "--"+flagOf(v))
			continue
		}
		stored, err := v.Read(said)
		if err != nil {
			return b, usage("--%s: %w", flagOf(v), err)
		}
		v.Set(&b, stored)
	}
	if len(missing) > 0 {
		return b, usage("%s missing: nothing is taken for granted; write %q where nobody knows; see coolhold pressure begin --help", strings.Join(missing, " and "), logbook.UnknownWord)
	}
	return b, nil
}

// advises says after a begin from when the tables let it be, and what is found on it.
func (f said) advises(e edges, w io.Writer, id logbook.SectionID) error {
	r, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	section, ok := ahead.TestSectionOf(r.book, s.ID, id)
	if !ok {
		return nil
	}
	res := audit.Run(r.book, s.ID, r.asOf, r.beat)
	if line := ahead.SectionWaitOf(r.book, s.ID, section, r.asOf, r.beat).Line(r.asOf); line != "" {
		fmt.Fprintln(w, "  "+logbook.Clean(line))
	}
	tests := s.TestsOf(id)
	for _, found := range res.OfTest(tests[len(tests)-1].ID) {
		if !found.Work {
			fmt.Fprintf(w, "  %s: %s\n", found.Word(), logbook.Clean(found.Says))
		}
	}
	fmt.Fprintln(w, "  "+audit.PressureCaution)
	return nil
}

func flagOf(v logbook.PressureValue) string { return strings.ReplaceAll(v.Key, "_", "-") }

func askedAs(v logbook.PressureValue) string {
	switch {
	case v.Options != nil:
		return "words"
	case v.Date:
		return "date"
	case v.Bounds != nil:
		return v.Unit
	}
	return "text"
}

// pressureHelp lists what is asked before a test with its words.
func pressureHelp() string {
	var b strings.Builder
	for _, v := range logbook.PressureValues {
		says := v.Name
		if v.Options != nil {
			says = v.Name + ": " + strings.Join(v.Options.Words(), "; ")
		}
		if v.Hint != "" {
			says += " (" + v.Hint + ")"
		}
		if len(v.Methods) > 0 {
			says += "; of " + v.Methods[0].String()
		}
		fmt.Fprintf(&b, "  --%-13s %s\n", flagOf(v), says)
	}
	return strings.TrimRight(b.String(), "\n")
}

// whenSaid is a time as a person writes it, today's where no day is given; nil where
// nothing was said.
func whenSaid(h acts.Head, flag, said string) (*time.Time, error) {
	if said = strings.TrimSpace(said); said == "" {
		return nil, nil
	}
	zone := zoneOf(h.At)
	today := h.At.Local().Format(time.DateOnly)
	for _, text := range []string{said, today + " " + said} {
		if at, err := time.ParseInLocation("2006-01-02 15:04", text, zone); err == nil {
			return &at, nil
		}
	}
	return nil, usage("%s: %q is no time: write 14:05, or \"2026-03-10 14:05\"", flag, said)
}

// wants is so many words at least, or the question that is open.
func wants(n int, question string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < n {
			return usage("%s write %s %s", question, cmd.Parent().CommandPath(), cmd.Use)
		}
		return nil
	}
}

// section finds a section as a person calls it.
func (s scene) section(said string) (ahead.TestSection, error) {
	found := ahead.TestSectionNamed(s, s.site.ID, said)
	var names []string
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		for _, t := range found {
			names = append(names, t.Name)
		}
		return ahead.TestSection{}, usage("%q may be several: write %s", said, strings.Join(names, " or "))
	}
	for _, t := range ahead.TestSections(s, s.site.ID) {
		names = append(names, t.Name)
	}
	return ahead.TestSection{}, exitWith(exitFindings, fmt.Errorf("no section %q on %s; it has %s", said, s.site.ID, strings.Join(names, ", ")))
}

// test finds a test by its number, or the one that goes on.
func (s scene) test(id string) (logbook.PressureTest, error) { return testNamed(s.site, id) }

func testNamed(s logbook.Site, id string) (logbook.PressureTest, error) {
	if id = strings.TrimSpace(id); id != "" {
		if t, ok := s.TestOf(id); ok {
			return t, nil
		}
		return logbook.PressureTest{}, exitWith(exitFindings, fmt.Errorf("no pressure test %q on %s", id, s.ID))
	}
	var open []logbook.PressureTest
	var names []string
	for _, t := range s.Tests {
		if t.Open() {
			open, names = append(open, t), append(names, t.ID)
		}
	}
	switch len(open) {
	case 1:
		return open[0], nil
	case 0:
		return logbook.PressureTest{}, exitWith(exitFindings, fmt.Errorf("no pressure test goes on at %s; name one with --test", s.ID))
	}
	return logbook.PressureTest{}, usage("several pressure tests go on; name one with --test: %s", strings.Join(names, ", "))
}
