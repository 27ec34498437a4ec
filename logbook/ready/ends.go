package ready

import (
	"slices"
	"strings"

	"coolhold/logbook"
)

// ends says of which stubs nothing is known: a fitting was held against the pipe
// alone there, and the van may leave without a reducer.
func ends(c *compared) {
	var unstated []logbook.Joint
	for _, n := range c.needs {
		for _, j := range n.joints {
			if !j.StubStated() {
				unstated = append(unstated, j)
			}
		}
	}
	if len(unstated) == 0 {
		return
	}
	var chambers []string
	for _, j := range unstated {
		if !slices.Contains(chambers, j.Chamber) {
			chambers = append(chambers, j.Chamber)
		}
	}
	c.add("stubs", "", NotKnown, "the plan", "the stubs of %s: the plan does not state their size and SDR, so the fittings of %s are compared with the pipe alone",
		strings.Join(chambers, ", "), logbook.Count(len(unstated), "joint"))
}

// factory lists what came fused from a works, which is not ours to weld.
func factory(c *compared) {
	for _, n := range c.site.NotOurs() {
		state := InOrder
		if n.Certificate == "" {
			state = NotKnown
		}
		c.add("factory", n.Label, state, "the plan", "%s, %s: a factory joint, not ours to weld; %s", n.Label, n.Where, n.Says())
	}
}
