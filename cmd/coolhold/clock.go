package main

import (
	"sync"
	"time"

	"coolhold/fusion"
)

var (
	thisBoot    = sync.OnceValue(bootID)
	thisMachine = sync.OnceValue(machine)
)

// now is the one place at which the program asks for the time.
func now() fusion.Stamp {
	t := time.Now()
	_, offset := t.Zone()
	return fusion.Stamp{Wall: t.UTC(), Offset: offset, Boot: bootClock(), BootID: thisBoot(), Machine: thisMachine()}.Cut()
}

// wall is the clock where only the time of day is wanted, as it is shown here.
func wall(e edges) func() time.Time { return func() time.Time { return e.now().Local() } }

// paced is a clock that runs n times faster from this moment on, for the worked
// example.
func paced(clock func() fusion.Stamp, n float64) func() fusion.Stamp {
	start := clock()
	return func() fusion.Stamp {
		passed := clock().Boot - start.Boot
		return start.Add(time.Duration(float64(passed) * n)).Cut()
	}
}
