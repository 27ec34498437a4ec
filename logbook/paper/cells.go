package paper

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"coolhold/logbook"
	"coolhold/logbook/fault"
)

// most is how much of a free text is taken, in characters: our choice.
const most = 200

// text is a column that is no value of the weld but said beside it.
func text(at func(*reading) *string) func(*reading, string) (string, error) {
	return func(r *reading, v string) (string, error) {
		if n := utf8.RuneCountInString(v); n > most {
			return "", fmt.Errorf("%d characters are too many, at most %d", n, most)
		}
		*at(r) = v
		return v, nil
	}
}

func either(options []string) string {
	last := len(options) - 1
	if last < 1 {
		return strings.Join(options, "")
	}
	return strings.Join(options[:last], ", ") + " or " + options[last]
}

// readValue reads a value of the weld, as the log keeps it.
func readValue(v logbook.Field) func(*reading, string) (string, error) {
	return func(r *reading, said string) (string, error) {
		stored, err := v.Read(said)
		if err != nil {
			return "", err
		}
		if logbook.Shortened(v.Key, stored) {
			return "", fmt.Errorf("%s %s", fault.Quote(said), logbook.ShortenedSays)
		}
		if no := logbook.NoName(stored); no != "" && v.Key == logbook.FieldOperator {
			return "", errors.New(no)
		}
		r.w = v.Set(r.w, stored)
		return stored, nil
	}
}

// readPrep reads an item of the preparation card: done, or why it could not be.
func readPrep(v logbook.Field) func(*reading, string) (string, error) {
	read := readValue(v)
	return func(r *reading, said string) (string, error) {
		mark, why, _ := strings.Cut(said, ":")
		stored, err := v.Read(mark)
		why = strings.TrimSpace(why)
		switch {
		case err != nil || stored != logbook.CouldNot && why != "":
			return "", fmt.Errorf("%s is not known: write %s", fault.Quote(said), v.Fill("{done}, or {couldnot}: and the reason"))
		case stored != logbook.CouldNot:
			return read(r, mark)
		case why == "":
			return "", errors.New(v.Fill("{couldnot} needs a reason: write {couldnot}: ") + logbook.CouldNotReasons.Word("noaccess"))
		case utf8.RuneCountInString(why) > most:
			return "", fmt.Errorf("the reason is longer than %d characters", most)
		}
		_, _ = read(r, mark) // it was read above
		a := r.w.Answers[v.Key]
		a.Reason, a.Why = logbook.ReasonOf(why)
		r.w.Answers[v.Key] = a
		return stored + ": " + a.Reason + ": " + a.Why, nil
	}
}
