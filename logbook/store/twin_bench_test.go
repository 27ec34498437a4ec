package store

import (
	"os"
	"testing"
	"time"
)

// benchStickEnv names a folder on another disk for the twin of the benchmark; without
// it the twin is on the disk of the log, which is worse than any stick: two journals
// are synced by one disk.
const benchStickEnv = "COOLHOLD_STORE_BENCH_STICK"

// A save alone, with a twin that is followed once a second as the board does it, with
// one that is followed without a pause, and with one that does not answer.
func BenchmarkAppendTwin(b *testing.B) {
	for _, c := range []struct {
		name  string
		every time.Duration // 0: no twin
		stuck bool
	}{{"none", 0, false}, {"each second", time.Second, false}, {"without a pause", time.Nanosecond, false}, {"no answer", time.Nanosecond, true}} {
		b.Run(c.name, func(b *testing.B) {
			l := crewLog(b, 500, 500)
			if _, err := l.Book(bg, siteName(0)); err != nil {
				b.Fatal(err)
			}
			if c.every > 0 {
				defer followed(b, l, c.every, c.stuck)()
			}
			b.ResetTimer()
			appends(b, l, 500, func() {})
			b.StopTimer()
		})
	}
}

// followed brings the twin of a log up in the background until it is told to stop.
func followed(b *testing.B, l *Log, every time.Duration, stuck bool) (stop func()) {
	dir := os.Getenv(benchStickEnv)
	if dir == "" {
		dir = b.TempDir()
	} else {
		var err error
		if dir, err = os.MkdirTemp(dir, "stick-"); err != nil {
			b.Fatal(err)
		}
		b.Cleanup(func() { os.RemoveAll(dir) })
	}
	twin := l.Twin(dir)
	if err := twin.Make(); err != nil {
		b.Fatal(err)
	}
	if s := twin.Follow(); s.Err != nil {
		b.Fatal(s.Err)
	}
	answer, ended, over := make(chan struct{}), make(chan struct{}), make(chan struct{})
	if stuck {
		twin.onStick(func(f twinFile) twinFile { return waitingFile{f, make(chan struct{}, 1000), answer} })
	}
	go func() {
		defer close(over)
		tick := time.NewTicker(every)
		defer tick.Stop()
		for {
			select {
			case <-ended:
				return
			case <-tick.C:
				twin.Follow()
			}
		}
	}()
	return func() { close(ended); close(answer); <-over }
}
