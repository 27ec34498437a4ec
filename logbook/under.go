package logbook

import "slices"

// Under is the cover that lies over a joint: its part was covered with ground,
// and the joint was not dug up since.
func (s Site) Under(j Joint) (Cover, bool) {
	c, ok := s.CoverOf(SectionOf(j))
	if !ok || !j.Counts() {
		return Cover{}, false
	}
	dug := slices.ContainsFunc(s.Events, func(e Event) bool { return e.What == DugUp && e.Seq > c.Seq && e.Touches(j) })
	return c, !dug
}
