package fusion

import (
	"fmt"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// changed is a copy of the valley's table with one thing made otherwise.
func changed(how func(*Table, *Fitting)) Table {
	t := valley
	t.Bands = slices.Clone(t.Bands)
	t.Fittings = slices.Clone(t.Fittings)
	f := &t.Fittings[0]
	f.SizesMM, f.SDR = slices.Clone(f.SizesMM), slices.Clone(f.SDR)
	f.Seconds, f.CoolingMin = slices.Clone(f.Seconds), slices.Clone(f.CoolingMin)
	how(&t, f)
	return t
}

func TestFlaws(t *testing.T) {
	if flaws := valley.Flaws(nil); flaws != nil {
		t.Fatalf("the sound table has %v", flaws)
	}
	for name, tc := range map[string]struct {
		how func(*Table, *Fitting)
		at  Place
		is  string
	}{
		"title":           {func(t *Table, _ *Fitting) { t.Title = "" }, Place{-1, "title", -1}, "is empty"},
		"source":          {func(t *Table, _ *Fitting) { t.Source = "" }, Place{-1, "source", -1}, "is empty"},
		"no fittings":     {func(t *Table, _ *Fitting) { t.Fittings = nil }, Place{-1, "fitting", -1}, "is empty"},
		"gap":             {func(t *Table, _ *Fitting) { t.Bands[1].High = 3 }, Place{-1, "bands", 2}, "5…14 °C leaves a gap after 0…3 °C: 4 °C is in no band"},
		"overlap":         {func(t *Table, _ *Fitting) { t.Bands[1].High = 5 }, Place{-1, "bands", 2}, "5…14 °C overlaps 0…5 °C: a degree must be in one band only"},
		"cold":            {func(t *Table, _ *Fitting) { t.Bands[0].Low = -31 }, Place{-1, "bands", 0}, "-31 is outside -30…60 °C"},
		"hot":             {func(t *Table, _ *Fitting) { t.Bands[4].High = 61 }, Place{-1, "bands", 4}, "61 is outside -30…60 °C"},
		"turned":          {func(t *Table, _ *Fitting) { t.Bands[0] = Band{-1, -10} }, Place{-1, "bands", 0}, "-1…-10 °C is turned round: the colder end comes first"},
		"name":            {func(_ *Table, f *Fitting) { f.Name = "" }, Place{0, "name", -1}, "is empty"},
		"long name":       {func(_ *Table, f *Fitting) { f.Name = strings.Repeat("ü", 41) }, Place{0, "name", -1}, "41 characters are too many, at most 40"},
		"twin":            {func(t *Table, _ *Fitting) { t.Fittings[1].Name = " Coupler  40" }, Place{1, "name", -1}, "is that of fitting 1 already: give each fitting its own name"},
		"kind":            {func(_ *Table, f *Fitting) { f.Kind = "sleeve" }, Place{0, "kind", -1}, `"sleeve" is not known; one of: coupler, reducer, elbow, tee, saddle, cap, transition`},
		"no size":         {func(_ *Table, f *Fitting) { f.SizesMM = nil }, Place{0, "sizes_mm", -1}, "is empty"},
		"odd size":        {func(_ *Table, f *Fitting) { f.SizesMM[0] = 42 }, Place{0, "sizes_mm", 0}, "42 mm is no size of PE pipe (16, 20, 25, 32, 40, 50, 63, 75, 90, 110 … 630)"},
		"two sizes":       {func(_ *Table, f *Fitting) { f.SizesMM = []int{40, 32} }, Place{0, "sizes_mm", -1}, "one size is needed for a fitting of kind coupler, not 2"},
		"half a reducer":  {func(_ *Table, f *Fitting) { f.Kind = "reducer" }, Place{0, "sizes_mm", -1}, "a reducer joins two sizes: give both"},
		"five sizes":      {func(_ *Table, f *Fitting) { f.Kind, f.SizesMM = "tee", []int{16, 20, 25, 32, 40} }, Place{0, "sizes_mm", -1}, "5 sizes are too many for one fitting, at most 4"},
		"size twice":      {func(_ *Table, f *Fitting) { f.Kind, f.SizesMM = "tee", []int{40, 32, 40} }, Place{0, "sizes_mm", 2}, "40 stands there twice"},
		"ends":            {func(_ *Table, f *Fitting) { f.Ends = 0 }, Place{0, "ends", -1}, "0 is outside 1…4"},
		"faces twice":     {func(_ *Table, f *Fitting) { f.Kind, f.Ends, f.SizesMM = "tee", 4, []int{40, 32, 40} }, Place{0, "sizes_mm", 2}, "40 stands there twice"},
		"no zone":         {func(_ *Table, f *Fitting) { f.Zones = 0 }, Place{0, "zones", -1}, "0 is outside 1…4"},
		"five zones":      {func(_ *Table, f *Fitting) { f.Zones = 5 }, Place{0, "zones", -1}, "5 is outside 1…4"},
		"indicators":      {func(_ *Table, f *Fitting) { f.Indicators = new(7) }, Place{0, "indicators", -1}, "7 is outside 0…6"},
		"no class":        {func(_ *Table, f *Fitting) { f.SDR = nil }, Place{0, "sdr", -1}, "is empty"},
		"odd class":       {func(_ *Table, f *Fitting) { f.SDR[1] = 12 }, Place{0, "sdr", 1}, "SDR 12 is not known; one of: 6, 9, 11, 13.6, 17, 21, 26, 33 or 41"},
		"class twice":     {func(_ *Table, f *Fitting) { f.SDR[1] = 11 }, Place{0, "sdr", 1}, "11 stands there twice"},
		"mains":           {func(_ *Table, f *Fitting) { f.Volts = 230 }, Place{0, "volts", -1}, "230 is outside 8…80 V"},
		"no number":       {func(_ *Table, f *Fitting) { f.Volts = math.NaN() }, Place{0, "volts", -1}, "NaN is outside 8…80 V"},
		"83 for 38":       {func(_ *Table, f *Fitting) { f.Seconds[3], f.Seconds[4] = 83, 38 }, Place{0, "seconds", 3}, "83 s at 15…24 °C is longer than 40 s at 5…14 °C: a fusion time never rises as it gets warmer"},
		"a rise at once":  {func(_ *Table, f *Fitting) { f.Seconds[1] = 45 }, Place{0, "seconds", 1}, "45 s at 0…4 °C is longer than 44 s at -10…-1 °C: a fusion time never rises as it gets warmer"},
		"no time":         {func(_ *Table, f *Fitting) { f.Seconds[4] = 4 }, Place{0, "seconds", 4}, "4 is outside 5…3600 s"},
		"a time too few":  {func(_ *Table, f *Fitting) { f.Seconds = f.Seconds[:4] }, Place{0, "seconds", -1}, "4 times for 5 bands: give one for each band"},
		"no times":        {func(_ *Table, f *Fitting) { f.Seconds = nil }, Place{0, "seconds", -1}, "is empty"},
		"cooling":         {func(_ *Table, f *Fitting) { f.CoolingMin[2] = 601 }, Place{0, "cooling_min", 2}, "601 is outside 1…600 min"},
		"a cooling short": {func(_ *Table, f *Fitting) { f.CoolingMin = f.CoolingMin[:1] }, Place{0, "cooling_min", -1}, "1 times for 5 bands: give one for each band"},
		"wait":            {func(_ *Table, f *Fitting) { f.PressureWaitMin = new(2881) }, Place{0, "pressure_wait_min", -1}, "2881 is outside 0…2880 min"},
		"from lunch":      {func(_ *Table, f *Fitting) { f.PressureWaitFrom = "lunch" }, Place{0, "pressure_wait_from", -1}, `"lunch" is not known; one of: cooling end, fusion end`},
		"from alone":      {func(_ *Table, f *Fitting) { f.PressureWaitMin = nil }, Place{0, "pressure_wait_from", -1}, "needs pressure_wait_min beside it"},
		"ohms":            {func(_ *Table, f *Fitting) { f.Ohms = new(0.0) }, Place{0, "ohms", -1}, "0 is outside 0.05…100 Ω"},
		"tolerance":       {func(_ *Table, f *Fitting) { f.OhmsTolerancePct = new(50.5) }, Place{0, "ohms_tolerance_pct", -1}, "50.5 is outside 0…50 %"},
		"tolerance alone": {func(_ *Table, f *Fitting) { f.Ohms = nil }, Place{0, "ohms_tolerance_pct", -1}, "needs ohms beside it"},
		"pin":             {func(_ *Table, f *Fitting) { f.PinMM = new(40.0) }, Place{0, "pin_mm", -1}, "40 is outside 2…10 mm"},
	} {
		t.Run(name, func(t *testing.T) {
			table := changed(tc.how)
			twin := map[bool]int{true: 0, false: -1}[name == "twin"]
			if got := table.Flaws(nil); !reflect.DeepEqual(got, []Flaw{{tc.at, tc.is, twin}}) {
				t.Errorf("got %+v", got)
			}
			if strings.HasSuffix(tc.is, "beside it") {
				return // it is there though it could not be read
			}
			if got := table.Flaws(map[Place]bool{tc.at: true}); got != nil {
				t.Errorf("not read, and yet %+v", got)
			}
		})
	}
}

// A tee may list a size for each face, the same one twice; a table may know 13.6.
func TestNoFlaws(t *testing.T) {
	for name, how := range map[string]func(*Table, *Fitting){
		"a tee face by face": func(_ *Table, f *Fitting) { f.Kind, f.Ends, f.SizesMM = "tee", 3, []int{63, 63, 40} },
		"two zones":          func(_ *Table, f *Fitting) { f.Zones = 2 },
		"four zones":         func(_ *Table, f *Fitting) { f.Zones = 4 },
		"SDR 13.6":           func(_ *Table, f *Fitting) { f.SDR[1] = 13.6 },
	} {
		if got := changed(how).Flaws(nil); got != nil {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// A place that could not be read is held against nothing, but it is there.
func TestFlawsBesideWhatWasNotRead(t *testing.T) {
	at := func(fitting int, key string, item int) map[Place]bool {
		return map[Place]bool{{fitting, key, item}: true}
	}
	for name, tc := range map[string]struct {
		how    func(*Table, *Fitting)
		unread map[Place]bool
		is     string
	}{
		"bands apart by one unread":   {func(t *Table, _ *Fitting) { t.Bands[2] = Band{} }, at(-1, "bands", 2), ""},
		"a rise over one unread":      {func(_ *Table, f *Fitting) { f.Seconds[2], f.Seconds[3] = 0, 41 }, at(0, "seconds", 2), ""},
		"a rise into an unread band":  {func(t *Table, f *Fitting) { t.Bands[3], f.Seconds[3] = Band{}, 41 }, at(-1, "bands", 3), ""},
		"no bands, so no count":       {func(t *Table, _ *Fitting) { t.Bands = nil }, at(-1, "bands", -1), ""},
		"sizes twice, one unread":     {func(_ *Table, f *Fitting) { f.Kind, f.SizesMM = "tee", []int{40, 40} }, at(0, "sizes_mm", 0), ""},
		"a tolerance unread, alone":   {func(_ *Table, f *Fitting) { f.Ohms, f.OhmsTolerancePct = nil, nil }, at(0, "ohms_tolerance_pct", -1), "needs ohms beside it"},
		"a tolerance by ohms unread":  {func(_ *Table, f *Fitting) { f.Ohms = nil }, at(0, "ohms", -1), ""},
		"a wait unread, and its from": {func(_ *Table, f *Fitting) { f.PressureWaitMin = nil }, at(0, "pressure_wait_min", -1), ""},
	} {
		got := ""
		for _, f := range changed(tc.how).Flaws(tc.unread) {
			got += f.What
		}
		if got != tc.is {
			t.Errorf("%s: got %q, want %q", name, got, tc.is)
		}
	}
}

// Bands that are in order by themselves but not all together.
func TestFlawsOfBands(t *testing.T) {
	for name, tc := range map[string]struct {
		bands []Band
		want  []string
	}{
		"none":             {nil, []string{"is empty"}},
		"out of order":     {[]Band{{5, 14}, {-10, 4}}, []string{"-10…4 °C comes after 5…14 °C: put the bands in order, coldest first"}},
		"one within":       {[]Band{{0, 20}, {3, 5}, {21, 30}}, []string{"3…5 °C overlaps 0…20 °C: a degree must be in one band only"}},
		"touching degrees": {[]Band{{0, 0}, {1, 1}}, nil},
		"both ends absurd": {[]Band{{-99, 99}}, []string{"-99 is outside -30…60 °C", "99 is outside -30…60 °C"}},
	} {
		table := Table{Title: "t", Source: "s", Bands: tc.bands}
		var got []string
		for _, f := range table.Flaws(map[Place]bool{{-1, "fitting", -1}: true}) {
			got = append(got, f.What)
		}
		if !slices.Equal(got, tc.want) {
			t.Errorf("%s: got %q", name, got)
		}
	}
}

// A table of the largest size is one, and one larger is not.
func TestFlawsOfManyBandsAndFittings(t *testing.T) {
	table := Table{Title: "t", Source: "s"}
	for d := range maxBands {
		table.Bands = append(table.Bands, Band{d, d})
	}
	f := Fitting{Kind: "cap", SizesMM: []int{40}, Ends: 1, Zones: 1, SDR: []SDR{11}, Volts: 8,
		Seconds: slices.Repeat([]int{5}, maxBands), CoolingMin: slices.Repeat([]int{1}, maxBands)}
	for i := range maxFittings {
		f.Name = fmt.Sprintf("%040d", i)
		table.Fittings = append(table.Fittings, f)
	}
	if got := table.Flaws(nil); got != nil {
		t.Fatalf("got %v", got)
	}
	f.Name = "one more"
	table.Fittings = append(table.Fittings, f)
	if got := table.Flaws(nil); !reflect.DeepEqual(got, []Flaw{{Place{-1, "fitting", -1}, "501 are too many, at most 500: split the table", -1}}) {
		t.Errorf("got %v", got)
	}
	table.Fittings = table.Fittings[:1]
	table.Bands = append(table.Bands, Band{maxBands, maxBands})
	if got := table.Flaws(map[Place]bool{{0, "seconds", -1}: true, {0, "cooling_min", -1}: true}); !reflect.DeepEqual(got, []Flaw{{Place{-1, "bands", -1}, "21 are too many, at most 20", -1}}) {
		t.Errorf("got %v", got)
	}
}

func TestBounds(t *testing.T) {
	b := Bounds{0.5, 120, "mm²"}
	for x, want := range map[float64]bool{0.5: true, 120: true, 0.49: false, 120.1: false, math.Inf(1): false} {
		if b.Holds(x) != want {
			t.Errorf("%s holds %g: %t", b, x, !want)
		}
	}
	if b.Holds(math.NaN()) {
		t.Error("what is no number is held")
	}
	if got := b.String() + ", " + SaneEnds.String(); got != "0.5…120 mm², 1…4" {
		t.Errorf("got %s", got)
	}
}

// The specification names the bounds as they are.
func TestTheSpecificationNamesTheBounds(t *testing.T) {
	data, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(strings.ReplaceAll(string(data), "\n//", " ")), " ")
	for what, b := range map[string]string{
		"in ": SaneDegrees.String(), "one a band, ": SaneSeconds.String(), "cooling time one a band, ": SaneCooling.String(),
		"pressure wait ": SaneWait.String(), "volts ": SaneVolts.String(), "resistance ": SaneOhms.String(),
		"its tolerance, ": SaneTolerance.String(), "terminal pin ": SanePin.String(),
		"ends ": strings.Replace(SaneEnds.String(), "…", " to ", 1), "indicators ": strings.Replace(SaneIndicators.String(), "…", " to ", 1),
		"take ": SaneVolts.String() + " and " + SaneOhms.String(), "for ": saneAmps.String() + ", " + saneRun.String() + " one way and " + saneSection.String(),
		"kind ": strings.Join(Kinds[:len(Kinds)-1], ", ") + " or " + Kinds[len(Kinds)-1], "SDR ": either(fittingClasses),
		"zones ": strings.Replace(SaneZones.String(), "…", " to ", 1),
		"bands ": fmt.Sprintf("1 to %d,", maxBands), "fittings ": fmt.Sprintf("1 to %d, names of 1 to %d characters", maxFittings, MaxName),
		"sizes ": fmt.Sprintf("1 to %d outside", maxSizes), "from ": fmt.Sprintf("−%d to %s °C", -coldest/100, hottest),
	} {
		if !strings.Contains(text, what+b) {
			t.Errorf("it does not say %q", what+b)
		}
	}
}
