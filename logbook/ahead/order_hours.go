package ahead

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"time"

	"coolhold/fusion"
)

// Hours of work where nobody states them: our choice.
const (
	assumedFrom  = 8 * time.Hour  // where no shift is open
	assumedUntil = 18 * time.Hour // where the day began before lateFrom
	lateFrom     = 14 * time.Hour
	lateHours    = 10 * time.Hour // of a day that began later
)

// ErrClock is wrapped by every refusal of ParseClock.
var ErrClock = errors.New("not a time of day")

var clockForm = regexp.MustCompile(`^([01]?[0-9]|2[0-4])[:.]?([0-5][0-9])$`)

// ParseClock reads a time of day, "18:00", "18.00" or "1800", as the time since
// midnight; 24:00 is the end of the day.
func ParseClock(s string) (time.Duration, error) {
	m := clockForm.FindStringSubmatch(s)
	if m == nil {
		return 0, fmt.Errorf("%q is %w: write it as 18:00", fusion.Brief(s), ErrClock)
	}
	h, _ := strconv.Atoi(m[1])
	min, _ := strconv.Atoi(m[2])
	d := time.Duration(h)*time.Hour + time.Duration(min)*time.Minute
	if d > 24*time.Hour || d == 0 {
		return 0, fmt.Errorf("%q is %w on which work ends: write it as 18:00, midnight as 24:00", fusion.Brief(s), ErrClock)
	}
	return d, nil
}

// clockOf is the time since midnight of a local time.
func clockOf(t time.Time) time.Duration {
	return time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute + time.Duration(t.Second())*time.Second
}

// clockWord writes a time since midnight.
func clockWord(d time.Duration) string {
	if d == 24*time.Hour {
		return "24:00"
	}
	return fmt.Sprintf("%02d:%02d", int(d.Hours())%24, int(d.Minutes())%60)
}

// A workday is when work begins and ends, as times of day; one that ends before it
// began goes on past midnight.
type workday struct {
	from, until time.Duration
	began       time.Time // the first start of the open shift's day; zero where none is open
}

// workday is the day as the open shift began it, else as it is assumed.
func (o *orderer) workday() workday {
	w := workday{from: assumedFrom, until: o.given.Until}
	if o.site.Shift != "" {
		w.began = o.dayBegan()
		w.from = clockOf(w.began).Truncate(time.Minute)
	}
	if w.until == 0 {
		w.until = assumedUntil
		if w.from >= lateFrom {
			w.until = (w.from + lateHours) % (24 * time.Hour)
		}
	}
	return w
}

// dayBegan is when the first shift of the open shift's day was started: after a
// break it may be the second. One begun in the evening is a day of its own.
func (o *orderer) dayBegan() time.Time {
	began := o.shift.Started.Local()
	if clockOf(began) >= assumedUntil {
		return began
	}
	for _, id := range o.site.Shifts {
		if s, ok := o.r.Shift(o.site.ID, id); ok && s.Day == o.shift.Day && s.Started.Local().Before(began) {
			began = s.Started.Local()
		}
	}
	return began
}

// length is how long the day is.
func (w workday) length() time.Duration {
	if d := (w.until - w.from + 24*time.Hour) % (24 * time.Hour); d > 0 {
		return d
	}
	return 24 * time.Hour
}

// hours are the days of work from now on, as many as the jobs may take, by their
// times from now. Saturday and Sunday are none, but where a shift was begun on one.
func (w workday) hours(now time.Time, jobs int) []fusion.Hours {
	midnight := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location())
	var out []fusion.Hours
	for day := -1; len(out) < 3*jobs+7; day++ { // a job takes less than three days, with all that is held before it
		from := midnight.AddDate(0, 0, day).Add(w.from)
		free := from.Weekday() == time.Saturday || from.Weekday() == time.Sunday
		if until := from.Add(w.length()); until.After(now) && (!free || sameDay(from, w.began)) {
			out = append(out, fusion.Hours{From: from.Sub(now), Until: until.Sub(now)})
		}
	}
	return out
}

func sameDay(a, b time.Time) bool { return a.Format(time.DateOnly) == b.Format(time.DateOnly) }

// hoursLine says when work is planned.
func (o *orderer) hoursLine() string {
	w := o.workday()
	from, until := "start of shift", "our choice"
	if w.began.IsZero() {
		from = "our choice"
	}
	if o.given.Until != 0 {
		until = "as given"
	}
	return fmt.Sprintf("work %s (%s) to %s (%s), each hold in it; the rest on the next working day, Monday to Friday (our choice)", clockWord(w.from), from, clockWord(w.until), until)
}
