package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/fault"
)

// newCodes lists and teaches the codes of fitting types.
func newCodes(e edges) *cobra.Command {
	var o codesFlags
	cmd := &cobra.Command{
		Use:   "codes",
		Short: "List, teach and hand on the codes of fittings",
		Long: `codes lists the 24-digit codes that were taught to rows of the site's tables, and
those that were scanned and are not taught yet. No time is read out of a code: it
stands for a row of your own table, and is recalled exactly at the next scan.`,
		Example: `  coolhold codes
  coolhold codes read 123456789012345678901234
  coolhold codes teach 123456789012345678901234 --fitting "coupler 40" --by "Ona Brill"
  coolhold codes export --out codes.csv
  coolhold codes import codes.csv --by "Ona Brill"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return group(cmd, args)
			}
			return o.list(e, cmd.OutOrStdout())
		},
	}
	o.flags(cmd)
	cmd.Flags().BoolVar(&o.json, "json", false, "write JSON")
	cmd.AddCommand(newCodesRead(), newCodesTeach(e), newCodesExport(e), newCodesImport(e))
	return cmd
}

type codesFlags struct {
	log, site, by string
	json          bool
}

func (o *codesFlags) flags(cmd *cobra.Command) {
	logFlag(cmd, &o.log)
	cmd.Flags().StringVar(&o.site, "site", "", "the `site`, where the log has several")
}

// on reads the log and finds the site.
func (o codesFlags) on(e edges) (reading, logbook.Site, error) {
	return readSite(e, o.log, o.site, "")
}

// store runs an act on the site and says how many entries it wrote.
func (o codesFlags) store(e edges, act func(acts.Head) acts.Act) (int, error) {
	done, err := deedOn(logPath(e, o.log), o.site, head(e, o.by)).write(just(act))
	n := 0
	for _, e := range done.entries {
		if e.Kind == (logbook.CodeTaught{}).Kind() {
			n++
		}
	}
	return n, err
}

// codeJSON is one code for other programs.
type codeJSON struct {
	Code    string            `json:"code"`
	Fitting string            `json:"fitting"`
	Table   string            `json:"table"`
	By      string            `json:"by"` // who taught it; "" where the file it came in does not say
	From    string            `json:"imported_by,omitempty"`
	Taught  bool              `json:"taught"`
	Check   fusion.CheckDigit `json:"check_digit"`
}

func (o codesFlags) list(e edges, w io.Writer) error {
	r, s, err := o.on(e)
	if err != nil {
		return err
	}
	codes, taught := []codeJSON{}, s.TaughtCodes()
	for _, c := range taught {
		codes = append(codes, taughtJSON(c))
	}
	for _, c := range ahead.Untaught(r.book, s.ID) {
		codes = append(codes, codeJSON{Code: c.Code, Fitting: c.Fitting, Check: fusion.ReadCode(c.Code).Check})
	}
	if o.json {
		return printJSON(w, codes)
	}
	if len(codes) == 0 {
		fmt.Fprintln(w, "no code was taught or scanned on this site")
		return nil
	}
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "CODE\tFITTING\tTABLE\tTAUGHT BY\tCHECK DIGIT")
	for i, c := range codes {
		by := "not taught"
		if c.Taught { // they stand first
			by = logbook.Clean(taught[i].Who())
		}
		fmt.Fprintf(tw, "%s\t%s\t%s\t%s\t%s\n", c.Code, logbook.Clean(c.Fitting), c.Table, by, c.Check)
	}
	return tw.Flush()
}

// taughtJSON is a code that was taught, by whom, and who took it from another crew.
func taughtJSON(c logbook.Taught) codeJSON {
	out := codeJSON{Code: c.Code, Fitting: c.Fitting, Table: c.Table, By: c.Teacher(), Taught: true, Check: fusion.ReadCode(c.Code).Check}
	if c.Imported {
		out.From = c.By
	}
	return out
}

func newCodesRead() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "read CODE",
		Short: "Say what a scanned code is by its form",
		Long: `read says of what form a code is and, of one of 24, 26 or 40 digits, whether its last
digit matches the others as the check digit of Interleaved 2 of 5: a digit read
wrongly does not match. It says nothing of whether the code is the right one. That
the last digit is meant so is from memory: nothing is read out of the digits, and
nothing is refused.`,
		Example: `  coolhold codes read 1234567890123456789012345678901234567890`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 || strings.TrimSpace(args[0]) == "" {
				return usage("one code is needed; write coolhold codes %s", cmd.Use)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			c := fusion.ReadCode(args[0])
			if asJSON {
				return printJSON(cmd.OutOrStdout(), map[string]any{"raw": c.Raw, "form": c.Form, "check_digit": c.Check, "parts": c.Parts})
			}
			w := cmd.OutOrStdout()
			fmt.Fprintf(w, "%s\n%s; check digit: %s\n", logbook.Clean(c.Raw), c.Form, c.Check)
			for i, p := range c.Parts {
				fmt.Fprintf(w, "  field %d: %s\n", i+1, logbook.Clean(strings.Join(p, " | ")))
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

func newCodesTeach(e edges) *cobra.Command {
	var o codesFlags
	var fitting, why string
	cmd := &cobra.Command{
		Use:     "teach CODE --fitting ROW --by NAME",
		Short:   "Bind a 24-digit code to a row of the site's tables",
		Example: `  coolhold codes teach 123456789012345678901234 --fitting "coupler 40" --by "Ona Brill"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 || fitting == "" {
				return usage("a code and --fitting are needed; write coolhold codes %s", cmd.Use)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			_, err := o.store(e, func(h acts.Head) acts.Act { return acts.TeachCode(h, args[0], fitting, why) })
			if err == nil {
				fmt.Fprintf(cmd.OutOrStdout(), "taught: %s is %s\n", fusion.ReadCode(args[0]).Raw, fitting)
			}
			return err
		},
	}
	o.flags(cmd)
	cmd.Flags().StringVar(&fitting, "fitting", "", "the `row` of a table that was read back")
	cmd.Flags().StringVar(&o.by, "by", "", "`name` of the person who compared code and bag")
	cmd.Flags().StringVar(&why, "why", "", "`reason`, where the code was taught as another fitting before")
	return cmd
}

func newCodesExport(e edges) *cobra.Command {
	var o codesFlags
	var out outlet
	cmd := &cobra.Command{
		Use:     "export",
		Short:   "Write the taught codes for another crew",
		Example: `  coolhold codes export --out codes.csv`,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, s, err := o.on(e)
			if err != nil {
				return err
			}
			var buf bytes.Buffer
			if err := acts.WriteCodes(&buf, s.TaughtCodes()); err != nil {
				return err
			}
			return out.deliver(cmd.OutOrStdout(), buf.Bytes())
		},
	}
	o.flags(cmd)
	out.flags(cmd, "them")
	return cmd
}

func newCodesImport(e edges) *cobra.Command {
	var o codesFlags
	cmd := &cobra.Command{
		Use:   "import FILE --by NAME",
		Short: "Take the codes that another crew has taught, all or none",
		Long: `import takes the codes of a file that codes export wrote, with who taught each. Each
must belong to a table that this site uses, text for text; one fault and none is
taken. A check digit that does not match is said, not refused.`,
		Example: `  coolhold codes import codes.csv --by "Ona Brill"`,
		Args:    oneFile,
		RunE: func(cmd *cobra.Command, args []string) error {
			data, err := readInput(args[0])
			if err != nil {
				return err
			}
			lines, err := acts.ReadCodes(data)
			var faults fault.List
			if errors.As(err, &faults) {
				for _, f := range faults {
					fmt.Fprintf(cmd.OutOrStdout(), "%s:%s\n", logbook.Clean(args[0]), f)
				}
				return exitWith(exitInput, fmt.Errorf("%s: %s; nothing is taken", args[0], logbook.Count(len(faults), "fault")))
			}
			n, err := o.store(e, func(h acts.Head) acts.Act { return acts.TakeCodes(h, lines) })
			if err == nil {
				fmt.Fprintf(cmd.OutOrStdout(), "%s taken, %d taught already\n", logbook.Count(n, "code"), len(lines)-n)
				misread(cmd.OutOrStdout(), args[0], lines)
			}
			return err
		},
	}
	o.flags(cmd)
	cmd.Flags().StringVar(&o.by, "by", "", "`name` of the person who takes them")
	return cmd
}

// misread says of which codes the check digit does not match.
func misread(w io.Writer, file string, lines []acts.CodeLine) {
	for _, l := range lines {
		if l.Misread() {
			fmt.Fprintf(w, "%s:%d: %s: its check digit does not match: compare it with a bag\n", logbook.Clean(file), l.Line, l.Code)
		}
	}
}
