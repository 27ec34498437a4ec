package paper

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"coolhold/fusion"
	"coolhold/logbook"
)

// fold makes words equal that people take for one another.
func fold(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// brief keeps what is quoted short enough for one line.
func brief(s string) string {
	if utf8.RuneCountInString(s) > 40 {
		s = string([]rune(s)[:39]) + "…"
	}
	return fmt.Sprintf("%q", s)
}

func text(limit int, at func(*logbook.LateWeld) *string) func(*reading, string) (string, error) {
	return func(r *reading, v string) (string, error) {
		if n := utf8.RuneCountInString(v); n > limit {
			return "", fmt.Errorf("%d characters are too many, at most %d", n, limit)
		}
		*at(&r.l) = v
		return v, nil
	}
}

// shortest is how much of an option must be written for it to be known: our
// choice.
const shortest = 4

// oneOf finds an option, or the only one that begins with these words.
func oneOf(v string, options []string) (string, error) {
	var begun []string
	for _, o := range options {
		if fold(o) == fold(v) {
			return o, nil
		}
		if strings.HasPrefix(fold(o), fold(v)+" ") && len(v) >= shortest {
			begun = append(begun, o)
		}
	}
	if len(begun) == 1 {
		return begun[0], nil
	}
	return "", fmt.Errorf("%s is not known: write %s", brief(strings.TrimSpace(v)), either(options))
}

func either(options []string) string {
	last := len(options) - 1
	if last < 1 {
		return strings.Join(options, "")
	}
	return strings.Join(options[:last], ", ") + " or " + options[last]
}

func words(at func(*logbook.LateWeld) *string, options ...string) func(*reading, string) (string, error) {
	return func(r *reading, v string) (string, error) {
		word, err := oneOf(v, options)
		*at(&r.l) = word
		return word, err
	}
}

func (r *reading) answers(item, v, why string) {
	r.l.Answers = append(r.l.Answers, logbook.Answer{Item: item, V: v, How: logbook.Later, Why: why})
}

func answer(item string) func(*reading, string) (string, error) {
	return func(r *reading, v string) (string, error) {
		if n := utf8.RuneCountInString(v); n > 60 {
			return "", fmt.Errorf("%d characters are too many, at most 60", n)
		}
		r.answers(item, v, "")
		return v, nil
	}
}

func answerOf(item string, options ...string) func(*reading, string) (string, error) {
	return func(r *reading, v string) (string, error) {
		word, err := oneOf(v, options)
		if err == nil {
			r.answers(item, word, "")
		}
		return word, err
	}
}

// readPrep reads an item of the preparation card: done, or why it could not be.
func readPrep(item string) func(*reading, string) (string, error) {
	return func(r *reading, v string) (string, error) {
		if fold(v) == logbook.Done {
			r.answers(item, logbook.Done, "")
			return logbook.Done, nil
		}
		word, why, _ := strings.Cut(v, ":")
		why = strings.TrimSpace(why)
		switch {
		case fold(word) != logbook.CouldNot:
			return "", fmt.Errorf("%s is not known: write done, or could not: and the reason", brief(v))
		case why == "":
			return "", errors.New("could not needs a reason: write could not: no access")
		case utf8.RuneCountInString(why) > 200:
			return "", errors.New("the reason is longer than 200 characters")
		}
		r.answers(item, logbook.CouldNot, why)
		return logbook.CouldNot + ": " + why, nil
	}
}

// bare takes the unit off a number.
func bare(v string, units ...string) string {
	for _, u := range units {
		if n, had := strings.CutSuffix(v, u); had {
			return strings.TrimSpace(n)
		}
	}
	return v
}

func integer(v string, low, high int) (int, error) {
	n, err := strconv.Atoi(v)
	if strings.Trim(v, "0123456789") != "" || err != nil || n < low || n > high {
		return 0, fmt.Errorf("%s is no whole number from %d to %d", brief(v), low, high)
	}
	return n, nil
}

func whole(low, high int, set func(*logbook.LateWeld, int)) func(*reading, string) (string, error) {
	return func(r *reading, v string) (string, error) {
		n, err := integer(bare(v, "s", "min"), low, high)
		if err == nil {
			set(&r.l, n)
		}
		return strconv.Itoa(n), err
	}
}

// decimal reads a number above nought with point or comma. Where both stand,
// one of them would have to be guessed away.
func decimal(high float64, at func(*logbook.LateWeld) **float64) func(*reading, string) (string, error) {
	return func(r *reading, v string) (string, error) {
		digits := strings.Replace(bare(v, "V", "Ω"), ",", ".", 1)
		f, err := strconv.ParseFloat(digits, 64)
		if strings.Trim(digits, "0123456789.") != "" || err != nil || !(f > 0 && f <= high) {
			return "", fmt.Errorf("%s is no number above 0 and up to %g", brief(v), high)
		}
		*at(&r.l) = &f
		return strconv.FormatFloat(f, 'f', -1, 64), nil
	}
}

func readAmbient(r *reading, v string) (string, error) {
	c, err := fusion.ParseCelsius(bare(v, "°C", "C"))
	if err != nil {
		return "", err
	}
	r.l.Ambient, r.l.NoAmbient = c, false
	return c.String(), nil
}

func readPort(r *reading, v string) (string, error) {
	n, err := integer(v, 1, 999)
	if err != nil {
		return "", err
	}
	r.answers(logbook.ItemPort, strconv.Itoa(n), "")
	return strconv.Itoa(n), nil
}

// readIndicators reads one word a side.
func readIndicators(r *reading, v string) (string, error) {
	options := []string{logbook.Up, logbook.Part, logbook.Flat, logbook.Unseen, logbook.None}
	var seen []string
	for _, side := range strings.FieldsFunc(v, func(c rune) bool { return strings.ContainsRune("/,;+", c) }) {
		word, err := oneOf(side, options)
		if err != nil {
			return "", fmt.Errorf("%w, one a side: up / up", err)
		}
		seen = append(seen, word)
	}
	switch {
	case len(seen) == 0 || len(seen) > 4:
		return "", fmt.Errorf("%s: write one word a side: up / up", brief(v))
	case len(seen) > 1 && slices.Contains(seen, logbook.None):
		return "", fmt.Errorf("%q stands beside others: write it alone", logbook.None)
	}
	r.l.Look.Indicators = seen
	return strings.Join(seen, " / "), nil
}
