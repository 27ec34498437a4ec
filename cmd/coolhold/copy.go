package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"coolhold/logbook"
)

func newCopy(e edges) *cobra.Command {
	var log string
	cmd := &cobra.Command{
		Use:   "copy FILE",
		Short: "Make a consistent copy of the log, also while the board is open",
		Long: `copy writes the log as it is at this moment to FILE, which must not exist yet.
A plain copy of a file that is in use can be corrupt; this one is not.`,
		Example: `  coolhold copy /media/stick/monday.coolhold`,
		Args:    oneFile,
		RunE: func(cmd *cobra.Command, args []string) error {
			l, err := openLog(logPath(e, log))
			if err != nil {
				return err
			}
			if err := l.Copy(context.Background(), args[0]); err != nil {
				return stored(err)
			}
			fmt.Fprintf(cmd.OutOrStdout(), "%s copied to %s\n", logbook.Clean(l.Path()), logbook.Clean(args[0]))
			return nil
		},
	}
	logFlag(cmd, &log)
	return cmd
}
