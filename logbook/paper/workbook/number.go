package workbook

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// A style is what the format of a number makes of it.
type style struct {
	day, clock, percent bool
	digits              int  // zeros before it: 0042
	truth               bool // shown as TRUE or FALSE
}

type xmlStyles struct {
	Formats []struct {
		ID   int    `xml:"numFmtId,attr"`
		Code string `xml:"formatCode,attr"`
	} `xml:"numFmts>numFmt"`
	Cells []struct {
		Format int `xml:"numFmtId,attr"`
	} `xml:"cellXfs>xf"`
}

// looks reads the formats of numbers.
func (b *book) looks() error {
	var all xmlStyles
	if err := b.part("xl/styles.xml", &all); err != nil {
		return err
	}
	codes := map[int]string{}
	for _, f := range all.Formats {
		codes[f.ID] = f.Code
	}
	for _, c := range all.Cells {
		if code, own := codes[c.Format]; own {
			b.styles = append(b.styles, styleOf(code))
		} else {
			b.styles = append(b.styles, builtIn(c.Format))
		}
	}
	return nil
}

// builtIn are the formats that have a number and no code in the file.
func builtIn(id int) style {
	switch {
	case id == 9 || id == 10:
		return style{percent: true}
	case id == 22:
		return style{day: true, clock: true}
	case id >= 18 && id <= 21, id >= 45 && id <= 47, id >= 32 && id <= 35, id == 55 || id == 56:
		return style{clock: true}
	case id >= 14 && id <= 17, id >= 27 && id <= 31, id == 36, id >= 50 && id <= 58:
		return style{day: true}
	}
	return style{}
}

// styleOf reads the code of a format, the part for what is above nought.
func styleOf(code string) (s style) {
	var bare strings.Builder
	in := []rune(code)
	for i := 0; i < len(in) && in[i] != ';'; i++ {
		switch in[i] {
		case '"':
			from := i
			for i++; i < len(in) && in[i] != '"'; i++ {
			}
			s.truth = s.truth || strings.EqualFold(string(in[from+1:min(i, len(in))]), "true")
		case '\\', '_', '*':
			i++
		case '[':
			from := i
			for ; i < len(in) && in[i] != ']'; i++ {
			}
			if part := strings.ToLower(string(in[from+1 : min(i, len(in))])); strings.Trim(part, "hms") == "" {
				bare.WriteString(part) // time that has gone by
			}
		default:
			bare.WriteRune(in[i])
		}
	}
	said := strings.ToLower(bare.String())
	if said == "general" {
		return style{}
	}
	s.day, s.clock, s.percent = strings.ContainsAny(said, "yd"), strings.ContainsAny(said, "hs"), strings.Contains(said, "%")
	if !s.day && !s.clock && strings.Contains(said, "m") {
		s.day = true
	}
	if said != "" && strings.Trim(said, "0") == "" {
		s.digits = len(said)
	}
	return s
}

// exact is up to where a spreadsheet keeps each digit of a whole number.
const exact = 1e15

// number is what a number in a cell says by its format.
func (b *book) number(raw string, at int) (text, bad string) {
	f, err := strconv.ParseFloat(raw, 64)
	if err != nil || math.IsInf(f, 0) || math.IsNaN(f) {
		return raw, "is no number that can be read: write it again"
	}
	var s style
	if at >= 0 && at < len(b.styles) {
		s = b.styles[at]
	}
	switch {
	case s.truth && (f == 0 || f == 1):
		return map[bool]string{true: "TRUE", false: "FALSE"}[f == 1], ""
	case s.day || s.clock:
		return b.moment(f, s)
	case math.Abs(f) >= exact:
		return raw, "is a number of more than 15 digits, of which a spreadsheet drops the last: make the cell a text and type it again from the print"
	case s.percent:
		return plain(f*100) + "%", ""
	}
	text = plain(f)
	if s.digits > len(text) && strings.Trim(text, "0123456789") == "" {
		text = strings.Repeat("0", s.digits-len(text)) + text
	}
	return text, ""
}

// plain is a number with the digits that a spreadsheet keeps, 15.
func plain(f float64) string {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(f, 'g', 15, 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

// moment is a day, a time of day, or both. A count of days begins on 1899-12-30.
func (b *book) moment(f float64, s style) (text, bad string) {
	const day = 24 * 60 * 60
	if f < 0 || f > 2_958_466 { // the year 9999
		return plain(f), "is no day and no time: write it as 2026-03-09 or 14:05"
	}
	seconds := int64(math.Round(f * day))
	days, left := int(seconds/day), seconds%day
	on := time.Date(1899, 12, 30+days+b.since, 0, 0, 0, 0, time.UTC)
	clock := fmt.Sprintf("%02d:%02d", left/3600, left/60%60)
	if left%60 != 0 {
		clock += fmt.Sprintf(":%02d", left%60)
	}
	switch {
	case days == 0 && s.clock:
		return clock, ""
	case left == 0 && !s.clock:
		return on.Format(time.DateOnly), ""
	}
	return on.Format(time.DateOnly) + " " + clock, ""
}

// isoText is a time that stands in a cell as a text of ISO 8601.
func isoText(v string) string {
	v = strings.TrimPrefix(strings.TrimSuffix(v, "Z"), "T")
	if whole, rest, ok := strings.Cut(v, "."); ok && strings.Trim(rest, "0") == "" {
		v = whole
	}
	v = strings.Replace(v, "T", " ", 1)
	if strings.Count(v, ":") == 2 {
		v = strings.TrimSuffix(v, ":00")
	}
	return v
}
