package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"coolhold/logbook/audit"
)

func newRules(edges) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "rules",
		Short: "List the rules of the audit and what each rests on",
		Long: `rules lists every rule that the audit applies, as it stands in the code: what it
looks for, what to do about it, and its basis: a source, "common practice, no
source", or "our choice, adjustable".

A fail is cut out. A query is for the foreman: accepted by name with a reason, or
cut out. What is open is work that is not done yet: it is done, never accepted. A
note asks for nothing. With --json what is open has the severity "query" and is
marked "work", as in coolhold audit --json, and each rule names the screens, the verb
and the column of the sheet by which it is ended.`,
		Example: `  coolhold rules
  coolhold rules --json`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if asJSON {
				return printJSON(cmd.OutOrStdout(), rulesJSON())
			}
			printRules(cmd.OutOrStdout())
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print a JSON list with one object a rule")
	return cmd
}

// ruleJSON is a rule for other programs; its keys never change.
type ruleJSON struct {
	Slug     string         `json:"slug"`
	Severity audit.Severity `json:"severity"`
	Scope    audit.Scope    `json:"scope"`
	Work     bool           `json:"work"`
	Says     string         `json:"says"`
	Do       string         `json:"do"`
	Basis    string         `json:"basis"`
	Doors    []audit.Door   `json:"doors"` // what ends it, and where that is done
}

func rulesJSON() []ruleJSON {
	out := []ruleJSON{}
	for _, r := range audit.Rules {
		out = append(out, ruleJSON{r.Slug, r.Severity, r.Scope, r.Work, r.Says, r.Do, r.Basis, append([]audit.Door{}, r.Doors()...)})
	}
	return out
}

func printRules(w io.Writer) {
	for _, r := range audit.Rules {
		fmt.Fprintf(w, "%s  (%s, on each %s)\n  %s\n  do: %s\n  basis: %s\n", r.Slug, r.Word(), r.Scope, r.Says, r.Do, r.Basis)
	}
}
