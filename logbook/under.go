package logbook

import "slices"

// Under is the cover that lies over a joint: its part was covered with ground,
// and the joint was not dug up since.
func (s Site) Under(j Joint) (Cover, bool) {
	c, ok := s.CoverOf(SectionOf(j))
	if !ok || !j.Counts() || s.DugSince(c, j) != nil {
		return Cover{}, false
	}
	return c, true
}

// DugSince is the last time that one of these joints was dug up after a cover.
func (s Site) DugSince(c Cover, joints ...Joint) *Event {
	for _, e := range slices.Backward(s.Events) {
		if e.What == DugUp && e.Seq > c.Seq && slices.ContainsFunc(joints, e.Touches) {
			return &e
		}
	}
	return nil
}
