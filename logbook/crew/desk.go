package crew

import (
	"encoding/json"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// Done is a whole weld, looked at and released.
func (c *Crew) Done(label string) string {
	c.T.Helper()
	id := c.Fused(label)
	c.Do(acts.ReadRun(c.H, id, new(40)))
	hot := logbook.Look{When: logbook.LookHot, Indicators: []string{logbook.Up, logbook.Flat}, Melt: "none", Wire: "seen", Marks: "inplace", Straight: "yes", How: logbook.Typed}
	c.Do(acts.ReadLook(c.H, id, hot))
	c.Wait(time.Hour)
	c.Do(acts.Release(c.H, id, Look(logbook.LookRelease), fusion.Stamp{}))
	return id
}

// Bare is a weld without what only tells of it.
func Bare(w logbook.Weld) string {
	w.Trail, w.Corrections = nil, nil
	for item, a := range w.Answers {
		if a.V == "" {
			delete(w.Answers, item)
		}
	}
	line, _ := json.Marshal(w)
	return string(line)
}
