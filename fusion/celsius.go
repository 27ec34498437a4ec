package fusion

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Celsius is a temperature in hundredths of a degree. Hundredths are exact
// where floats are not, and 14.5 °C lies exactly between two bands.
type Celsius int

const (
	coldest Celsius = -60_00
	hottest Celsius = 80_00
)

// ErrNotCelsius is wrapped by every refusal of ParseCelsius.
var ErrNotCelsius = errors.New("not a temperature")

// ParseCelsius reads a temperature in °C as people type it: "14", "14.5",
// "14,5", "-3" with either kind of minus. At most two decimals, −60 to 80 °C
// (a sanity range of our choice, no source). Every error wraps ErrNotCelsius.
func ParseCelsius(s string) (Celsius, error) {
	body, negative := cutSign(strings.TrimSpace(s))
	whole, fraction, pointed := strings.Cut(strings.Replace(body, ",", ".", 1), ".")
	if !digits(whole, 3) || pointed && !digits(fraction, 2) {
		return 0, fmt.Errorf("%q is %w: type degrees such as 14, 14.5 or -3, with at most two decimals", Brief(s), ErrNotCelsius)
	}
	n := 0
	for _, c := range whole + (fraction + "00")[:2] {
		n = n*10 + int(c-'0')
	}
	c := Celsius(n)
	if negative {
		c = -c
	}
	if c < coldest || c > hottest {
		return 0, fmt.Errorf("%q is %w of the air on a site: type °C, from %s to %s", Brief(s), ErrNotCelsius, coldest, hottest)
	}
	return c, nil
}

func cutSign(s string) (body string, negative bool) {
	for _, minus := range []string{"-", "−"} {
		if rest, ok := strings.CutPrefix(s, minus); ok {
			return rest, true
		}
	}
	return strings.TrimPrefix(s, "+"), false
}

// digits tells whether s is 1 to limit ASCII digits.
func digits(s string, limit int) bool {
	return s != "" && len(s) <= limit && strings.Trim(s, "0123456789") == ""
}

// Brief keeps what is quoted in an error short enough for one line.
func Brief(s string) string {
	if utf8.RuneCountInString(s) > 20 {
		return string([]rune(s)[:19]) + "…"
	}
	return s
}

// String gives degrees without needless zeros: "14.5", "-3".
func (c Celsius) String() string {
	sign := ""
	if c < 0 {
		sign, c = "-", -c
	}
	s := fmt.Sprintf("%s%d.%02d", sign, c/100, c%100)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// Degree is the nearest whole degree. A half goes to the colder one, which is
// never the shorter fusion time: 14.5 gives 14, 14.51 gives 15, -0.5 gives -1.
func (c Celsius) Degree() int {
	up := int(c) + 49 // c−0.5 rounded up is c+0.49 rounded down, in hundredths
	if up < 0 {
		return (up - 99) / 100
	}
	return up / 100
}

// Half tells whether two whole degrees are equally near.
func (c Celsius) Half() bool { return c%100 == 50 || c%100 == -50 }

// MarshalJSON writes a number of °C.
func (c Celsius) MarshalJSON() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalJSON reads a number of °C under the rules of ParseCelsius.
func (c *Celsius) UnmarshalJSON(data []byte) error {
	if string(data) == "null" {
		return nil
	}
	read, err := ParseCelsius(string(data))
	if err != nil {
		return err
	}
	*c = read
	return nil
}
