package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"text/template"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook/table"
)

func newTime(edges) *cobra.Command {
	var q timeQuery
	cmd := &cobra.Command{
		Use:   "time --table FILE --fitting NAME --ambient C",
		Short: "Give the settings of one weld, and why",
		Long: `time reads the row of a fitting in a fusion table at an ambient temperature, in
°C, measured in the shade beside the joint. It reads to a whole degree, a half
to the colder one. Outside the bands of the table there is no time: it refuses
with exit code 5 and never extrapolates.`,
		Example: `  coolhold time --table valley.toml --fitting "coupler 40" --ambient 14.5
  coolhold time --table valley.toml --fitting "coupler 40" --ambient -3 --json`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return q.run(cmd.OutOrStdout()) },
	}
	cmd.Flags().StringVar(&q.table, "table", "", "fusion table, a TOML `file`")
	cmd.Flags().StringVar(&q.fitting, "fitting", "", "`name` of the fitting in the table")
	cmd.Flags().StringVar(&q.ambient, "ambient", "", "ambient temperature in °`C`, as read")
	cmd.Flags().BoolVar(&q.json, "json", false, "print one JSON object")
	return cmd
}

type timeQuery struct {
	table, fitting, ambient string
	json                    bool
}

func (q timeQuery) run(w io.Writer) error {
	c, err := q.check()
	if err != nil {
		return err
	}
	t, err := loadTable(q.table)
	if err != nil {
		return err
	}
	s, err := t.Settings(q.fitting, c)
	switch {
	case errors.Is(err, fusion.ErrOutsideBands):
		return exitWith(exitRefused, err)
	case errors.Is(err, fusion.ErrNoFitting):
		return exitWith(exitFindings, fmt.Errorf("%w; %s", err, table.Offer(t, q.fitting)))
	case err != nil:
		return exitWith(exitFindings, err)
	case q.json:
		return printJSON(w, timeJSON{s.Fitting, s.Ambient, s.Degree, s.Band, s.Volts, s.Seconds, s.CoolingMin, s.PressureWaitMin})
	}
	return timeText.Execute(w, map[string]any{"S": s, "T": t, "File": q.table})
}

// check finds what is missing or wrong on the command line.
func (q timeQuery) check() (fusion.Celsius, error) {
	var missing []string
	for _, f := range []struct{ name, value string }{
		{"--table", q.table}, {"--fitting", q.fitting}, {"--ambient", q.ambient},
	} {
		if strings.TrimSpace(f.value) == "" {
			missing = append(missing, f.name)
		}
	}
	if len(missing) > 0 {
		return 0, usage("%s missing; see coolhold time --help", strings.Join(missing, " and "))
	}
	c, err := fusion.ParseCelsius(q.ambient)
	if err != nil {
		return 0, usage("--ambient: %w", err)
	}
	return c, nil
}

// timeJSON is the answer for other programs; its keys never change.
type timeJSON struct {
	Fitting         string         `json:"fitting"`
	AmbientC        fusion.Celsius `json:"ambient_c"`
	DegreeRead      int            `json:"degree_read"`
	Band            fusion.Band    `json:"band"`
	Volts           float64        `json:"volts"`
	Seconds         int            `json:"seconds"`
	CoolingMin      int            `json:"cooling_min"`
	PressureWaitMin *int           `json:"pressure_wait_min"` // null where not printed
}

var timeText = template.Must(template.New("time").Parse(
	`{{.S.Fitting}} at {{.S.Ambient}} °C
  supply         {{.S.Volts}} V
  fusion time    {{.S.Seconds}} s, keyed as {{.S.Keyed}}
  cooling time   {{.S.CoolingMin}} min, the joint is not moved
  pressure test  {{.S.WaitLine}}

Why: {{with .S.RoundingLine}}{{.}}; {{end}}the table prints this for {{.S.Band}}.
Table: {{.T.Title}}; {{.T.Source}} ({{.File}})
Follow the fitting's own instructions: where they differ from this, they hold.
`))
