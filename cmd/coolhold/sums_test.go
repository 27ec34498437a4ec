package main

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"
)

// What is wrong on the command line of a sum ends with 2, what lies outside its range
// with 5; each is one line that says what and where, and nothing is printed beside it.
func TestSumsRefuse(t *testing.T) {
	const (
		purge  = "purge --od 40 --sdr 11 --length 200 --water 10 --flow "
		volume = "pressure volume --od 63 --sdr 11 --length 100 --drop 100 --er "
	)
	for line, want := range map[string]struct {
		code int
		says string
	}{
		"pipe --sdr 11":                            {exitUsage, "--od missing; see coolhold pipe --help"},
		"pipe --od 63.5 --sdr 11":                  {exitUsage, "--od 63.5 is no whole number of mm: type the outside diameter by which the pipe is named"},
		"pipe --od 41 --sdr 11 --json":             {exitRefused, "outside diameter 41 mm is out of range: its wall is not known here; sizes are those of ISO 4065, 20 to 630 mm"},
		"pipe --od nan --sdr 11":                   {exitUsage, `--od "nan" is no number; see coolhold pipe --help`},
		"pipe --od 63 --sdr 0x11":                  {exitUsage, `--sdr "0x11" is no number; see coolhold pipe --help`},
		"pipe --od 1e300 --sdr 11":                 {exitUsage, `--od "1e300" is no number; see coolhold pipe --help`},
		"pipe --od 999999999999999999999 --sdr 11": {exitUsage, "--od 1000000000000000000000 is no whole number of mm: type the outside diameter by which the pipe is named"},
		"purge --od 40 --sdr 11":                   {exitUsage, "--length and --flow and --water missing; see coolhold purge --help"},
		purge + "3e1":                              {exitUsage, `--flow "3e1" is no number; see coolhold purge --help`},
		purge + "0":                                {exitRefused, "flow 0 L/min is out of range: it goes from 0.1 to 10000 L/min"},
		purge + "30 --water 30.1":                  {exitRefused, "water temperature 30.1 °C is out of range: it goes from 0 to 30 °C"},
		purge + "30 --water -1":                    {exitRefused, "water temperature -1 °C is out of range: it goes from 0 to 30 °C"},
		purge + "30 --changes 0":                   {exitRefused, "changes of volume 0 is out of range: it goes from 0.1 to 100"},
		purge + "30 --fluid brine --json":          {exitRefused, `"brine" is out of range: all figures here are those of water; ready-mixed fluid is thicker, ask whoever made it`},
		"purge --od 40 --sdr 12 --length 200 --water 10 --flow 30": {exitRefused, "40 mm SDR 12 is out of range: no wall is known of it; known are SDR 9, 11, 13.6 and 17 from 20 to 630 mm, the thin ones from 25 or 32 mm"},
		"pressure volume --od 63 --sdr 11 --length 100":            {exitUsage, "--drop and --er missing; see coolhold pressure volume --help"},
		volume + "1":                            {exitRefused, "modulus ER 1 MPa is out of range: it goes from 100 to 3000 MPa"},
		volume + "750 --wall 3.8":               {exitRefused, "measured wall of 63 mm SDR 11 3.8 mm is out of range: it goes from 4.64 to 8.7 mm"},
		volume + "750 --wall 0":                 {exitRefused, "measured wall 0 mm is out of range: a pipe has one"},
		volume + "750 --length 0":               {exitRefused, "length 0 m is out of range: it goes from 0.1 to 10000 m"},
		"dew --room 20 --humidity 0 --pipe 2":   {exitRefused, "relative humidity 0 % is out of range: it goes from 1 to 100 %"},
		"dew --room 60 --humidity 50 --pipe 2":  {exitRefused, "room 60 °C is out of range: it goes from 0 to 50 °C"},
		"dew --room 20 --humidity 50 --pipe 99": {exitRefused, "pipe 99 °C is out of range: it goes from -30 to 50 °C"},
		"dew warm":                              {exitUsage, `"warm" is not expected; write coolhold dew --room C --humidity PERCENT --pipe C [flags]`},
	} {
		got := tryRun(strings.Fields(line)...)
		if got.code != want.code || got.err != "coolhold: "+want.says+"\n" || got.out != "" {
			t.Errorf("coolhold %s: exit code %d, %q, stdout %q\nwant %d, %q", line, got.code, got.err, got.out, want.code, want.says)
		}
	}
}

// A comma and either minus are as good as a point and a hyphen; the wall is the printed
// one (MS 1058-2:2005), not 140/11.
func TestSumsAsTyped(t *testing.T) {
	for line, says := range map[string]string{
		"dew --room 20 --humidity 50 --pipe −0,5":                               "pipe -0.5 °C: it sweats",
		"pipe --od 90 --sdr 13,6":                                               "wall      6.7 mm",
		"pipe --od 140 --sdr 11":                                                "wall      12.7 mm",
		"purge --od 40 --sdr 11 --length 200 --flow 2 --water 10 --fluid Water": "Reynolds     997, laminar",
	} {
		if got := tryRun(strings.Fields(line)...); got.code != exitDone || !strings.Contains(got.out, says) || got.err != "" {
			t.Errorf("coolhold %s: %+v, want %q", line, got, says)
		}
	}
}

// The keys of the answers for other programs never change; one says that a friction
// factor is not settled, and only then.
func TestSumsInJSON(t *testing.T) {
	for line, keys := range map[string]string{
		"pipe --od 63 --sdr 11": "bore_mm flow_lpm litres_per_m wall_mm",
		"purge --od 40 --sdr 11 --length 200 --flow 30 --water 10":           "friction head_loss_m litres minutes reynolds velocity_ms",
		"purge --od 40 --sdr 11 --length 200 --flow 5.5 --water 10":          "friction head_loss_m litres minutes reynolds uncertain velocity_ms",
		"pressure volume --od 63 --sdr 11 --length 100 --drop 100 --er 1000": "allowed_litres",
		"dew --room 20 --humidity 50 --pipe 2":                               "dew_c sweats",
	} {
		got := tryRun(append(strings.Fields(line), "--json")...)
		var answer map[string]any
		if err := json.Unmarshal([]byte(got.out), &answer); err != nil {
			t.Fatalf("%s: %v in %q", line, err, got.out)
		}
		if has := strings.Join(slices.Sorted(maps.Keys(answer)), " "); has != keys {
			t.Errorf("%s: %s, want %s", line, has, keys)
		}
	}
}
