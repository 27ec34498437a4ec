package main

import (
	"text/template"

	"github.com/spf13/cobra"

	"coolhold/fusion/loop"
)

func newPipe(edges) *cobra.Command {
	var said pipeSaid
	cmd := &cobra.Command{
		Use:   "pipe --od MM --sdr CLASS",
		Short: "Give wall, bore and litres of a pipe, and the flow that purges it",
		Long: `pipe gives the least wall of a PE pipe, its bore, what a metre holds, and the flow for
0.6 m/s, which every section wants at least when it is purged. The least wall makes bore
and litres an upper figure. Where no wall is known it refuses with exit code 5.`,
		Example: `  coolhold pipe --od 63 --sdr 11
  coolhold pipe --od 63 --sdr 11 --json`,
		Args: noArgs,
	}
	said.flagged(cmd.Flags())
	s := newSum(cmd, "od", "sdr")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		if err := s.check(cmd, ""); err != nil {
			return err
		}
		pipe, err := said.pipe()
		if err != nil {
			return err
		}
		a := pipeJSON{Pipe: pipe}
		if a.WallMM, err = pipe.WallMM(); err == nil {
			a.BoreMM, _ = pipe.BoreMM()
			a.LitresPerM, _ = pipe.LitresPerM()
			a.FlowLPM, _ = pipe.PurgeFlow()
		}
		a.LitresPerM, a.FlowLPM = six(a.LitresPerM), six(a.FlowLPM)
		return s.tell(cmd.OutOrStdout(), err, pipeText, a)
	}
	return cmd
}

// pipeJSON is the answer for other programs; its keys never change.
type pipeJSON struct {
	Pipe       loop.Pipe `json:"-"`
	WallMM     float64   `json:"wall_mm"`
	BoreMM     float64   `json:"bore_mm"`
	LitresPerM float64   `json:"litres_per_m"`
	FlowLPM    float64   `json:"flow_lpm"`
}

var pipeText = template.Must(template.New("pipe").Parse(
	`{{.Pipe}}
  wall      {{printf "%.1f" .WallMM}} mm, the least one
  bore      {{printf "%.1f" .BoreMM}} mm
  holds     {{printf "%.4f" .LitresPerM}} L/m
  0.6 m/s   {{printf "%.1f" .FlowLPM}} L/min

Formula: bore = od - 2 × wall; L/m = 3.1416/4 × bore²/1000; L/min = 60 × 0.6 × L/m.
Source: walls by the rule of ISO 4065 from 90 mm up (as printed in MS 1058-2:2005 to 180 mm),
  below it ISO 4427-2 (from memory); 0.6 m/s is UFGS 15741N (as printed).
Range: 20 to 630 mm, SDR 9, 11, 13.6 and 17, where a wall is known; bore and litres are an
  upper figure, as a wall may be thicker.
`))

func newDew(edges) *cobra.Command {
	var room, humidity, pipe figure
	cmd := &cobra.Command{
		Use:   "dew --room C --humidity PERCENT --pipe C",
		Short: "Give the dew point of a room, and whether a bare pipe sweats in it",
		Long: `dew gives the dew point of a room and says whether a bare pipe sweats in it. The pipe is
the coldest that is expected: near 0 °C in late winter (common practice, no source), not
the 8 to 10 °C of the season of building.`,
		Example: `  coolhold dew --room 20 --humidity 50 --pipe 2
  coolhold dew --room 20 --humidity 50 --pipe -1 --json`,
		Args: noArgs,
	}
	cmd.Flags().Var(&room, "room", "temperature of the room in °`C`")
	cmd.Flags().Var(&humidity, "humidity", "relative humidity of the room in `percent`")
	cmd.Flags().Var(&pipe, "pipe", "coldest temperature in °`C` that is expected of the pipe, in late winter")
	s := newSum(cmd, "room", "humidity", "pipe")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		hint := ""
		if !pipe.set {
			hint = "--pipe is the coldest that is expected, in late winter, not today's; "
		}
		if err := s.check(cmd, hint); err != nil {
			return err
		}
		dew, sweats, err := loop.Sweats(room.v, humidity.v, pipe.v)
		return s.tell(cmd.OutOrStdout(), err, dewText, dewJSON{room.String(), humidity.String(), pipe.String(), six(dew), sweats})
	}
	return cmd
}

// dewJSON is the answer for other programs; its keys never change.
type dewJSON struct {
	Room     string  `json:"-"`
	Humidity string  `json:"-"`
	Pipe     string  `json:"-"`
	DewC     float64 `json:"dew_c"`
	Sweats   bool    `json:"sweats"`
}

var dewText = template.Must(template.New("dew").Parse(
	`a room of {{.Room}} °C and {{.Humidity}} % relative humidity
  dew point     {{printf "%.2f" .DewC}} °C
  pipe {{.Pipe}} °C: {{if .Sweats}}it sweats unless it is insulated{{else}}it does not sweat{{end}}

Is {{.Pipe}} °C the coldest that is expected of the pipe, in late winter? Today's is warmer.
Formula: Magnus, b × k/(a - k) with k = ln(RH/100) + a × T/(b + T), a 17.625, b 243.04 °C.
Source: Alduchov and Eskridge 1996.
Range: room 0 to 50 °C, 1 to 100 %, pipe -30 to 50 °C; a bare pipe.
`))
