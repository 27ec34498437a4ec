package ahead

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
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
	FreezingUnread bool     `json:"freezing_unread,omitempty"`
	Instrument     bool     `json:"instrument_unnamed,omitempty"`
	MeantFor       string   `json:"meant_for,omitempty"` // anything but yes
	Litres         *float64 `json:"litres,omitempty"`    // too few; with what there is room for
	RoomL          *float64 `json:"room_l,omitempty"`
	HoldsL         *float64 `json:"holds_l,omitempty"` // of an antifreeze: the pipe, its share as said and as the litres give it
	SharePct       *float64 `json:"share_pct,omitempty"`
	GivesPct       *float64 `json:"litres_give_pct,omitempty"`
	Purged         string   `json:"purged_since,omitempty"` // which sections, by name
}

// filledLeast is the share of the room that is held to be filled: litres go by the least
// wall and are an upper figure; and how far the share that was said may be from the one that
// the litres give. Our choice.
const filledLeast = 0.9

// FluidLacks asks of a fluid that is not water for its freezing point as read, by an
// instrument that is meant for it; whether so little was filled in that something else is
// in a part of the pipe; and whether it was purged since, which may have been with water.
func FluidLacks(s logbook.Site, t TestSection, f logbook.Filling) (l FluidLack) {
	if f.Content == logbook.ContentWater {
		return l
	}
	if l.FreezingUnread = f.FreezingC == nil; !l.FreezingUnread {
		l.Instrument = f.Instrument == ""
		if f.MeantFor != logbook.Yes {
			l.MeantFor = cmp.Or(f.MeantFor, logbook.NotKnown)
		}
	}
	if f.Content == logbook.ContentDosed {
		l.dosed(t, f)
	} else if room, known := t.Litres(); known && f.Litres != nil && *f.Litres < filledLeast*room {
		l.Litres, l.RoomL = f.Litres, rounded(room)
	}
	l.Purged = purgedSince(s, f)
	return l
}

// dosed compares the share that was said with the one that the litres give, the rest of the
// pipe being water.
func (l *FluidLack) dosed(t TestSection, f logbook.Filling) {
	holds, known := t.Litres()
	if !known || holds <= 0 || f.Litres == nil || f.SharePct == nil {
		return
	}
	gives := *f.Litres / holds * 100
	if gives < filledLeast**f.SharePct || gives > *f.SharePct/filledLeast {
		l.Litres, l.HoldsL, l.SharePct, l.GivesPct = f.Litres, rounded(holds), f.SharePct, rounded(gives)
	}
}

// purgedSince names the purges of a section, or of a part of it or all around it, that came
// after it was filled, nothing newer having been said of what is in there.
func purgedSince(s logbook.Site, f logbook.Filling) string {
	var names []string
	for _, p := range s.Loop.Purges {
		inner := p.Section
		if p.Section.Holds(f.Section) {
			inner = f.Section
		} else if !f.Section.Holds(p.Section) {
			continue
		}
		in, _ := ContentOf(s, TestSection{ID: inner})
		if name := p.Section.String(); p.Withdrawn == nil && f.When().Before(p.When()) && in.Seq == f.Seq && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Join(names, ", ")
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
	return append(says, l.Doubts()...)
}

// Doubts tells what makes it doubtful that the fluid is all that is in the pipe, each in a
// line.
func (l FluidLack) Doubts() (says []string) {
	if l.GivesPct != nil {
		says = append(says, fmt.Sprintf("%s L in %s L give about %.0f %%, the rest water, and %s %% was said", fusion.Figure(*l.Litres), fusion.Figure(*l.HoldsL), *l.GivesPct, fusion.Figure(*l.SharePct)))
	} else if l.Litres != nil {
		says = append(says, fmt.Sprintf("%s L were filled in and there is room for up to %s: what else is in the pipe was not said", fusion.Figure(*l.Litres), fusion.Figure(*l.RoomL)))
	}
	if l.Purged != "" {
		says = append(says, "purged since: "+l.Purged+": with water it is thinned or gone, and what is in the pipe now was not said")
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

// pipesIn are the sections of a site that are pipes (its circuits and headers) within one; a
// site or chamber without any is itself one.
func pipesIn(sections []TestSection, id logbook.SectionID) (out []TestSection) {
	for _, t := range sections {
		if id.Holds(t.ID) && (t.ID.Circuit > 0 || t.ID.Way != "") {
			out = append(out, t)
		}
	}
	if len(out) == 0 {
		return []TestSection{{ID: id, Name: id.Name()}}
	}
	return out
}

// FillingStands tells whether something is the last that was said of what is in a section,
// or at least in some pipe of it: where a newer one was filled into all of them it is history.
func FillingStands(sections []TestSection, s logbook.Site, f logbook.Filling) bool {
	if newest, found := s.Loop.FillingOf(f.Section); !found || newest.Seq != f.Seq {
		return false
	}
	return slices.ContainsFunc(pipesIn(sections, f.Section), func(t TestSection) bool {
		in, _ := ContentOf(s, t)
		return in.Seq == f.Seq
	})
}

// ContentOfParts says what was said of parts of a section since it was said of the whole, or
// where nothing was said of that: those with the same in them together, and of which nothing
// was said. Nil: there is nothing beside what was said of the section.
func ContentOfParts(sections []TestSection, s logbook.Site, t TestSection) (says []string) {
	whole, said := ContentOf(s, t)
	var words, others []string
	names := map[string][]string{}
	for _, part := range pipesIn(sections, t.ID) {
		in, found := ContentOf(s, part)
		switch {
		case part.ID == t.ID || found && said && in.Seq == whole.Seq:
			continue
		case !found:
			others = append(others, part.Name)
			continue
		}
		word := logbook.Joined(", ", logbook.Contents.Word(in.Content), in.Name)
		if names[word] == nil {
			words = append(words, word)
		}
		names[word] = append(names[word], part.Name)
	}
	for _, word := range words {
		says = append(says, "in "+strings.Join(names[word], ", ")+": "+word)
	}
	if len(says) > 0 && len(others) > 0 {
		says = append(says, "of "+strings.Join(others, ", ")+" it was not said")
	}
	return says
}
