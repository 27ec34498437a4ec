package ahead_test

import (
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

func TestRunningOn(t *testing.T) {
	c := crew.OnSite(t)
	held := c.Fused("1A")
	on := c.Prepared("2A")
	c.Do(acts.StartFusion(c.H, on, 0))
	c.Wait(5 * time.Second)
	lines := ahead.RunningOn(c.Book, c.H.Site, c.H.At, fusion.Stamp{})
	if len(lines) != 2 || lines[0].Weld.ID != on || !lines[0].Fusing || lines[0].Left != 35*time.Second ||
		lines[1].Weld.ID != held || lines[1].Fusing || lines[1].Left != 355*time.Second {
		t.Errorf("running %+v", lines)
	}
	if ends := c.H.At.Local().Add(35 * time.Second); !lines[0].Ends.Equal(ends) || lines[0].Over() {
		t.Errorf("ends %v, want %v", lines[0].Ends, ends)
	}
	c.Wait(36 * time.Second)
	if lines = ahead.RunningOn(c.Book, c.H.Site, c.H.At, fusion.Stamp{}); !lines[0].Over() || lines[1].Over() {
		t.Errorf("after 41 s %+v", lines)
	}
}
