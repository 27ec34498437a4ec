package main

import "github.com/spf13/cobra"

// newPressure holds what is said of pressure tests.
func newPressure(e edges) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "pressure",
		Short: "Sums for a pressure test with water",
	}
	cmd.AddCommand(newPressureVolume(e))
	return cmd
}
