package fusion

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"coolhold/fusion/sheet"
)

// Each file of testdata/bad/table has its exact faults beside it.
func TestBadTables(t *testing.T) {
	files, err := filepath.Glob("../testdata/bad/table/*.toml")
	if err != nil || len(files) < 22 {
		t.Fatalf("%d bad tables found, %v", len(files), err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			want, err := os.ReadFile(strings.TrimSuffix(file, ".toml") + ".want")
			if err != nil {
				t.Fatal(err)
			}
			table, err := ParseTable(data)
			if _, ok := err.(sheet.Faults); !ok {
				t.Fatalf("the error is %T: %v", err, err)
			}
			if !reflect.DeepEqual(table, Table{}) {
				t.Error("a faulty table was handed out")
			}
			if got := err.Error() + "\n"; got != strings.ReplaceAll(string(want), "\r", "") {
				t.Errorf("got\n%swant\n%s", got, want)
			}
		})
	}
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
func TestParseTableEdges(t *testing.T) {
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
			_, err := ParseTable([]byte(tc.data))
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
func render(t Table) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "title = %s\nsource = %s\nbands = [", tomlText(t.Title), tomlText(t.Source))
	for _, band := range t.Bands {
		fmt.Fprintf(&b, "[%d, %d], ", band.Low, band.High)
	}
	b.WriteString("]\n")
	for _, f := range t.Fittings {
		fmt.Fprintf(&b, "[[fitting]]\nname = %s\nkind = %q\nends = %d\n", tomlText(f.Name), f.Kind, f.Ends)
		for key, list := range map[string][]int{
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
				fmt.Fprintf(&b, "%s = %s\n", key, short(*x))
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
		back, err := ParseTable(render(table))
		if err != nil || !reflect.DeepEqual(back, table) {
			t.Errorf("%s came back as %+v, %v", name, back, err)
		}
	}
}

// An accepted table reads the same again, has settings for each fitting at
// every degree of its bands and at none outside. A refused one says why, in
// printable lines in the order of the file.
func FuzzParseTable(f *testing.F) {
	for _, pattern := range []string{"../testdata/tables/*.toml", "../testdata/bad/table/*.toml"} {
		files, _ := filepath.Glob(pattern)
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		table, err := ParseTable(data)
		if err != nil {
			checkFaults(t, data, err)
			return
		}
		back, err := ParseTable(render(table))
		if err != nil || !reflect.DeepEqual(back, table) {
			t.Fatalf("%+v came back as %+v, %v", table, back, err)
		}
		checkSettings(t, table)
	})
}

func checkFaults(t *testing.T, data []byte, err error) {
	t.Helper()
	faults, ok := err.(sheet.Faults)
	if !ok || len(faults) == 0 {
		t.Fatalf("the error is %T: %v", err, err)
	}
	last, lines := 0, bytes.Count(data, []byte("\n"))+1
	for _, f := range faults {
		if f.Line < last || f.Line > lines || f.What == "" {
			t.Fatalf("the fault %q after line %d, in a file of %d lines", f, last, lines)
		}
		if strings.ContainsFunc(f.String(), func(c rune) bool { return c < ' ' || c == 0x7f }) {
			t.Fatalf("the fault %q would act on a screen", f)
		}
		last = f.Line
	}
}

func checkSettings(t *testing.T, table Table) {
	t.Helper()
	first, last := table.Bands[0].Low, table.Bands[len(table.Bands)-1].High
	for _, f := range table.Fittings {
		longest := 3600
		for d := first - 1; d <= last+1; d++ {
			s, err := table.Settings(f.Name, Celsius(100*d))
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
