package main

import (
	"errors"
	"regexp"
	"strings"
	"testing"

	"coolhold/logbook/fault"
	"coolhold/logbook/kit"
	"coolhold/logbook/plan"
	"coolhold/logbook/table"
)

var (
	outOfUse   = regexp.MustCompile(`(?m)^# (\[|[a-z_0-9]+ *=)`)
	blankValue = regexp.MustCompile(`= +"<fill in>"`)
	keyOf      = regexp.MustCompile(`(?m)^([a-z_0-9]+) *=|^\[+([a-z_.]+)\]`)
)

// parses reads a file only for what is wrong in it.
func parses[T any](parse func([]byte) (T, error)) func(string) error {
	return func(text string) error { _, err := parse([]byte(text)); return err }
}

// Every key of a new file, also one that may stay out, is one that is read; its value
// is none; and the help says what it is.
func TestNewFilesHaveKnownKeysAndNoValue(t *testing.T) {
	for what, c := range map[string]struct {
		text, help string
		parse      func(string) error
	}{
		"plan":  {plan.New, planFormat, parses(plan.Parse)},
		"table": {table.New, tableFormat, parses(table.Parse)},
		"kit":   {kit.New, kitFormat, parses(kit.Parse)},
	} {
		whole := outOfUse.ReplaceAllString(c.text, "$1")
		var faults fault.List
		if err := c.parse(whole); !errors.As(err, &faults) {
			t.Fatalf("%s: %v", what, err)
		}
		open := 0
		for _, f := range faults {
			if strings.Contains(f.What, "still to be filled in") {
				open++
			} else if !strings.HasSuffix(f.What, "ends can meet at a joint, not 0") {
				t.Errorf("%s: %v", what, f)
			}
		}
		keys := keyOf.FindAllStringSubmatch(whole, -1)
		if n := len(blankValue.FindAllString(whole, -1)); n != open || len(keys) < 10 {
			t.Errorf("%s: %d keys, %d blanks, %d of them named", what, len(keys), n, open)
		}
		for _, k := range keys {
			if word := regexp.MustCompile(`\b` + regexp.QuoteMeta(k[1]+k[2]) + `\b`); !word.MatchString(c.help) {
				t.Errorf("%s: %s is not in the help", what, k[1]+k[2])
			}
		}
	}
}
