package main

import (
	_ "embed"
	"io"

	"github.com/spf13/cobra"
)

// licences is every module that is linked in, on any system, with its licence. A test
// makes it and holds it against what is linked.
//
//go:embed licences.txt
var licences string

func newLicences(edges) *cobra.Command {
	return &cobra.Command{
		Use:   "licences",
		Short: "Print what is linked into this program, under which licence",
		Long: `licences prints every module that is linked into this program on any system, with
its version and the name of its licence. The text lies with the source of each.`,
		Example: `  coolhold licences`,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := io.WriteString(cmd.OutOrStdout(), licences)
			return err
		},
	}
}
