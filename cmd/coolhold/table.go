package main

import (
	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook/table"
)

func newTable(e edges) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "table",
		Short: "Begin and check fusion tables",
		Long:  tableFormat,
		RunE:  group,
	}
	cmd.AddCommand(newBlank("fusion table", "table", table.New), newTaken(e, "table"))
	cmd.AddCommand(&cobra.Command{
		Use:   "check FILE…",
		Short: "List everything that is wrong in fusion tables",
		Long: `check reads fusion tables and prints every fault in them as

  FILE:LINE: fitting: key: what is wrong

to stdout, and ends with exit code 3. A sound table gets one line. That a table
has no fault found does not mean that it was copied rightly: have somebody read
it back against the bag.`,
		Example: `  coolhold table check valley.toml
  coolhold table check tables/*.toml`,
		Args:                  files,
		DisableFlagsInUseLine: true,
		RunE: func(cmd *cobra.Command, args []string) error {
			return check(cmd, args, table.Parse, func(t fusion.Table) string {
				return soundTable(t)
			})
		},
	})
	return cmd
}
