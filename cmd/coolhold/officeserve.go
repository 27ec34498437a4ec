package main

import (
	"errors"

	"github.com/spf13/cobra"
)

func newOfficeServe(e edges) *cobra.Command {
	var db string
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Take what laptops send over the network",
		Args:  noArgs,
		RunE: func(*cobra.Command, []string) error {
			o, err := officeDB(e, db)
			if err != nil {
				return err
			}
			o.Close()
			return errors.New("not built yet")
		},
	}
	officeDBFlag(cmd, &db)
	return cmd
}
