package logbook

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"coolhold/fusion"
	"coolhold/logbook/fault"
)

// A ValueKind says how a value is written down.
type ValueKind int

// The kinds of values.
const (
	AsText    ValueKind = iota
	AsChoice            // one code of its options
	AsChoices           // codes side by side, a comma between them
	AsWhole             // a whole number
	AsDecimal           // a number from nought up
	AsCelsius           // °C
	AsMoment            // a time that somebody stated
)

// A Value is one thing that is recorded of an R, described once: its words, its
// bounds, and where it stands in the record. Corrections, the weld entered
// later, the columns of the paper sheet and of the register, the fields of the
// forms and the labels of a weld's page come from it.
//
// It is stored as text: a code, a figure, or what was typed. Words are made of
// that when it is shown, and a word that is typed becomes its code before it is
// stored.
type Value[R any] struct {
	About
	fixed bool         // it is not corrected
	look  bool         // each look has it
	has   func(R) bool // whether a record has it to be corrected; nil: each has
	get   func(R) string
	set   func(*R, string)
}

// About is what a value is called and how it is written, whatever the record.
type About struct {
	Key    string // in the log, at the head of a paper column; never changed
	Name   string // in lists and in sentences, and as typed on the command line
	Former string // what it was called: still read where it is typed, never shown
	Page   string // on a weld's page; "": the name
	Ask    string // as a form asks while the work is done
	Asked  string // as a form asks afterwards; "": the same
	Hint   string // how it is written, where its right value is asked

	// On the paper sheet: what to write, an example, whether it cannot be left
	// blank, and whether that it was left blank is said with the weld: of all that has
	// something to say of every weld.
	// A value without Write has no column. Codes in braces stand for their words.
	Write, Example string
	Must, Say      bool

	Column string // of the register that shows it; "": Key

	Unit      string
	Kind      ValueKind
	Options   *Options // of a text: what is offered, anything else is taken too; of a figure: what can stand in its place
	Made      []string // the options there are once the weld is made; nil: all
	Low, High float64  // bounds of sense, our choice

	// Table is set where the value decides which row and band of the fusion
	// table count, so that they are looked up anew.
	Table bool

	// Retired is set where the value is not asked any more. It is still read and
	// corrected, and taken from a sheet that was printed before.
	Retired bool
}

// longest is how much of a text is taken, in characters: as much as of a scan.
// Our choice.
const longest = 512

// Later is how a form asks afterwards.
func (v About) Later() string {
	if v.Asked != "" {
		return v.Asked
	}
	return v.Ask
}

// OnPage is its label on a page.
func (v About) OnPage() string {
	if v.Page != "" {
		return v.Page
	}
	return v.Name
}

// InRegister is the column of the register that shows it.
func (v About) InRegister() string {
	if v.Column != "" {
		return v.Column
	}
	return v.Key
}

// Get is the value as stored, "" where nothing is recorded.
func (v Value[R]) Get(r R) string { return v.get(r) }

// Shown is the value in words.
func (v Value[R]) Shown(r R) string { return v.Words(v.get(r)) }

// Words are a stored value in words.
func (v About) Words(stored string) string { return strings.Join(v.Each(stored), ", ") }

// named puts the name before words that do not have it: "melt none", "no wire".
func (v About) named(said string) string {
	if strings.Contains(said, v.Name) {
		return said
	}
	return v.Name + " " + said
}

// Each are the words of what stands side by side in a stored value; else it is
// one.
func (v About) Each(stored string) []string {
	parts := []string{stored}
	if v.Kind == AsChoices {
		parts = strings.Split(stored, ",")
	}
	for i, p := range parts {
		if v.Options != nil {
			parts[i] = v.Options.Word(p)
		}
	}
	return parts
}

// Fill puts words into one of its texts in place of codes in braces.
func (v About) Fill(text string) string { return v.Options.fill(text) }

// Offered are the codes to choose from once the weld is made.
func (v About) Offered() []string {
	if v.Made != nil {
		return v.Made
	}
	return v.Options.Codes()
}

// Set is the record with the stored value in it. Bounds and words do not count:
// what an entry says is so. What is not of its kind sets nothing.
func (v Value[R]) Set(r R, stored string) R {
	if stored == "" || v.sound(stored) {
		v.set(&r, stored)
	}
	return r
}

func (v About) sound(stored string) bool {
	if v.Options != nil && v.Options.Has(stored) {
		return true
	}
	var err error
	switch v.Kind {
	case AsWhole:
		_, err = strconv.Atoi(stored)
	case AsDecimal:
		_, err = strconv.ParseFloat(stored, 64)
	case AsCelsius:
		_, err = fusion.ParseCelsius(stored)
	case AsMoment:
		_, err = time.Parse(time.RFC3339, stored)
	}
	return err == nil
}

// Read is what a person said, as it is stored: words and codes alike, in upper
// and lower case, and figures with or without their unit. It refuses what lies
// outside the bounds.
func (v About) Read(said string) (string, error) { return v.read(said, "") }

// ReadOn is Read where the value of a record is said anew: a time is of the zone
// of the one that stands.
func (v Value[R]) ReadOn(r R, said string) (string, error) { return v.read(said, v.get(r)) }

func (v About) read(said, stands string) (string, error) {
	said = strings.TrimSpace(said)
	if said == "" {
		return "", nil
	}
	if v.Options != nil && v.Kind != AsChoice && v.Kind != AsChoices {
		if code, known := v.Options.Code(said); known {
			return code, nil
		}
	}
	switch v.Kind {
	case AsChoice:
		return v.choice(said)
	case AsChoices:
		return v.choices(said)
	case AsWhole:
		return v.whole(said)
	case AsDecimal:
		return v.decimal(said)
	case AsCelsius:
		c, err := fusion.ParseCelsius(v.bare(said))
		return c.String(), err
	case AsMoment:
		return readMoment(stands, said)
	}
	if n := utf8.RuneCountInString(said); n > longest {
		return "", fmt.Errorf("%d characters are too many, at most %d", n, longest)
	}
	return said, nil
}

func (v About) choice(said string) (string, error) {
	code, known := v.Options.Begun(said)
	if !known || !slices.Contains(v.Offered(), code) {
		return "", fmt.Errorf("%s is not known: write %s", fault.Quote(said), v.Options.Either(v.Offered()...))
	}
	return code, nil
}

// MostSides is how many stand side by side: as many indicators as a table can
// give a fitting.
const mostSides = 6

// choices reads one word a side.
func (v About) choices(said string) (string, error) {
	var codes []string
	for _, side := range strings.FieldsFunc(said, func(c rune) bool { return strings.ContainsRune("/,;+", c) }) {
		code, err := v.choice(strings.TrimSpace(side))
		if err != nil {
			return "", fmt.Errorf("%w, one a side: %s", err, v.Fill(v.Example))
		}
		if code == None && len(codes) > 0 || len(codes) > 0 && codes[0] == None {
			return "", fmt.Errorf("%q stands beside others: write it alone", v.Options.Word(None))
		}
		codes = append(codes, code)
	}
	if len(codes) == 0 || len(codes) > mostSides {
		return "", fmt.Errorf("%s: write one word a side: %s", fault.Quote(said), v.Fill(v.Example))
	}
	return strings.Join(codes, ","), nil
}

// bare takes the unit off a figure.
func (v About) bare(said string) string {
	for _, unit := range []string{v.Unit, strings.TrimPrefix(v.Unit, "°")} {
		if n, had := strings.CutSuffix(said, unit); had && unit != "" {
			return strings.TrimSpace(n)
		}
	}
	return said
}

func (v About) whole(said string) (string, error) {
	digits := v.bare(said)
	n, err := strconv.Atoi(digits)
	if strings.Trim(digits, "0123456789") != "" || err != nil || float64(n) < v.Low || float64(n) > v.High {
		return "", fmt.Errorf("%s is no whole number from %g to %g%s%s", fault.Quote(said), v.Low, v.High, Spaced(v.Unit), v.orWord())
	}
	return strconv.Itoa(n), nil
}

// decimal reads a number from nought up with point or comma. Where both stand,
// one of them would have to be guessed away.
func (v About) decimal(said string) (string, error) {
	digits := strings.Replace(v.bare(said), ",", ".", 1)
	f, err := strconv.ParseFloat(digits, 64)
	if strings.Trim(digits, "0123456789.") != "" || err != nil || !(f >= 0 && f <= v.High) {
		return "", fmt.Errorf("%s is no number from 0 to %g%s", fault.Quote(said), v.High, Spaced(v.Unit))
	}
	return fusion.Figure(f), nil
}

// orWord are the words that can stand in place of a figure.
func (v About) orWord() string {
	if v.Options == nil {
		return ""
	}
	return fmt.Sprintf(", nor %q", v.Options.Either())
}

// Spaced is a unit behind its figure.
func Spaced(unit string) string {
	if unit == "" {
		return ""
	}
	return " " + unit
}

// readMoment reads a time in the zone of the one that stands.
func readMoment(stands, said string) (string, error) {
	zone := time.UTC
	if t, err := time.Parse(time.RFC3339, stands); err == nil {
		zone = t.Location()
	}
	t, err := time.Parse(time.RFC3339, said)
	if err != nil {
		t, err = time.ParseInLocation("2006-01-02 15:04", said, zone)
	}
	if err != nil {
		return "", fmt.Errorf("%s is no time: write 2026-03-09 14:05", fault.Quote(said))
	}
	return t.Format(time.RFC3339), nil
}
