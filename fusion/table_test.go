package fusion

import (
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// An invented table; 40 s in 5…14 °C, 39.5 V and 6 min are common practice, no
// source.
var valley = Table{
	Title: "Valley Fittings (invented)", Source: "typed from the bags of an invented maker",
	Bands: []Band{{-10, -1}, {0, 4}, {5, 14}, {15, 24}, {25, 40}},
	Fittings: []Fitting{
		{
			Name: "coupler 40", Kind: "coupler", SizesMM: []int{40}, Ends: 2, Zones: 1, Indicators: new(2), SDR: []SDR{11, 17},
			Volts: 39.5, Seconds: []int{44, 42, 40, 38, 36}, CoolingMin: []int{6, 6, 6, 6, 6},
			PressureWaitMin: new(60), PressureWaitFrom: FromCoolingEnd,
			Ohms: new(2.4), OhmsTolerancePct: new(10.0), PinMM: new(4.0),
		},
		{
			Name: "cap 40", Kind: "cap", SizesMM: []int{40}, Ends: 1, Zones: 1, SDR: []SDR{11},
			Volts: 39.5, Seconds: []int{44, 42, 40, 38, 36}, CoolingMin: []int{6, 6, 6, 6, 6}, PressureWaitMin: new(60),
		},
	},
}

func TestEndsByKind(t *testing.T) {
	for kind, want := range map[string]int{
		"coupler": 2, "reducer": 2, "elbow": 2, "tee": 3, "saddle": 1, "cap": 1, "transition": 2,
	} {
		if got := EndsOf(kind); got != want {
			t.Errorf("%s: got %d, want %d", kind, got, want)
		}
	}
	if len(Kinds) != 7 {
		t.Errorf("a kind without a case here: %v", Kinds)
	}
}

func TestFind(t *testing.T) {
	table := Table{Fittings: []Fitting{{Name: "coupler 40"}, {Name: "Tee  63"}}}
	for _, name := range []string{"coupler 40", " Coupler  40 ", "COUPLER\u00a040"} {
		if f, ok := table.Find(name); !ok || f.Name != "coupler 40" {
			t.Errorf("%q was not found", name)
		}
	}
	if f, ok := table.Find("tee 63"); !ok || f.Name != "Tee  63" {
		t.Error("the width of blanks in the table counted")
	}
	for _, name := range []string{"", "coupler", "coupler 400", "coupler40"} {
		if f, ok := table.Find(name); ok {
			t.Errorf("%q found %q", name, f.Name)
		}
	}
}

func TestBandFor(t *testing.T) {
	table := Table{Bands: []Band{{-10, -1}, {0, 4}, {5, 14}}}
	for in, want := range map[string]int{
		"-10": 0, "-10.49": 0, "-1": 0, "-0.5": 0, "-0.49": 1, "0": 1, "4.5": 1, "4.51": 2, "14": 2, "14.5": 2,
	} {
		c, _ := ParseCelsius(in)
		if got, ok := table.BandFor(c); got != want || !ok {
			t.Errorf("%s °C: got band %d, %t, want %d", in, got, ok, want)
		}
	}
	for _, in := range []string{"-10.5", "-11", "14.51", "15", "60"} {
		c, _ := ParseCelsius(in)
		if got, ok := table.BandFor(c); ok {
			t.Errorf("%s °C: got band %d, want none", in, got)
		}
	}
}

// tables draws tables whose bands touch and whose times never rise.
func tables(t *rapid.T) Table {
	table := Table{Title: "t", Source: "s"}
	f := Fitting{Name: "f", Volts: 39.5}
	low, seconds := rapid.IntRange(-30, 0).Draw(t, "low"), 3600
	for range rapid.IntRange(1, 5).Draw(t, "bands") {
		high := low + rapid.IntRange(0, 10).Draw(t, "width")
		table.Bands = append(table.Bands, Band{low, high})
		low = high + 1
		seconds -= rapid.IntRange(0, 700).Draw(t, "less")
		f.Seconds = append(f.Seconds, seconds)
		f.CoolingMin = append(f.CoolingMin, rapid.IntRange(1, 600).Draw(t, "cooling"))
	}
	table.Fittings = []Fitting{f}
	return table
}

// Settings are always those of the one band that holds the degree read, at a half
// the longer cooling time; without such a band there are none; and it is never
// warmer with a longer fusion.
func TestSettingsFollowTheBands(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := tables(t)
		c := Celsius(rapid.IntRange(int(coldest), int(hottest)).Draw(t, "c"))
		s, err := table.Settings("f", c)
		holding := 0
		for i, b := range table.Bands {
			if !b.Holds(c.Degree()) {
				continue
			}
			holding++
			cooling := table.Fittings[0].CoolingMin[i]
			if i+1 < len(table.Bands) && table.Bands[i+1].Holds(c.Degree()+1) && (c+10000)%100 == 50 {
				cooling = max(cooling, table.Fittings[0].CoolingMin[i+1])
			}
			if s.Band != b || s.Seconds != table.Fittings[0].Seconds[i] || s.CoolingMin != cooling {
				t.Fatalf("%s °C: got %+v out of band %s", c, s, b)
			}
		}
		if holding > 1 || (holding == 1) != (err == nil) {
			t.Fatalf("%s °C lies in %d bands and gave the error %v", c, holding, err)
		}
		if err != nil && (!errors.Is(err, ErrOutsideBands) || s != Settings{}) {
			t.Fatalf("%s °C: got %+v with %v", c, s, err)
		}
		warmer := c + Celsius(rapid.IntRange(0, 3000).Draw(t, "warmer"))
		if w, err2 := table.Settings("f", warmer); err == nil && err2 == nil && w.Seconds > s.Seconds {
			t.Fatalf("%d s at %s °C, but %d s at %s °C", s.Seconds, c, w.Seconds, warmer)
		}
	})
}

// Common practice, no source: 40 s for 5…14 °C, 39.5 V, 6 min, keyed as 040.
func TestSettings(t *testing.T) {
	for _, tc := range []struct {
		ambient        Celsius
		want           Settings
		rounding, wait string
	}{
		{1450, Settings{"coupler 40", 1450, 14, Band{5, 14}, 39.5, 40, 6, new(60), "cooling end", nil},
			"14.5 °C read as 14 °C", "60 min from the end of cooling"},
		{500, Settings{"coupler 40", 500, 5, Band{5, 14}, 39.5, 40, 6, new(60), "cooling end", nil},
			"", "60 min from the end of cooling"},
	} {
		got, err := valley.Settings("coupler 40", tc.ambient)
		if err != nil || !reflect.DeepEqual(got, tc.want) {
			t.Errorf("%s °C: got %+v, %v", tc.ambient, got, err)
		}
		if got.Keyed() != "040" || got.RoundingLine() != tc.rounding || got.WaitLine() != tc.wait {
			t.Errorf("%s °C: got %q, %q, %q", tc.ambient, got.Keyed(), got.RoundingLine(), got.WaitLine())
		}
	}
}

// At a rounded half the fusion time is that of the colder band and the cooling
// time the longer of the two; a hundredth of a degree never shortens the hold.
func TestCoolingAtAHalf(t *testing.T) {
	table := Table{Bands: []Band{{-5, 4}, {5, 14}, {15, 24}}, Fittings: []Fitting{{Name: "rises", Seconds: []int{30, 20, 10}, CoolingMin: []int{9, 10, 8}}}} // invented
	for _, tc := range []struct {
		c                Celsius
		seconds, cooling int
		line             string
	}{
		{449, 30, 9, "4.49 °C read as 4 °C"},
		{450, 30, 10, "4.5 °C read as 4 °C; as near to 5 °C, so the cooling time is the longer one, of 5…14 °C (our choice)"},
		{451, 20, 10, "4.51 °C read as 5 °C"},
		{350, 30, 9, "3.5 °C read as 3 °C"},
		{1450, 20, 10, "14.5 °C read as 14 °C"}, // the colder band's is the longer
		{2450, 10, 8, "24.5 °C read as 24 °C"},  // there is no warmer band
	} {
		s, err := table.Settings("rises", tc.c)
		if err != nil || s.Seconds != tc.seconds || s.CoolingMin != tc.cooling || s.RoundingLine() != tc.line {
			t.Errorf("%s: %d s, %d min, %q, %v", tc.c, s.Seconds, s.CoolingMin, s.RoundingLine(), err)
		}
	}
	cold := Table{Bands: []Band{{-10, -1}, {0, 9}}, Fittings: []Fitting{{Name: "rises", Seconds: []int{30, 20}, CoolingMin: []int{9, 10}}}} // invented
	if s, err := cold.Settings("rises", -50); err != nil || s.Seconds != 30 || s.CoolingMin != 10 {
		t.Errorf("-0.5: %+v, %v", s, err)
	}
}

// Four figures before the point are no reading, whatever they would come to.
func TestFourFiguresAreNoTemperature(t *testing.T) {
	for _, s := range []string{"1000", "0014", "-0003"} {
		if _, err := ParseCelsius(s); !errors.Is(err, ErrNotCelsius) || !strings.Contains(err.Error(), "with at most two decimals") {
			t.Errorf("%s: %v", s, err)
		}
	}
	if c, err := ParseCelsius("014"); err != nil || c != 1400 {
		t.Errorf("014: %v, %v", c, err)
	}
}

func TestWaitLine(t *testing.T) {
	for _, tc := range []struct {
		min  *int
		from string
		want string
	}{
		{nil, "", "not in the table, see the fitting's own instructions"},
		{new(90), FromFusionEnd, "90 min from the end of fusion"},
		{new(90), FromCoolingEnd, "90 min from the end of cooling"},
		{new(0), "", "0 min from the end of cooling (the table does not say from when, so the later)"},
	} {
		if got := (Settings{PressureWaitMin: tc.min, PressureWaitFrom: tc.from}).WaitLine(); got != tc.want {
			t.Errorf("got %q, want %q", got, tc.want)
		}
	}
}

func TestSettingsRefuse(t *testing.T) {
	for _, tc := range []struct {
		table   Table
		fitting string
		ambient Celsius
		is      error
		parts   []string
	}{
		{valley, "coupler 40", 4051, ErrOutsideBands, []string{"40.51 °C", "-10…40 °C", "extrapolated", "shelter", "warm", "wait"}},
		{valley, "coupler 40", -1050, ErrOutsideBands, []string{"-10.5 °C"}},
		{valley, "cuopler 63", 1000, ErrNoFitting, []string{`"cuopler 63"`}},
		{valley, strings.Repeat("x", 1000), 1000, ErrNoFitting, []string{`"xxxxxxxxxxxxxxxxxxx…"`}},
		{Table{Fittings: []Fitting{{Name: "x"}}}, "x", 1000, ErrOutsideBands, []string{"it has none"}},
	} {
		got, err := tc.table.Settings(tc.fitting, tc.ambient)
		if !errors.Is(err, tc.is) || got != (Settings{}) {
			t.Errorf("%s at %s: got %+v, %v", tc.fitting, tc.ambient, got, err)
			continue
		}
		for _, part := range tc.parts {
			if !strings.Contains(err.Error(), part) {
				t.Errorf("%q does not say %q", err, part)
			}
		}
	}
}

func TestSettingsJSON(t *testing.T) {
	s, err := valley.Settings("cap 40", 1450)
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(s)
	want := `{"fitting":"cap 40","ambient_c":14.5,"degree_read":14,"band":[5,14],"volts":39.5,"seconds":40,"cooling_min":6,"pressure_wait_min":60}`
	if err != nil || string(data) != want {
		t.Errorf("got  %s, %v\nwant %s", data, err, want)
	}
	var back Settings
	if err := json.Unmarshal(data, &back); err != nil || !reflect.DeepEqual(back, s) {
		t.Errorf("came back as %+v, %v", back, err)
	}
}

func TestBandJSON(t *testing.T) {
	for _, in := range []string{`[14,5]`, `[5]`, `[5,14,15]`, `5`, `["a","b"]`, `[1.5,2]`, `null`} {
		var b Band
		if err := json.Unmarshal([]byte(in), &b); err == nil {
			t.Errorf("%s was read as %s", in, b)
		}
	}
	for in, want := range map[string]Band{`[-10,-1]`: {-10, -1}, `[7,7]`: {7, 7}} {
		var b Band
		if err := json.Unmarshal([]byte(in), &b); err != nil || b != want {
			t.Errorf("%s: got %s, %v", in, b, err)
		}
	}
}

// Every figure of this example is invented, except 40 s for 5…14 °C, 39.5 V
// and 6 min, which are common practice, no source.
func ExampleTable_Settings() {
	table := Table{
		Bands: []Band{{-10, 4}, {5, 14}, {15, 30}},
		Fittings: []Fitting{{
			Name: "coupler 40", Volts: 39.5, Seconds: []int{42, 40, 38}, CoolingMin: []int{6, 6, 6},
		}},
	}
	ambient, _ := ParseCelsius("14,5")
	s, err := table.Settings("coupler 40", ambient)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.RoundingLine())
	fmt.Printf("%g V, %d s keyed as %s, %d min for %s\n", s.Volts, s.Seconds, s.Keyed(), s.CoolingMin, s.Band)
	// Output:
	// 14.5 °C read as 14 °C
	// 39.5 V, 40 s keyed as 040, 6 min for 5…14 °C
}
