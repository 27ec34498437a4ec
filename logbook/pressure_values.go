package logbook

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"coolhold/fusion"
)

// UnknownWord is what is said of a figure or a fact of a test that nobody knows. It is
// said, never taken for granted.
const UnknownWord = "not known"

// A PressureValue is one thing that is given before a pressure test: the form, the verb,
// the test's page and the register go by it. None has a default.
type PressureValue struct {
	Key     string // in JSON, and as a flag with dashes
	Name    string
	Unit    string
	Hint    string
	Options *Options         // answers to choose; nil: a figure, a date or a text
	Bounds  *fusion.Bounds   // of a figure
	Usual   []string         // of a text
	Methods []PressureMethod // that ask for it; nil: all
	Must    bool             // nothing can be begun without it
	Date    bool
	get     func(PressureBegun) string
	set     func(*PressureBegun, string)
}

// Asked tells whether a method asks for it.
func (v PressureValue) Asked(m PressureMethod) bool {
	return len(v.Methods) == 0 || slices.Contains(v.Methods, m)
}

// Stored is the value of a test as it is stored; "" where it is not known.
func (v PressureValue) Stored(b PressureBegun) string { return v.get(b) }

// Shown is the value of a test in words, with its unit.
func (v PressureValue) Shown(b PressureBegun) string {
	s := v.get(b)
	switch {
	case s == "":
		return UnknownWord
	case v.Options != nil:
		return v.Options.Word(s)
	case v.Unit != "":
		return s + " " + v.Unit
	}
	return s
}

// Read takes what a person wrote: "" stands for what is not known.
func (v PressureValue) Read(said string) (string, error) {
	said = strings.TrimSpace(said)
	if fusion.Folded(said) == UnknownWord || said == "?" {
		if v.Must {
			return "", fmt.Errorf("%s must be given: without it no test can be judged", v.Name)
		}
		return "", nil
	}
	switch {
	case v.Options != nil:
		code, known := v.Options.Begun(said)
		if !known {
			return "", fmt.Errorf("%s %q is not known; write %s", v.Name, said, strings.Join(v.Options.Words(), ", "))
		}
		return code, nil
	case v.Bounds != nil:
		return v.figure(said)
	case v.Date:
		if _, err := time.Parse(time.DateOnly, said); err != nil {
			return "", fmt.Errorf("%s %q is no date; write it like 2026-01-02, or %s", v.Name, said, UnknownWord)
		}
	}
	if said == "" {
		return "", fmt.Errorf("%s is not given; write it, or %s", v.Name, UnknownWord)
	}
	return said, nil
}

func (v PressureValue) figure(said string) (string, error) {
	x, err := strconv.ParseFloat(strings.ReplaceAll(said, ",", "."), 64)
	if err != nil || !v.Bounds.Holds(x) {
		return "", fmt.Errorf("%s %q is no figure from %s to %s %s", v.Name, said, fusion.Figure(v.Bounds.Low), fusion.Figure(v.Bounds.High), v.Unit)
	}
	if v.Key == "minutes" && x != float64(int(x)) {
		return "", fmt.Errorf("%s %q: whole minutes are meant", v.Name, said)
	}
	return fusion.Figure(x), nil
}

// Set gives a test the value as Read gave it.
func (v PressureValue) Set(b *PressureBegun, stored string) { v.set(b, stored) }

// PressureValueOf finds a value by its key.
func PressureValueOf(key string) PressureValue {
	for _, v := range PressureValues {
		if v.Key == key {
			return v
		}
	}
	return PressureValue{Key: key, Name: key, get: func(PressureBegun) string { return "" }, set: func(*PressureBegun, string) {}}
}

// Bounds of what is typed for a test: what catches a slipped digit, our choice. The
// modulus is that of package loop.
var (
	testBar    = &fusion.Bounds{Low: 0.1, High: 40, Unit: "bar"}
	fallBar    = &fusion.Bounds{Low: 0.001, High: 40, Unit: "bar"}
	testMin    = &fusion.Bounds{Low: 1, High: 2880, Unit: "min"}
	modulus    = &fusion.Bounds{Low: 100, High: 3000, Unit: "MPa"}
	wallMM     = &fusion.Bounds{Low: 1, High: 100, Unit: "mm"}
	stepBar    = &fusion.Bounds{Low: 0.001, High: 2, Unit: "bar"}
	gaugeM     = &fusion.Bounds{Low: -300, High: 300, Unit: "m"}
	waterTempC = &fusion.Bounds{Low: -5, High: 60, Unit: "°C"}

	specified = []PressureMethod{AsSpecified}
	byVolume  = []PressureMethod{EN805}
)

// PressureValues are what is asked before a test, in the order in which it is asked.
var PressureValues = append([]PressureValue{
	{Key: "stage", Name: "stage", Options: PressureStages, Must: true, get: func(b PressureBegun) string { return string(b.Stage) }, set: func(b *PressureBegun, v string) { b.Stage = PressureStage(v) }},
	{Key: "method", Name: "method", Options: PressureMethods, Must: true, get: func(b PressureBegun) string { return string(b.Method) }, set: func(b *PressureBegun, v string) { b.Method = PressureMethod(v) }},
	{Key: "spec", Name: "specification", Hint: "which, and where in it", Methods: specified, get: func(b PressureBegun) string { return b.Spec }, set: func(b *PressureBegun, v string) { b.Spec = v }},
	optional("er", "modulus ER", "MPa", modulus, byVolume, func(b *PressureBegun) **float64 { return &b.ErMPa }).hint("of the pipe's wall, from its maker"),
	{Key: "er_source", Name: "source of ER", Hint: "with the temperature and age it is for", Methods: byVolume, get: func(b PressureBegun) string { return b.ErSource }, set: func(b *PressureBegun, v string) { b.ErSource = v }},
	optional("wall", "measured wall", "mm", wallMM, byVolume, func(b *PressureBegun) **float64 { return &b.WallMM }).hint("the least wall of its class is lenient"),
	{Key: "issue", Name: "issue of the method", Methods: []PressureMethod{DecayTrend}, get: func(b PressureBegun) string { return b.Issue }, set: func(b *PressureBegun, v string) { b.Issue = v }},
	{Key: "weakest", Name: "weakest part", Usual: WeakParts, Hint: "with the lowest rating of all that gets the pressure", get: func(b PressureBegun) string { return b.Weakest }, set: func(b *PressureBegun, v string) { b.Weakest = v }},
	optional("weakest_bar", "its rating", "bar", testBar, nil, func(b *PressureBegun) **float64 { return &b.WeakestBar }),
	{Key: "gauge", Name: "gauge, serial", get: func(b PressureBegun) string { return b.Gauge.Serial }, set: func(b *PressureBegun, v string) { b.Gauge.Serial = v }},
	optional("range", "gauge, range to", "bar", testBar, nil, func(b *PressureBegun) **float64 { return &b.Gauge.RangeBar }),
	optional("resolution", "gauge, smallest step", "bar", stepBar, nil, func(b *PressureBegun) **float64 { return &b.Gauge.ResolutionBar }).hint("that can be read off it"),
	{Key: "calibrated", Name: "gauge, calibrated", Date: true, Hint: "YYYY-MM-DD", get: func(b PressureBegun) string { return b.Gauge.Calibrated }, set: func(b *PressureBegun, v string) { b.Gauge.Calibrated = v }},
	optional("above", "gauge above the lowest point", "m", gaugeM, nil, func(b *PressureBegun) **float64 { return &b.Gauge.AboveM }),
	figureOf("bar", "test pressure", "bar", testBar, nil, func(b *PressureBegun) *float64 { return &b.Bar }).must("at the gauge; of EN 805 the system test pressure"),
	{Key: "minutes", Name: "minutes under test", Unit: "min", Bounds: testMin, Methods: specified, Must: true, get: func(b PressureBegun) string { return noNought(float64(b.Minutes)) }, set: func(b *PressureBegun, v string) { b.Minutes, _ = strconv.Atoi(v) }},
	optional("fall", "allowed fall", "bar", fallBar, specified, func(b *PressureBegun) **float64 { return &b.AllowedBar }).must("in these minutes"),
	celsius("water", "water temperature", func(b *PressureBegun) **fusion.Celsius { return &b.WaterC }),
	celsius("pipe", "pipe temperature", func(b *PressureBegun) **fusion.Celsius { return &b.PipeC }),
	{Key: "sun", Name: "sun on the pipe", Options: PipeSun, get: func(b PressureBegun) string { return b.Sun }, set: func(b *PressureBegun, v string) { b.Sun = v }},
	{Key: "caps", Name: "caps rated and restrained", Options: CapsHeld, Hint: "a valve is no test end", get: func(b PressureBegun) string { return b.Caps }, set: func(b *PressureBegun, v string) { b.Caps = v }},
}, append(shutValues(), PressureValue{
	Key: "witness", Name: "witness", Hint: "a name, or none", get: func(b PressureBegun) string { return b.Witness }, set: func(b *PressureBegun, v string) { b.Witness = v },
})...)

func (v PressureValue) must(hint string) PressureValue {
	v.Must, v.Hint = true, hint
	return v
}

func (v PressureValue) hint(hint string) PressureValue {
	v.Hint = hint
	return v
}

func noNought(x float64) string {
	if x == 0 {
		return ""
	}
	return fusion.Figure(x)
}

func figureOf(key, name, unit string, in *fusion.Bounds, methods []PressureMethod, at func(*PressureBegun) *float64) PressureValue {
	return PressureValue{
		Key: key, Name: name, Unit: unit, Bounds: in, Methods: methods,
		get: func(b PressureBegun) string { return noNought(*at(&b)) },
		set: func(b *PressureBegun, v string) { *at(b), _ = strconv.ParseFloat(v, 64) },
	}
}

func optional(key, name, unit string, in *fusion.Bounds, methods []PressureMethod, at func(*PressureBegun) **float64) PressureValue {
	return PressureValue{
		Key: key, Name: name, Unit: unit, Bounds: in, Methods: methods,
		get: func(b PressureBegun) string {
			if x := *at(&b); x != nil {
				return fusion.Figure(*x)
			}
			return ""
		},
		set: func(b *PressureBegun, v string) {
			if x, err := strconv.ParseFloat(v, 64); err == nil {
				*at(b) = &x
			} else {
				*at(b) = nil
			}
		},
	}
}

func celsius(key, name string, at func(*PressureBegun) **fusion.Celsius) PressureValue {
	return PressureValue{
		Key: key, Name: name, Unit: "°C", Bounds: waterTempC,
		get: func(b PressureBegun) string {
			if c := *at(&b); c != nil {
				return fusion.Figure(float64(*c) / 100)
			}
			return ""
		},
		set: func(b *PressureBegun, v string) {
			if c, err := fusion.ParseCelsius(v); err == nil {
				*at(b) = &c
			} else {
				*at(b) = nil
			}
		},
	}
}

// shutValues are the things that must not get the pressure, one value each.
func shutValues() []PressureValue {
	keys := map[string]string{ShutHeatPump: "heat_pump", ShutVessel: "vessel", ShutSafetyValve: "safety_valve", ShutVents: "vents"}
	var out []PressureValue
	for _, o := range ShutThings.List {
		out = append(out, PressureValue{
			Key: keys[o.Code], Name: o.Word, Options: ShutOffs,
			get: func(b PressureBegun) string { return b.Shut[o.Code] },
			set: func(b *PressureBegun, v string) {
				if b.Shut == nil {
					b.Shut = map[string]string{}
				}
				b.Shut[o.Code] = v
			},
		})
	}
	return out
}
