package main

import (
	"context"
	"encoding/base64"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"coolhold/logbook"
)

// cutEvery is a link that is cut after so many bytes, anew for each connection.
func cutEvery(least, most int64) *cut {
	r := rand.New(rand.NewPCG(16, 1))
	return &cut{draw: func() int64 { return least + r.Int64N(most-least+1) }}
}

// A link that is cut again and again costs a bounded part of what is sent once more: what
// is on its way is soon as small as the link bears, and what came is not sent again.
func TestALinkThatIsCutCostsLittle(t *testing.T) {
	bytesOver := func(c *cut) int64 {
		f := admitted(t)
		l, err := openLog(f.log)
		if err != nil {
			t.Fatal(err)
		}
		texts := rand.NewChaCha8([32]byte{16}) // that cannot be packed
		drafts := make([]logbook.Draft, 3000)
		for i := range drafts {
			var text [150]byte
			texts.Read(text[:])
			drafts[i] = logbook.Draft{ID: fmt.Sprint("note ", i), At: f.now, Body: logbook.Note{Text: base64.StdEncoding.EncodeToString(text[:])}}
		}
		if _, err := l.Append(context.Background(), func(logbook.Reader) ([]logbook.Draft, error) { return drafts, nil }); err != nil {
			t.Fatal(err)
		}
		f.send(exitDone, "the office has all", "--to", c.between(t, f.url))
		f.holds(0)
		return c.moved.Load()
	}
	whole, c := bytesOver(&cut{}), cutEvery(30_000, 100_000)
	got := bytesOver(c)
	if got > 3*whole || c.count() < 3 {
		t.Errorf("%d bytes over %d connections, %d where nothing is cut", got, c.count(), whole)
	}
}

// yearEnv names the log of a laptop's year for BenchmarkAYearOverALink: season.coolhold of
// make bench, say.
const yearEnv = "COOLHOLD_YEAR"

// A laptop's year over 64 KB/s, cut every 30 to 300 KB.
func BenchmarkAYearOverALink(b *testing.B) {
	year := os.Getenv(yearEnv)
	if year == "" {
		b.Skip("no log of a year is named with " + yearEnv)
	}
	for b.Loop() {
		b.StopTimer()
		f := admitted(b)
		f.log = filepath.Join(b.TempDir(), "year.coolhold")
		for _, end := range []string{"", ".journal"} {
			data, err := os.ReadFile(year + end)
			if err == nil {
				err = os.WriteFile(f.log+end, data, 0o600)
			}
			if err != nil {
				b.Fatal(err)
			}
		}
		c := cutEvery(30_000, 300_000)
		c.rate = 64_000
		url := c.between(b, f.url)
		b.StartTimer()
		f.send(exitDone, "the office has all", "--to", url)
		b.StopTimer()
		f.holds(0)
		welds := 0
		l, err := openLog(f.log)
		if err == nil {
			err = l.View(context.Background(), func(r logbook.Reader) error { welds = r.NextWeld() - 1; return nil })
		}
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(welds), "welds")
		b.ReportMetric(float64(f.run1(1).Entries), "entries")
		b.ReportMetric(float64(c.moved.Load()), "bytes-up")
		b.ReportMetric(float64(f.office.Takes), "parcels")
		b.ReportMetric(float64(c.count()), "connections")
		b.StartTimer()
	}
}
