package fusion

import "strings"

// A CodeForm says what a scanned code is by its length and signs alone. Nothing
// is read out of its digits: no public source prints enough of the standards
// for that.
type CodeForm string

// The forms. 24 digits are the fusion data of ISO 13950, the same on every
// fitting of one type; 26 digits the traceability of a component and 40 that of
// a pipe by ISO 12176-4; fields parted by ] and sub-fields by ~ a
// two-dimensional code by ISO 12176-5:2021.
const (
	FusionData     CodeForm = "fusion data, 24 digits"
	ComponentTrace CodeForm = "traceability of a component, 26 digits"
	PipeTrace      CodeForm = "traceability of a pipe, 40 digits"
	TwoDimensional CodeForm = "two-dimensional, in fields"
	OtherCode      CodeForm = "another code"
)

// A Code is a code as it was scanned.
type Code struct {
	Raw   string // digit by digit, kept for ever
	Form  CodeForm
	Check CheckDigit
	Parts [][]string // fields and sub-fields of a two-dimensional code
}

// A CheckDigit says whether the last digit is the check digit of Interleaved 2
// of 5. Whether the last of 24, 26 or 40 digits is meant as one is from memory:
// it is reported, and nothing is refused for it.
type CheckDigit string

// The answers. It is asked of codes of 24, 26 and 40 digits alone: of any other a
// last digit that fits says nothing, one in ten does.
const (
	CheckMatches CheckDigit = "matches"
	CheckDiffers CheckDigit = "does not match"
	NoCheck      CheckDigit = "none"
)

// ReadCode tells what a scanned text is. White space round it is no part of it.
func ReadCode(text string) Code {
	c := Code{Raw: strings.TrimSpace(text), Form: OtherCode, Check: NoCheck}
	if strings.ContainsAny(c.Raw, "]~") {
		c.Form = TwoDimensional
		for _, field := range strings.Split(c.Raw, "]") {
			c.Parts = append(c.Parts, strings.Split(field, "~"))
		}
		return c
	}
	if !allDigits(c.Raw) {
		return c
	}
	switch len(c.Raw) {
	case 24:
		c.Form = FusionData
	case 26:
		c.Form = ComponentTrace
	case 40:
		c.Form = PipeTrace
	}
	if n := len(c.Raw) - 1; c.Form != OtherCode {
		c.Check = CheckDiffers
		if d, ok := ITFCheckDigit(c.Raw[:n]); ok && d == int(c.Raw[n]-'0') {
			c.Check = CheckMatches
		}
	}
	return c
}

func allDigits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// ITFCheckDigit is the check digit of Interleaved 2 of 5 over data digits:
// weights 3, 1 from the right, c = (10 − sum mod 10) mod 10. False where the
// text is not all digits.
func ITFCheckDigit(data string) (int, bool) {
	if !allDigits(data) {
		return 0, false
	}
	sum, weight := 0, 3
	for i := len(data) - 1; i >= 0; i-- {
		sum += weight * int(data[i]-'0')
		weight = 4 - weight
	}
	return (10 - sum%10) % 10, true
}
