package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/template"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"coolhold/fusion"
	"coolhold/fusion/loop"
	"coolhold/logbook"
)

// A figure is a number on the command line, with a point or a comma.
type figure struct {
	v   float64
	set bool
}

func (f *figure) String() string {
	if !f.set {
		return ""
	}
	return fusion.Figure(f.v)
}

// Type is what help calls it.
func (*figure) Type() string { return "number" }

// Set reads digits, a sign and one point or comma; neither "nan" nor "1e3".
func (f *figure) Set(s string) error {
	digits := strings.NewReplacer(",", ".", "−", "-").Replace(strings.TrimSpace(s))
	v, err := strconv.ParseFloat(digits, 64)
	if err != nil || strings.Trim(digits, "0123456789.-+") != "" {
		return &strconv.NumError{Func: "ParseFloat", Num: s, Err: strconv.ErrSyntax} // root says it in words
	}
	f.v, f.set = v, true
	return nil
}

// A noted is a figure of a record: that it was not read is an answer too.
type noted struct {
	figure
	none bool
}

func (f *noted) String() string {
	if f.none {
		return logbook.UnknownWord
	}
	return f.figure.String()
}

func (f *noted) Set(s string) error {
	said := fusion.Folded(s)
	if f.none = said == logbook.UnknownWord || said == "not read"; f.none {
		f.figure = figure{set: true}
		return nil
	}
	return f.figure.Set(s)
}

// read is what is stored of it; nil where it was not read.
func (f *noted) read() *float64 {
	if !f.set || f.none {
		return nil
	}
	return &f.v
}

// celsius is the same in hundredths of a degree.
func (f *noted) celsius() *fusion.Celsius {
	if f.read() == nil {
		return nil
	}
	return new(fusion.Celsius(math.Round(f.v * 100)))
}

// A sum is a verb that computes from its flags alone, without a log.
type sum struct {
	needs []string
	flags *pflag.FlagSet
	json  bool
}

// newSum gives a command its figures: those it needs, then --json.
func newSum(cmd *cobra.Command, needs ...string) *sum {
	s := &sum{needs: needs, flags: cmd.Flags()}
	cmd.Flags().BoolVar(&s.json, "json", false, "print one JSON object")
	return s
}

// check finds what is missing.
func (s *sum) check(cmd *cobra.Command, hint string) error {
	var missing []string
	for _, name := range s.needs {
		f, noted := s.flags.Lookup(name).Value.(*noted)
		if !s.flags.Changed(name) || noted && f.none {
			missing = append(missing, "--"+name)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	return usage("%s missing; %ssee %s --help", strings.Join(missing, " and "), hint, cmd.CommandPath())
}

// tell prints what came out, or why nothing did.
func (s *sum) tell(w io.Writer, err error, text *template.Template, answer any) error {
	switch {
	case err != nil:
		return exitWith(exitRefused, err)
	case s.json:
		return printJSON(w, answer)
	}
	return text.Execute(w, answer)
}

// A pipeSaid is a pipe as it is named by flags.
type pipeSaid struct{ od, sdr, wall figure }

func (p *pipeSaid) flagged(flags *pflag.FlagSet) {
	flags.Var(&p.od, "od", "outside diameter of the pipe in `mm`")
	flags.Var(&p.sdr, "sdr", "its `class`: 9, 11, 13.6 or 17")
}

// pipe is the pipe; its diameter is a whole number of mm.
func (p *pipeSaid) pipe() (loop.Pipe, error) {
	od := int(min(max(p.od.v, -1), 1e6)) // beyond an int a conversion gives anything
	if float64(od) != p.od.v {
		return loop.Pipe{}, usage("--od %s is no whole number of mm: type the outside diameter by which the pipe is named", p.od.String())
	}
	if p.wall.set && p.wall.v <= 0 {
		return loop.Pipe{}, exitWith(exitRefused, fmt.Errorf("measured wall %s mm is %w: a pipe has one", p.wall.String(), loop.ErrRange))
	}
	return loop.Pipe{OdMM: od, SDR: fusion.SDR(p.sdr.v), MeasuredMM: p.wall.v}, nil
}

// six is a figure to six digits, more than any of these carries.
func six(x float64) float64 {
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	if err != nil || math.IsNaN(y) {
		return x
	}
	return y
}
