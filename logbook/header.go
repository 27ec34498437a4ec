package logbook

// The ways of the headers, and the bars they come from, in full: the shorter words
// of the trade are used both ways.
const (
	FromGround = "from ground"
	ToGround   = "to ground"
)

// The same as the plan keeps them of a header and a marker writes them.
const (
	FG = "FG"
	TG = "TG"
)

// HeaderWay is the way of a header in full; "" of any other joint.
func (j Joint) HeaderWay() string {
	switch j.Way {
	case FG:
		return FromGround
	case TG:
		return ToGround
	}
	return ""
}

// WayMark is a way or a bar as a marker writes it; "" of anything else.
func WayMark(way string) string {
	switch way {
	case FromGround:
		return FG
	case ToGround:
		return TG
	}
	return ""
}
