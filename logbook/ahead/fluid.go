package ahead

import (
	"fmt"

	"coolhold/logbook"
)

// A FluidNeed is how much of a fluid brings a volume to a share: litres · share / 100.
// What it freezes at is read, never computed: no source here gives it.
type FluidNeed struct {
	Litres   *float64 `json:"litres,omitempty"` // the pipes hold, an upper figure
	SharePct *float64 `json:"share_pct,omitempty"`
	OfLitres *float64 `json:"of_it_litres,omitempty"`
	Unstated []string `json:"unstated,omitempty"`
}

// FluidNeedOf is that of a section; without a share it says what the section holds.
func FluidNeedOf(t TestSection, sharePct *float64) FluidNeed {
	n := FluidNeed{SharePct: sharePct, Unstated: t.Unstated()}
	if litres, known := t.Litres(); known {
		if n.Litres = six(litres); sharePct != nil {
			n.OfLitres = six(litres * *sharePct / 100)
		}
	}
	return n
}

// Line tells it.
func (n FluidNeed) Line() string {
	if n.Litres == nil {
		return "not reckoned: not stated of its pipe: size, class or length"
	}
	line := fmt.Sprintf("%.1f L, an upper figure", *n.Litres)
	if n.OfLitres != nil {
		line += fmt.Sprintf("; %g %% of it is %.1f L", *n.SharePct, *n.OfLitres)
	}
	return line
}

// A FluidLack is what is not known of a fluid that was filled in.
type FluidLack struct {
	FreezingUnread bool   `json:"freezing_unread,omitempty"`
	Instrument     bool   `json:"instrument_unnamed,omitempty"`
	MeantFor       string `json:"meant_for,omitempty"` // anything but yes
}

// FluidLacks asks of a fluid that is not water for its freezing point as read, by an
// instrument that is meant for it.
func FluidLacks(f logbook.FluidFilled) (l FluidLack) {
	if f.Content == logbook.ContentWater {
		return l
	}
	if f.FreezingC == nil {
		return FluidLack{FreezingUnread: true}
	}
	l.Instrument = f.Instrument == ""
	if f.MeantFor != logbook.Yes {
		l.MeantFor = f.MeantFor
		if l.MeantFor == "" {
			l.MeantFor = logbook.NotKnown
		}
	}
	return l
}

// Any tells whether it lacks anything.
func (l FluidLack) Any() bool { return l != (FluidLack{}) }

// Says tells what it lacks, each in a line.
func (l FluidLack) Says() (says []string) {
	if l.FreezingUnread {
		says = append(says, "its freezing point was not read")
	}
	if l.Instrument {
		says = append(says, "with what the freezing point was read is not named")
	}
	if l.MeantFor != "" {
		says = append(says, "the instrument is meant for that fluid: "+logbook.MeantFors.Word(l.MeantFor))
	}
	return says
}

// ContentOf is what is in a section now: as was said of it last, or of what holds it,
// whichever is newer.
func ContentOf(s logbook.Site, t TestSection) (last logbook.Filling, found bool) {
	for _, id := range []logbook.SectionID{t.ID, {Chamber: t.ID.Chamber}, {}} {
		if f, is := s.Loop.FillingOf(id); is && (!found || f.Seq > last.Seq) {
			last, found = f, true
		}
	}
	return last, found
}
