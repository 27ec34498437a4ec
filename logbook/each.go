package logbook

import (
	"errors"
	"runtime"
	"sync"
)

// atLeast is how many pieces of work are worth a goroutine: our choice.
const atLeast = 100

// Each does f for 0 to n-1 on all processors, and joins the errors.
func Each(n int, f func(i int) error) error {
	parts := max(1, min(runtime.GOMAXPROCS(0), n/atLeast))
	errs := make([]error, parts)
	var wait sync.WaitGroup
	for part := range parts {
		wait.Go(func() {
			for i := part; i < n; i += parts {
				errs[part] = errors.Join(errs[part], f(i))
			}
		})
	}
	wait.Wait()
	return errors.Join(errs...)
}
