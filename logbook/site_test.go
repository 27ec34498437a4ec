package logbook_test

import (
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

func TestSiteID(t *testing.T) {
	for name, want := range map[string]string{
		"Invented Meadow": "invented-meadow", "  A -- b/7 ": "a-b-7", "Mühle": "mühle", "...": "",
	} {
		if got := logbook.SiteID(name); got != want {
			t.Errorf("%q gives %q, want %q", name, got, want)
		}
	}
}

func TestWeather(t *testing.T) {
	c := crew.OnSite(t)
	start := c.H.At
	c.Wait(time.Hour)
	c.Do(acts.ChangeWeather(c.H, logbook.Weather{"rain or snow", "none"}))
	c.Wait(time.Hour)
	c.Do(acts.ChangeWeather(c.H, logbook.Weather{"rain or snow", "tent"}))
	sh, _ := c.Book.Shift(c.H.Site, c.H.Shift)
	for _, tt := range []struct {
		after time.Duration
		want  string
	}{
		{0, "dry, shelter none"}, {59 * time.Minute, "dry, shelter none"}, {time.Hour, "rain or snow, shelter none"},
		{119 * time.Minute, "rain or snow, shelter none"}, {3 * time.Hour, "rain or snow, shelter tent"},
	} {
		if got := sh.WeatherAt(start.Add(tt.after)).String(); got != tt.want {
			t.Errorf("after %v: %s, want %s", tt.after, got, tt.want)
		}
	}
	if sh.Weather.Shelter != "tent" || (logbook.Weather{}).String() != "weather not given" {
		t.Errorf("now %v", sh.Weather)
	}
	if _, ok := sh.Operator("nobody"); ok {
		t.Error("nobody is an operator")
	}
}
