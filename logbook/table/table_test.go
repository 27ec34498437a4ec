package table

import (
	"bytes"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coolhold/fusion"
	"coolhold/logbook/fault"
	"coolhold/logbook/fault/faulttest"
)

func loadTable(t testing.TB, name string) fusion.Table {
	t.Helper()
	data, err := os.ReadFile("../../testdata/tables/" + name)
	if err != nil {
		t.Fatal(err)
	}
	table, err := Parse(data)
	if err != nil {
		t.Fatalf("%s:\n%v", name, err)
	}
	return table
}

// The figures are invented, except 40 s in 5…14 °C, 39.5 V and 6 min: common
// practice, no source.
func TestParse(t *testing.T) {
	valley := loadTable(t, "valley.toml")
	want := fusion.Fitting{
		Name: "coupler 40", Kind: "coupler", SizesMM: []int{40}, Ends: 2, Zones: 1, Indicators: new(2), SDR: []fusion.SDR{11, 17},
		Volts: 39.5, Seconds: []int{44, 42, 40, 38, 36}, CoolingMin: []int{6, 6, 6, 6, 6},
		PressureWaitMin: new(60), PressureWaitFrom: "cooling end",
		Ohms: new(2.4), OhmsTolerancePct: new(10.0), PinMM: new(4.0),
	}
	if got := valley.Fittings[0]; !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	bands := []fusion.Band{{Low: -10, High: -1}, {Low: 0, High: 4}, {Low: 5, High: 14}, {Low: 15, High: 24}, {Low: 25, High: 40}}
	if !reflect.DeepEqual(valley.Bands, bands) || len(valley.Fittings) != 6 {
		t.Errorf("got %d fittings in the bands %v", len(valley.Fittings), valley.Bands)
	}
	bare, _ := loadTable(t, "ridge.toml").Find("coupler 32")
	if bare.Indicators != nil || bare.PressureWaitMin != nil || bare.Ohms != nil || bare.PinMM != nil || bare.Ends != 2 {
		t.Errorf("what is not printed was filled in: %+v", bare)
	}
	none, _ := loadTable(t, "ridge.toml").Find("saddle 63x32")
	if none.Indicators == nil || *none.Indicators != 0 {
		t.Error("a fitting without indicators is not the same as one where nothing is stated")
	}
}

// A fitting of two zones has one time, that of each zone; where the file says none
// it is one zone. A class may have a decimal, and a tee a size for each face. Every
// figure is invented.
func TestZonesAndClasses(t *testing.T) {
	text := `title = "t"
source = "s"
bands = [[0, 20]]
[[fitting]]
name = "coupler 110"
kind = "coupler"
sizes_mm = [110]
zones = 2
sdr = [11, 13.6]
volts = 39.5
seconds = [190]
cooling_min = 20
[[fitting]]
name = "tee 63/63/40"
kind = "tee"
sizes_mm = [63, 63, 40]
sdr = [11]
volts = 39.5
seconds = [90]
cooling_min = 12
`
	got, err := Parse([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	two, tee := got.Fittings[0], got.Fittings[1]
	if two.Zones != 2 || !reflect.DeepEqual(two.SDR, []fusion.SDR{11, 13.6}) || tee.Zones != 1 || len(tee.SizesMM) != 3 {
		t.Errorf("got %+v\n%+v", two, tee)
	}
	for old, want := range map[string]string{
		"zones = 2":        "zones = 0|8: coupler 110: zones: 0 is outside 1…4",
		"sdr = [11, 13.6]": "sdr = [11, \"13.6\"]|9: coupler 110: sdr: a number is needed here, not text (\"13.6\")",
		"[63, 63, 40]":     "[63, 63, 40, 40]|16: tee 63/63/40: sizes_mm: 63 stands there twice\n16: tee 63/63/40: sizes_mm: 40 stands there twice",
	} {
		bad, want, _ := strings.Cut(want, "|")
		if _, err := Parse([]byte(strings.Replace(text, old, bad, 1))); err == nil || err.Error() != want {
			t.Errorf("%s: %v", bad, err)
		}
	}
}

// Each file with faults has its exact lines behind it.
func TestBadTables(t *testing.T) {
	faulttest.Refused(t, "../../testdata/bad/table.txtar", 38, Parse)
}

const sound = `title = "t"
source = "s"
bands = [[0, 9], [10, 19]]
[[fitting]]
name = "a"
kind = "tee"
sizes_mm = [40]
sdr = [11]
volts = 39.5
seconds = [50, 40]
cooling_min = [6, 7]
`

// Faults that take more than a small file, and what must not be one.
func TestParseEdges(t *testing.T) {
	sub := func(old, new string) string { return strings.Replace(sound, old, new, 1) }
	var many, wide strings.Builder
	for i := range 501 {
		fmt.Fprintf(&many, "[[fitting]]\nname = \"f%d\"\n%s", i, sound[strings.Index(sound, "kind"):])
	}
	for i := range 21 {
		fmt.Fprintf(&wide, "[%d, %d], ", i, i)
	}
	head := sound[:strings.Index(sound, "[[")+len("[[0, 9], [10, 19]]\n")]
	for _, tc := range []struct{ name, data, want string }{
		{"sound", sound, ""},
		{"CRLF and BOM", "\ufeff" + strings.ReplaceAll(sound, "\n", "\r\n"), ""},
		{"equal times", sub("[50, 40]", "[40, 40]"), ""},
		{"cooling may rise", sub("[6, 7]", "[6, 600]"), ""},
		{"bounds are in", sub("39.5", "8") + "ohms = 100\nohms_tolerance_pct = 0\npin_mm = 2\npressure_wait_min = 0\nends = 4\nindicators = 0\n", ""},
		{"one degree bands", sub("[[0, 9], [10, 19]]", "[[0, 0], [1, 1]]"), ""},
		{"volts just out", sub("39.5", "80.001"), "9: a: volts: 80.001 is outside 8…80 V"},
		{"five sizes", sub("[40]", "[16, 20, 25, 32, 40]"), "7: a: sizes_mm: 5 sizes are too many for one fitting, at most 4"},
		{"fitting list empty", head + "fitting = []\n", "4: fitting: is empty"},
		{"band inside a band", sub("[[0, 9], [10, 19]]", "[[0, 9], [3, 5]]"), "3: bands: 3…5 °C overlaps 0…9 °C: a degree must be in one band only"},
		{"far too many fittings", head + many.String(), "4: fitting: 501 are too many, at most 500: split the table"},
		{"far too many bands", "title = \"t\"\nsource = \"s\"\nbands = [" + wide.String() + "]\nfitting = []\n",
			"3: bands: 21 are too many, at most 20\n4: fitting: is empty"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, err := Parse([]byte(tc.data))
			got := ""
			if err != nil {
				got = err.Error()
			}
			if got != tc.want {
				t.Errorf("got\n%s\nwant\n%s", got, tc.want)
			}
		})
	}
}

// render writes a table as a file again.
func render(t fusion.Table) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "title = %s\nsource = %s\nbands = [", tomlText(t.Title), tomlText(t.Source))
	for _, band := range t.Bands {
		fmt.Fprintf(&b, "[%d, %d], ", band.Low, band.High)
	}
	b.WriteString("]\n")
	for _, f := range t.Fittings {
		fmt.Fprintf(&b, "[[fitting]]\nname = %s\nkind = %q\nends = %d\nzones = %d\n", tomlText(f.Name), f.Kind, f.Ends, f.Zones)
		for key, list := range map[string]any{
			"sizes_mm": f.SizesMM, "sdr": f.SDR, "seconds": f.Seconds, "cooling_min": f.CoolingMin,
		} {
			fmt.Fprintf(&b, "%s = %s\n", key, strings.ReplaceAll(fmt.Sprint(list), " ", ", "))
		}
		for key, n := range map[string]*int{"indicators": f.Indicators, "pressure_wait_min": f.PressureWaitMin} {
			if n != nil {
				fmt.Fprintf(&b, "%s = %d\n", key, *n)
			}
		}
		for key, x := range map[string]*float64{
			"volts": &f.Volts, "ohms": f.Ohms, "ohms_tolerance_pct": f.OhmsTolerancePct, "pin_mm": f.PinMM,
		} {
			if x != nil {
				fmt.Fprintf(&b, "%s = %s\n", key, strconv.FormatFloat(*x, 'f', -1, 64))
			}
		}
		if f.PressureWaitFrom != "" {
			fmt.Fprintf(&b, "pressure_wait_from = %q\n", f.PressureWaitFrom)
		}
	}
	return b.Bytes()
}

// tomlText quotes a text as TOML does.
func tomlText(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

func TestRenderedTableIsTheSame(t *testing.T) {
	for _, name := range []string{"valley.toml", "ridge.toml"} {
		table := loadTable(t, name)
		back, err := Parse(render(table))
		if err != nil || !reflect.DeepEqual(back, table) {
			t.Errorf("%s came back as %+v, %v", name, back, err)
		}
	}
}

// drawn is a table that may have flaws anywhere but in what only a file can
// have wrong.
func drawn(t *rapid.T) fusion.Table {
	near := func(what string, in fusion.Bounds) int { // mostly inside
		return rapid.OneOf(rapid.IntRange(int(in.Low), int(in.High)), rapid.IntRange(int(in.Low)-1, int(in.High)+1)).Draw(t, what)
	}
	maybe := func(what string, in fusion.Bounds) *float64 {
		if rapid.Bool().Draw(t, what+" printed") {
			return nil
		}
		return new(float64(near(what, in)) / 2)
	}
	list := func(what string, of ...int) []int { return rapid.SliceOfN(rapid.SampledFrom(of), 0, 3).Draw(t, what) }
	table := fusion.Table{Title: "t", Source: rapid.SampledFrom([]string{"", "s", "s"}).Draw(t, "source")}
	low := near("low", fusion.Bounds{Low: -30, High: 0})
	for range rapid.IntRange(0, 4).Draw(t, "bands") {
		high := low + rapid.IntRange(-1, 20).Draw(t, "width")
		table.Bands = append(table.Bands, fusion.Band{Low: low, High: high})
		low = high + rapid.SampledFrom([]int{1, 1, 1, 0, 2}).Draw(t, "step")
	}
	for range rapid.IntRange(1, 3).Draw(t, "fittings") {
		f := fusion.Fitting{
			Name: rapid.SampledFrom([]string{"", "a", "b", "A ", "c"}).Draw(t, "name"), Kind: rapid.SampledFrom(append(fusion.Kinds, "x")).Draw(t, "kind"),
			SizesMM: list("sizes", 40, 32, 63, 42), Ends: near("ends", fusion.SaneEnds), Zones: near("zones", fusion.SaneZones),
			SDR:   rapid.SliceOfN(rapid.SampledFrom([]fusion.SDR{11, 13.6, 17, 12}), 0, 3).Draw(t, "sdr"),
			Volts: float64(near("volts", fusion.SaneVolts)), Ohms: maybe("ohms", fusion.SaneOhms), OhmsTolerancePct: maybe("tolerance", fusion.SaneTolerance),
			PinMM: maybe("pin", fusion.SanePin), PressureWaitFrom: rapid.SampledFrom([]string{"", fusion.FromFusionEnd, "x"}).Draw(t, "from"),
		}
		f.Name = strings.TrimSpace(f.Name)
		if wait := maybe("wait", fusion.SaneWait); wait != nil {
			f.PressureWaitMin = new(int(*wait))
		}
		for range rapid.SampledFrom([]int{len(table.Bands), len(table.Bands), 1}).Draw(t, "times") {
			f.Seconds = append(f.Seconds, near("seconds", fusion.SaneSeconds))
			f.CoolingMin = append(f.CoolingMin, near("cooling", fusion.SaneCooling))
		}
		table.Fittings = append(table.Fittings, f)
	}
	return table
}

// A table has just the flaws that the file of it has faults, word for word: only
// where a twin stands is said by its line.
func TestAFileIsRefusedForTheFlawsOfItsTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := drawn(t)
		var want, got []string
		for _, f := range table.Flaws(nil) {
			what := f.What
			if f.Twin >= 0 {
				what = "stands in line"
			}
			want = append(want, f.Key+": "+what)
		}
		back, err := Parse(render(table))
		if faults, ok := err.(fault.List); ok {
			for _, f := range faults {
				what := f.What
				if strings.HasPrefix(what, "stands in line") {
					what = "stands in line"
				}
				got = append(got, f.Field+": "+what)
			}
		}
		slices.Sort(want)
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Fatalf("flaws\n%q, faults\n%q of\n%s", want, got, render(table))
		}
		if err == nil && !reflect.DeepEqual(back, table) {
			t.Fatalf("%+v came back as %+v", table, back)
		}
	})
}

// An accepted table reads the same again, has settings for each fitting at
// every degree of its bands and at none outside. A refused one says why, in
// printable lines in the order of the file.
func FuzzParseTable(f *testing.F) {
	faulttest.Seeds(f, "../../testdata/tables/*.toml", "../../testdata/bad/table.txtar", 38)
	f.Fuzz(func(t *testing.T, data []byte) {
		table, err := Parse(data)
		if err != nil {
			faulttest.Printable(t, data, err)
			return
		}
		back, err := Parse(render(table))
		if err != nil || !reflect.DeepEqual(back, table) {
			t.Fatalf("%+v came back as %+v, %v", table, back, err)
		}
		checkSettings(t, table)
	})
}

func checkSettings(t *testing.T, table fusion.Table) {
	t.Helper()
	first, last := table.Bands[0].Low, table.Bands[len(table.Bands)-1].High
	for _, f := range table.Fittings {
		longest := 3600
		for d := first - 1; d <= last+1; d++ {
			s, err := table.Settings(f.Name, fusion.Celsius(100*d))
			if inside := d >= first && d <= last; inside != (err == nil) {
				t.Fatalf("%s at %d °C in %d…%d: %v", f.Name, d, first, last, err)
			}
			if err == nil && (s.Fitting != f.Name || s.Seconds < 5 || s.Seconds > longest || s.CoolingMin < 1) {
				t.Fatalf("%s at %d °C: %+v after %d s", f.Name, d, s, longest)
			}
			if err == nil {
				longest = s.Seconds
			}
		}
	}
}

// What a name was likely meant to be.
func TestOffer(t *testing.T) {
	valley := loadTable(t, "valley.toml")
	many := fusion.Table{}
	for i := range 9 {
		many.Fittings = append(many.Fittings, fusion.Fitting{Name: fmt.Sprint("tee ", i)})
	}
	for _, tc := range []struct {
		table      fusion.Table
		name, want string
	}{
		{valley, "cuopler 63", `is "coupler 63", "coupler 40" meant?`},
		{fusion.Table{Fittings: valley.Fittings[:2]}, "valve", `it holds "coupler 40", "reducer 40x32"`},
		{many, "valve", `it holds "tee 0", "tee 1", "tee 2", "tee 3", "tee 4", "tee 5" and others`},
	} {
		if got := Offer(tc.table, tc.name); got != tc.want {
			t.Errorf("%s: got %s, want %s", tc.name, got, tc.want)
		}
	}
}

func ExampleParse() {
	_, err := Parse([]byte(`
title  = "An invented table"
source = "typed from an invented bag"
bands  = [[-10, 4], [5, 14], [15, 30]]

[[fitting]]
name        = "coupler 40"
kind        = "coupler"
sizes_mm    = [42]
sdr         = [11]
volts       = 395
seconds     = [42, 40, 83]
cooling_min = 6
`))
	fmt.Println(err)
	// Output:
	// 9: coupler 40: sizes_mm: 42 mm is no size of PE pipe (16, 20, 25, 32, 40, 50, 63, 75, 90, 110 … 630)
	// 11: coupler 40: volts: 395 is outside 8…80 V
	// 12: coupler 40: seconds: 83 s at 15…30 °C is longer than 40 s at 5…14 °C: a fusion time never rises as it gets warmer
}
