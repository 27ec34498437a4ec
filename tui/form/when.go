package form

import (
	"fmt"
	"time"

	"coolhold/tui/shell"
)

const (
	statedMinute = "2006-01-02 15:04"
	statedClock  = "15:04"
)

// PastDay takes a time of today, a date and time, or a date alone, not after now.
func PastDay(env shell.Env) func(string) (string, error) {
	return func(s string) (string, error) {
		at, dayOnly, err := Stated(env, s)
		now, layout := env.Now.Local(), statedMinute
		if dayOnly {
			layout = time.DateOnly
		}
		switch {
		case err != nil:
			return "", err
		case at.Format(layout) > now.Format(layout):
			return "", fmt.Errorf("%s is still to come", at.Format(layout))
		}
		return at.Format(layout), nil
	}
}

// Stated is a time as PastDay takes it, of the clock on site.
func Stated(env shell.Env, s string) (at time.Time, dayOnly bool, err error) {
	now := env.Now.Local()
	zone := now.Location()
	if at, err = time.ParseInLocation(time.DateOnly, s, zone); err == nil {
		return at, true, nil
	}
	if at, err = time.ParseInLocation(statedMinute, s, zone); err == nil {
		return at, false, nil
	}
	if _, bad := time.Parse(statedClock, s); bad != nil {
		return at, false, fmt.Errorf("%q is no time: write 14:05, 2026-03-09 14:05 or 2026-03-09", s)
	}
	at, err = time.ParseInLocation(statedMinute, now.Format(time.DateOnly)+" "+s, zone)
	return at, false, err
}

// ClockSince is a time of day as the first since something began: what stands on a sheet of
// yesterday was not today. What is no time of day alone stays as it is.
func ClockSince(env shell.Env, s string, began time.Time) string {
	clock, err := time.Parse(statedClock, s)
	if err != nil {
		return s
	}
	zone := env.Now.Local().Location()
	began = began.In(zone).Truncate(time.Minute)
	at := time.Date(began.Year(), began.Month(), began.Day(), clock.Hour(), clock.Minute(), 0, 0, zone)
	if at.Before(began) {
		at = at.AddDate(0, 0, 1)
	}
	return at.Format(statedMinute)
}
