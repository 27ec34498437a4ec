package fusion

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseCelsius(t *testing.T) {
	for in, want := range map[string]Celsius{
		"14": 1400, "14.5": 1450, "14,5": 1450, "14.51": 1451, "14.05": 1405, "0": 0, "-0": 0,
		"-3": -300, "−3": -300, "+3": 300, " 7 ": 700, "-0.5": -50, "-60": -6000, "80.00": 8000, "007": 700,
	} {
		if got, err := ParseCelsius(in); got != want || err != nil {
			t.Errorf("%q: got %d, %v, want %d", in, got, err, want)
		}
	}
}

func TestParseCelsiusRefuses(t *testing.T) {
	for _, in := range []string{
		"", " ", "-", "warm", "14 °C", "14.", ".5", "14.555", "1.2.3", "1,2.3", "1e1", "--3", "- 3", "+-3",
		"0x10", "１４", "nan", "inf", "81", "80.01", "-60.01", "-61", "99999999999999999999", "14\n5",
		strings.Repeat("1", 1000),
	} {
		got, err := ParseCelsius(in)
		if !errors.Is(err, ErrNotCelsius) || got != 0 {
			t.Errorf("%.20q: got %d, %v, want ErrNotCelsius", in, got, err)
		} else if s := err.Error(); len(s) > 200 || strings.Contains(s, "\n") {
			t.Errorf("%.20q: the error is no short line: %q", in, s)
		}
	}
}

func TestCelsiusString(t *testing.T) {
	for c, want := range map[Celsius]string{
		1450: "14.5", 1400: "14", 1405: "14.05", -300: "-3", -50: "-0.5", -5: "-0.05", 0: "0", 10000: "100", 1000: "10",
	} {
		if got := c.String(); got != want {
			t.Errorf("%d: got %q, want %q", int(c), got, want)
		}
	}
}

// A half goes to the colder degree.
func TestDegree(t *testing.T) {
	for c, want := range map[Celsius]int{
		1400: 14, 1449: 14, 1450: 14, 1451: 15, 1499: 15, 0: 0, 49: 0, 50: 0, 51: 1,
		-49: 0, -50: -1, -51: -1, -99: -1, -100: -1, -149: -1, -150: -2, -151: -2, -6000: -60, 8000: 80,
	} {
		if got := c.Degree(); got != want {
			t.Errorf("%s °C: got %d, want %d", c, got, want)
		}
	}
}

// The degree read is within half a degree, and of two equally near the colder.
func TestDegreeIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Celsius(rapid.IntRange(int(coldest), int(hottest)).Draw(t, "c"))
		off := int(c) - c.Degree()*100
		if off <= -50 || off > 50 {
			t.Fatalf("%s °C was read as %d °C", c, c.Degree())
		}
		if want := int(math.Ceil(float64(c)/100 - 0.5)); c.Degree() != want {
			t.Fatalf("%s °C was read as %d °C, the float rule says %d", c, c.Degree(), want)
		}
	})
}

func TestCelsiusRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Celsius(rapid.IntRange(int(coldest), int(hottest)).Draw(t, "c"))
		if back, err := ParseCelsius(c.String()); back != c || err != nil {
			t.Fatalf("%s came back as %s, %v", c, back, err)
		}
		data, err := json.Marshal(c)
		if err != nil {
			t.Fatal(err)
		}
		var back Celsius
		if err := json.Unmarshal(data, &back); back != c || err != nil {
			t.Fatalf("%s came back as %s, %v", data, back, err)
		}
	})
}

func TestCelsiusJSONRefuses(t *testing.T) {
	for _, in := range []string{`"14"`, `1e1`, `14.555`, `100`, `true`, `[]`, `{}`} {
		var c Celsius
		if err := json.Unmarshal([]byte(in), &c); err == nil {
			t.Errorf("%s was read as %s", in, c)
		}
	}
	c := Celsius(7)
	if err := json.Unmarshal([]byte("null"), &c); err != nil || c != 7 {
		t.Errorf("null gave %s, %v; it must change nothing", c, err)
	}
}

func FuzzParseCelsius(f *testing.F) {
	for _, s := range []string{"14.5", "14,5", "−3", "-0.5", "80", "1e1", "..", "+", "14.555"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := ParseCelsius(s)
		if err != nil {
			if !errors.Is(err, ErrNotCelsius) || c != 0 {
				t.Fatalf("%q: %d with %v", s, c, err)
			}
			return
		}
		if back, err := ParseCelsius(c.String()); back != c || err != nil {
			t.Fatalf("%q read as %s, again as %s, %v", s, c, back, err)
		}
		if c < coldest || c > hottest {
			t.Fatalf("%q read as %s °C", s, c)
		}
	})
}
