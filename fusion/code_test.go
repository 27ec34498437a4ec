package fusion

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Vectors of the check digit of Interleaved 2 of 5, as published with the
// symbology.
func TestITFCheckDigit(t *testing.T) {
	for data, want := range map[string]int{"12345": 7, "01234": 8, "1987": 3, "0123456": 5} {
		if got, ok := ITFCheckDigit(data); !ok || got != want {
			t.Errorf("%s has %d, want %d", data, got, want)
		}
	}
	for _, bad := range []string{"", "12a4", "１２"} {
		if _, ok := ITFCheckDigit(bad); ok {
			t.Errorf("%q has a check digit", bad)
		}
	}
}

func TestReadCode(t *testing.T) {
	digits := func(n int) string { return strings.Repeat("1234567890", 4)[:n] }
	for _, tt := range []struct {
		text  string
		form  CodeForm
		check CheckDigit
	}{
		{digits(24), FusionData, CheckDiffers},
		{" " + digits(26) + "\r\n", ComponentTrace, CheckDiffers},
		{digits(40), PipeTrace, CheckMatches},
		{digits(25), OtherCode, NoCheck},
		{"123457", OtherCode, NoCheck}, // its last digit fits, by chance for all that is known
		{"017", OtherCode, NoCheck},
		{"123456789012345678901233", FusionData, CheckDiffers},
		{"123456789012345678901236", FusionData, CheckMatches},
		{"7", OtherCode, NoCheck},
		{"", OtherCode, NoCheck},
		{"batch W-1", OtherCode, NoCheck},
		{strings.Repeat("x", 24), OtherCode, NoCheck},
		{"A1]B~2", TwoDimensional, NoCheck},
	} {
		c := ReadCode(tt.text)
		if c.Raw != strings.TrimSpace(tt.text) || c.Form != tt.form || c.Check != tt.check {
			t.Errorf("%q is %+v", tt.text, c)
		}
	}
	want := [][]string{{"A1"}, {"B", "2"}, {""}}
	if got := ReadCode("A1]B~2]").Parts; !reflect.DeepEqual(got, want) {
		t.Errorf("split into %q, want %q", got, want)
	}
}

// Whatever is scanned, no digit of it is lost, and its parts make it again.
func TestACodeIsKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[0-9A-Z\]~]{0,60}`).Draw(t, "text")
		c := ReadCode(text)
		if c.Raw != text {
			t.Fatalf("%q kept as %q", text, c.Raw)
		}
		if c.Form != TwoDimensional {
			return
		}
		fields := make([]string, len(c.Parts))
		for i, p := range c.Parts {
			fields[i] = strings.Join(p, "~")
		}
		if again := strings.Join(fields, "]"); again != text {
			t.Fatalf("%q split into what makes %q", text, again)
		}
	})
}

func TestACheckDigitIsFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.SampledFrom([]int{23, 25, 39}).Draw(t, "digits") // and one more
		data := rapid.StringOfN(rapid.RuneFrom([]rune("0123456789")), n, n, -1).Draw(t, "data")
		d, _ := ITFCheckDigit(data)
		if c := ReadCode(data + fmt.Sprint(d)); c.Check != CheckMatches {
			t.Fatalf("%s: %+v", data, c)
		}
		if c := ReadCode(data + fmt.Sprint((d+1)%10)); c.Check != CheckDiffers {
			t.Fatalf("%s: %+v", data, c)
		}
	})
}
