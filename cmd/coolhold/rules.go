package main

import (
	"fmt"
	"io"
	"strings"

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
note asks for nothing. With --json what is open has the severity "query"; coolhold
audit --json marks it "work".`,
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
	Basis    string         `json:"basis"`
	Says     string         `json:"says"`
}

func rulesJSON() []ruleJSON {
	out := []ruleJSON{}
	for _, r := range audit.Rules {
		out = append(out, ruleJSON{r.Slug, r.Severity, r.Scope, r.Basis, r.Says})
	}
	return out
}

func printRules(w io.Writer) {
	for _, r := range audit.Rules {
		fmt.Fprintf(w, "%s  (%s, on each %s)\n  %s\n  do: %s\n  basis: %s\n", r.Slug, r.Word(), r.Scope, r.Says, r.Do, r.Basis)
	}
}

// rulesTable is the table of the rules as it stands in README.md.
func rulesTable() string {
	var b strings.Builder
	b.WriteString("| rule | severity | on each | what it looks for | basis |\n|---|---|---|---|---|\n")
	cell := strings.NewReplacer("|", `\|`)
	for _, r := range audit.Rules {
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %s |\n", r.Slug, r.Word(), r.Scope, cell.Replace(r.Says), cell.Replace(r.Basis))
	}
	return b.String()
}
