package paper

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook/fault"
)

const dayLayout = "2006-01-02"

var (
	isoDay    = regexp.MustCompile(`^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$`)
	dottedDay = regexp.MustCompile(`^(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})$`)
	slashDay  = regexp.MustCompile(`^(\d{1,2})/(\d{1,2})/(\d{4})$`)
	shortYear = regexp.MustCompile(`^\d{1,2}[-./]\s?\d{1,2}[-./]\s?\d{2}$`)
	serialDay = regexp.MustCompile(`^(\d{5})([.,]\d+)?$`)
	withClock = regexp.MustCompile(`^(\d{4}-\d\d-\d\d) \d{1,2}:\d\d`)
	dayPart   = regexp.MustCompile(`^(\d+)?[.,](\d+)$`)
	halves    = regexp.MustCompile(`(?i)^(0?[1-9]|1[0-2])[:.](\d\d)(?:[:.](\d\d))? ?([ap])\.?m\.?$`)
	noDay     = regexp.MustCompile(`^(1899-12-3[01]|1900-01-0[01]|1904-01-01|30[./]12[./]1899|12/30/1899|0?1/0/1900)[ T]`)
	midnight  = regexp.MustCompile(`[ T]00:00(:00)?$`)
	clockTime = regexp.MustCompile(`^(\d{1,2})[:.](\d{2})(?:[:.](\d{2}))?$`)
)

// ParseDay reads a date as people write it, at noon in zone: 2026-03-09, or
// with dots the day first, 9.3.2026. What can mean two days is refused.
func ParseDay(v string, zone *time.Location) (time.Time, error) {
	v = midnight.ReplaceAllString(v, "") // as a spreadsheet writes a day
	switch {
	case isoDay.MatchString(v):
		m := isoDay.FindStringSubmatch(v)
		return day(v, m[1], m[2], m[3], zone)
	case dottedDay.MatchString(v):
		m := dottedDay.FindStringSubmatch(v)
		return day(v, m[3], m[2], m[1], zone)
	case slashDay.MatchString(v):
		return time.Time{}, slashed(v)
	case shortYear.MatchString(v):
		return time.Time{}, fmt.Errorf("%s has no whole year: write 2026-03-09", fault.Quote(v))
	case serialDay.MatchString(v):
		n, _ := strconv.Atoi(serialDay.FindStringSubmatch(v)[1]) // digits by the pattern
		return time.Time{}, fmt.Errorf("%s looks like a spreadsheet's count of days: write %s if that is the day", fault.Quote(v), time.Date(1899, 12, 30+n, 0, 0, 0, 0, time.UTC).Format(dayLayout))
	case withClock.MatchString(v):
		return time.Time{}, fmt.Errorf("%s has a time of day, which stands in a column of its own: write %s", fault.Quote(v), withClock.FindStringSubmatch(v)[1])
	}
	return time.Time{}, fmt.Errorf("%s is no date: write 2026-03-09", fault.Quote(v))
}

// slashed says which days a date with strokes can mean.
func slashed(v string) error {
	m := slashDay.FindStringSubmatch(v)
	first, errFirst := day(v, m[3], m[2], m[1], time.UTC)
	second, errSecond := day(v, m[3], m[1], m[2], time.UTC)
	switch {
	case errFirst != nil && errSecond != nil:
		return fmt.Errorf("%s: there is no such day", fault.Quote(v))
	case errFirst != nil:
		first = second
	case errSecond == nil && !first.Equal(second):
		return fmt.Errorf("%s can mean two days: write %s or %s", fault.Quote(v), first.Format(dayLayout), second.Format(dayLayout))
	}
	return fmt.Errorf("%s: strokes stand for another order elsewhere: write %s", fault.Quote(v), first.Format(dayLayout))
}

func day(v, y, m, d string, zone *time.Location) (time.Time, error) {
	n := make([]int, 3)
	for i, s := range []string{y, m, d} {
		n[i], _ = strconv.Atoi(s) // digits by the pattern
	}
	t := time.Date(n[0], time.Month(n[1]), n[2], 12, 0, 0, 0, zone)
	if t.Year() != n[0] || int(t.Month()) != n[1] || t.Day() != n[2] {
		return time.Time{}, fmt.Errorf("%s: there is no such day", fault.Quote(v))
	}
	return t, nil
}

func readDate(r *reading, v string) (string, error) {
	t, err := ParseDay(v, r.zone)
	if err != nil {
		return "", err
	}
	r.day = t
	return t.Format(dayLayout), nil
}

// readClock reads a time of the row's day, or of the day that stands with it.
func readClock(at func(*reading) *time.Time) func(*reading, string) (string, error) {
	return func(r *reading, v string) (string, error) {
		v = noDay.ReplaceAllString(v, "") // a time of day, as some spreadsheets write it
		on, clock := r.day, v
		if i := strings.LastIndexAny(v, " T"); i >= len("9.3.2026") && !strings.HasSuffix(fusion.Folded(v), "m") {
			d, err := ParseDay(strings.TrimSpace(v[:i]), r.zone)
			if err != nil {
				return "", err
			}
			on, clock = d, v[i+1:]
		}
		h, m, s, err := parseClock(clock)
		if err != nil || on.IsZero() { // the fault of the day is noted already
			return "", err
		}
		t := time.Date(on.Year(), on.Month(), on.Day(), h, m, s, 0, r.zone)
		if t.Hour() != h || t.Minute() != m {
			return "", fmt.Errorf("%s: the clock was put forward over that time: write what it showed then, an hour more", fault.Quote(v))
		}
		if start := at(r) == &r.started; start && !r.day.IsZero() && t.Format(dayLayout) != r.day.Format(dayLayout) {
			return "", fmt.Errorf("%s is of another day than the date, %s: write the time alone, %s, or the other date", fault.Quote(v), r.day.Format(dayLayout), hm(t))
		}
		*at(r) = t
		return t.Format("2006-01-02 15:04:05"), nil
	}
}

func parseClock(v string) (h, m, s int, err error) {
	p := clockTime.FindStringSubmatch(v)
	if half := halves.FindStringSubmatch(v); half != nil { // as some spreadsheets write it
		n, _ := strconv.Atoi(half[1])
		if n %= 12; strings.EqualFold(half[4], "p") {
			n += 12
		}
		p = []string{v, strconv.Itoa(n), half[2], half[3]}
	}
	if p == nil {
		return 0, 0, 0, fmt.Errorf("%s is no time: write %s", fault.Quote(v), likely(v))
	}
	h, _ = strconv.Atoi(p[1])
	m, _ = strconv.Atoi(p[2])
	s, _ = strconv.Atoi(p[3]) // "" is nought
	if h > 23 || m > 59 || s > 59 {
		return 0, 0, 0, fmt.Errorf("%s: there is no such time", fault.Quote(v))
	}
	return h, m, s, nil
}

// inOrder notes times of a row that cannot follow one another, and drops them.
func (r *reading) inOrder(note func(column, what string)) {
	after, name := r.started, "the start"
	for _, s := range []struct {
		column, name string
		at           *time.Time
	}{{colEnd, "the end", &r.ended}, {colReleased, "the release", &r.released}, {colCheckAt, "the check", &r.checked}} {
		if s.at.IsZero() || after.IsZero() {
			continue
		}
		if s.at.Before(after) {
			note(s.column, fmt.Sprintf("%s is before %s, %s; if it was past midnight, write %s %s", hm(*s.at), name, hm(after), s.at.AddDate(0, 0, 1).Format(dayLayout), hm(*s.at)))
			*s.at = time.Time{}
			continue
		}
		after, name = *s.at, s.name
	}
}

func hm(t time.Time) string {
	if t.Second() != 0 {
		return t.Format("15:04:05")
	}
	return t.Format("15:04")
}

// likely is the time that was likely meant by a part of a day, as a spreadsheet keeps it;
// else an example.
func likely(v string) string {
	if m := dayPart.FindStringSubmatch(v); m != nil {
		f, _ := strconv.ParseFloat("0."+m[2], 64)
		n := int(math.Round(f * 24 * 60))
		return fmt.Sprintf("%02d:%02d if that is meant", n/60%24, n%60)
	}
	return "14:05"
}
