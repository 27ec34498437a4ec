package main

import (
	"text/template"

	"github.com/spf13/cobra"

	"coolhold/fusion/loop"
)

func newPressureVolume(edges) *cobra.Command {
	var said pipeSaid
	var length, drop, er figure
	cmd := &cobra.Command{
		Use:   "volume --od MM --sdr CLASS --length M --drop KPA --er MPA [--wall MM]",
		Short: "Give the water that EN 805 allows out at a drop of pressure",
		Long: `volume gives the water in litres that EN 805, A.27 allows out of a pipe of PE at most when
its pressure is dropped. It covers the stretch of the pipe and enclosed air, and is no
leakage allowance. The modulus ER is the maker's, for the temperature of the pipe. With
the least wall the figure is lenient: give the wall as measured where that was done.`,
		Example: `  coolhold pressure volume --od 63 --sdr 11 --length 100 --drop 100 --er 1000
  coolhold pressure volume --od 63 --sdr 11 --length 100 --drop 100 --er 1000 --wall 6.5 --json`,
		Args: noArgs,
	}
	flags := cmd.Flags()
	said.flagged(flags)
	flags.Var(&said.wall, "wall", "wall of the pipe in `mm` as measured; without it the least one counts")
	flags.Var(&length, "length", "length of the pipe in `m`, out and back together")
	flags.Var(&drop, "drop", "drop of the pressure in `kPa`, by letting water out")
	flags.Var(&er, "er", "modulus of the pipe's wall in `MPa`, from its maker")
	s := newSum(cmd, "od", "sdr", "length", "drop", "er")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		if err := s.check(cmd, ""); err != nil {
			return err
		}
		pipe, err := said.pipe()
		if err != nil {
			return err
		}
		run := loop.Stretch{Pipe: pipe, LengthM: length.v}
		litres, err := loop.AllowedVolume([]loop.Stretch{run}, drop.v, er.v)
		return s.tell(cmd.OutOrStdout(), err, volumeText, volumeJSON{run, drop.v, er.v, six(litres)})
	}
	return cmd
}

// volumeJSON is the answer for other programs; its keys never change.
type volumeJSON struct {
	Run           loop.Stretch `json:"-"`
	Drop          float64      `json:"-"`
	ER            float64      `json:"-"`
	AllowedLitres float64      `json:"allowed_litres"`
}

var volumeText = template.Must(template.New("volume").Parse(
	`{{.Run.Pipe}}, {{.Run.LengthM}} m, pressure dropped by {{.Drop}} kPa
  wall       {{if .Run.MeasuredMM}}{{.Run.MeasuredMM}} mm as measured{{else}}{{.Run.WallMM}} mm, the least one: lenient, a measured wall allows less{{end}}
  allowed    {{printf "%.4f" .AllowedLitres}} L at most
  no leakage allowance: it covers the stretch of the pipe and enclosed air

Formula: 1.2 × V × drop × (1/Ew + D/(e × ER)), V in L, D inside and e in one unit, Ew 2100000 kPa.
Source: EN 805, A.27 (from memory); ER {{.ER}} MPa as given, from the maker for the pipe's
  temperature; walls as in coolhold pipe.
Range: drop 1 to 1000 kPa, ER 100 to 3000 MPa, 0.1 to 10000 m, a wall of 0.8 to 1.5 times the
  least one.
`))
