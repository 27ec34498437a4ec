package crew

import "time"

// A Boot is a later start of the machine: the wall clock ran on, the boot
// clock began anew.
func (c *Crew) Boot(id string, off, since time.Duration) {
	c.H.At.Wall = c.H.At.Wall.Add(off + since)
	c.H.At.Boot, c.H.At.BootID = since, id
}
