package acts

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// LoopKinds are what can be read of a loop and taken back, by the verb that records it.
var LoopKinds = map[string]logbook.Kind{
	"flow": (logbook.FlowChecked{}).Kind(), "purge": (logbook.Purged{}).Kind(), "fluid": (logbook.FluidFilled{}).Kind(),
	"left": (logbook.LeftAs{}).Kind(),
}

// onLoop is an act on a section of a site, by name: it has happened, and is refused only
// for what no person can have meant.
func onLoop(h Head, what string, id logbook.SectionID, stated *time.Time, decide func(logbook.Reader, ahead.TestSection) (logbook.Body, error)) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		if err := named(h, what); err != nil {
			return nil, err
		}
		section, ok := ahead.TestSectionOf(r, h.Site, id)
		if !ok {
			return nil, fmt.Errorf("%s: no section of the site: %w", id, logbook.ErrUnknown)
		}
		if err := statedPressure(h, s, stated, nil); err != nil {
			return nil, err
		}
		b, err := decide(r, section)
		if err != nil {
			return nil, err
		}
		return Drafted(h, "", "", b), nil
	}
}

// CheckFlow records that one circuit was opened, and what the gauges showed.
func CheckFlow(h Head, b logbook.FlowChecked) Act {
	return onLoop(h, "a flow check", b.Section, b.Stated, func(r logbook.Reader, _ ahead.TestSection) (logbook.Body, error) {
		switch {
		case b.Section.Circuit == 0:
			return nil, logbook.Refuse("%s is no circuit: one circuit is opened, the others are shut", b.Section)
		case !logbook.Shuttings.Has(b.Shut):
			return nil, misSaid("how the other circuits were shut must be said: %s", logbook.Shuttings.Either())
		case !logbook.OtherFlows.Has(b.Others):
			return nil, misSaid("what the other gauges showed must be said: %s", logbook.OtherFlows.Either())
		case (b.Others == logbook.OthersFlow) != (len(b.Seen) > 0):
			return nil, misSaid("flow in another circuit is said with the circuits that showed it, and only then")
		}
		for i, o := range b.Seen {
			_, known := ahead.TestSectionOf(r, h.Site, o.Section)
			twice := slices.ContainsFunc(b.Seen[:i], func(p logbook.FlowSeen) bool { return p.Section == o.Section })
			if !known || o.Section.Circuit == 0 || o.Section == b.Section || twice {
				return nil, logbook.Refuse("%s showed flow besides: that is no other circuit of the site, named once", o.Section)
			}
			if err := sane("flow", o.LPM, logbook.FlowBounds); err != nil {
				return nil, err
			}
		}
		if err := sane("flow", b.LPM, logbook.FlowBounds); err != nil {
			return nil, err
		}
		return b, sane("largest flow of the gauge", b.GaugeMaxLPM, logbook.GaugeBounds)
	})
}

// sane refuses a figure that no person can have meant; one that is not known is none.
func sane(what string, x *float64, in fusion.Bounds) error {
	if x == nil || in.Holds(*x) {
		return nil
	}
	return misSaid("%s %s is no figure of %s", what, fusion.Figure(*x), in)
}

func saneC(what string, c *fusion.Celsius, in fusion.Bounds) error {
	if c == nil {
		return nil
	}
	return sane(what, new(float64(*c)/100), in)
}

// RecordPurge records a purge of a circuit, a header or more, as it was seen.
func RecordPurge(h Head, b logbook.Purged) Act {
	return onLoop(h, "a purge", b.Section, b.Stated, func(logbook.Reader, ahead.TestSection) (logbook.Body, error) {
		for _, fact := range [][2]string{{b.Bypassed, "heat pump bypassed"}, {b.Strainer, "strainer in"}, {b.Turned, "direction turned"}} {
			if !logbook.PurgeFacts.Has(fact[0]) {
				return nil, misSaid("%s must be said: %s", fact[1], logbook.PurgeFacts.Either())
			}
		}
		if b.Minutes != nil && b.AfterBubble != nil && *b.AfterBubble > *b.Minutes {
			return nil, misSaid("%s min after the last bubble are more than the %s min in all", fusion.Figure(*b.AfterBubble), fusion.Figure(*b.Minutes))
		}
		for _, err := range []error{sane("flow", b.LPM, logbook.FlowBounds), sane("minutes", b.Minutes, logbook.PurgeBounds), sane("minutes after the last bubble", b.AfterBubble, logbook.PurgeBounds), saneC("water", b.WaterC, logbook.WaterBounds)} {
			if err != nil {
				return nil, err
			}
		}
		if len(b.Pump) > 0 {
			if err := ahead.PumpOf(b.Pump).Check(); err != nil {
				return nil, misSaid("%s", err)
			}
		}
		return b, nil
	})
}

// FillFluid records what was filled into a section, and its freezing point as read.
func FillFluid(h Head, b logbook.FluidFilled) Act {
	return onLoop(h, "a filling", b.Section, b.Stated, func(logbook.Reader, ahead.TestSection) (logbook.Body, error) {
		switch {
		case !logbook.Contents.Has(b.Content):
			return nil, misSaid("what is in the pipe must be said: %s", logbook.Contents.Either())
		case b.Content != logbook.ContentWater && strings.TrimSpace(b.Name) == "":
			return nil, misSaid("the fluid must be named, as it stands on its can")
		case b.FreezingC != nil && !logbook.MeantFors.Has(b.MeantFor):
			return nil, misSaid("whether the instrument is meant for that fluid must be said: %s", logbook.MeantFors.Either())
		case b.FreezingC == nil && (b.MeantFor != "" || b.Instrument != ""):
			return nil, misSaid("an instrument is named and no freezing point: give what it read")
		}
		for _, err := range []error{sane("share", b.SharePct, logbook.ShareBounds), sane("litres", b.Litres, logbook.FillBounds), saneC("freezing point", b.FreezingC, logbook.FreezingBounds)} {
			if err != nil {
				return nil, err
			}
		}
		return b, nil
	})
}

// WithdrawLoop takes the newest flow check, purge or filling of a section, or how it was left, back, as a person
// saw it stand, by its number in the log: it was said by mistake.
func WithdrawLoop(h Head, what logbook.Kind, id logbook.SectionID, seen uint64, why string) Act {
	return onLoop(h, "taking it back", id, nil, func(r logbook.Reader, section ahead.TestSection) (logbook.Body, error) {
		s, _ := r.Site(h.Site)
		seq, found := newestLoop(s.Loop, what, id)
		switch {
		case !found:
			return nil, refuse(logbook.ErrRule, "%s: nothing of that is recorded there: there is nothing to take back", section.Name)
		case seq != seen:
			return nil, refuse(logbook.ErrRule, "%s: something newer was recorded meanwhile, look again", section.Name)
		}
		if err := named(h, "taking it back", why); err != nil {
			return nil, err
		}
		return logbook.LoopWithdrawn{What: what, Section: id, Why: strings.TrimSpace(why)}, nil
	})
}

// newestLoop is the number of the newest of a kind in a section.
func newestLoop(l logbook.LoopLog, what logbook.Kind, id logbook.SectionID) (seq uint64, found bool) {
	switch what {
	case LoopKinds["flow"]:
		f, is := l.FlowOf(id)
		return f.Seq, is
	case LoopKinds["purge"]:
		p, is := l.PurgeOf(id)
		return p.Seq, is
	case LoopKinds["fluid"]:
		f, is := l.FillingOf(id)
		return f.Seq, is
	case LoopKinds["left"]:
		f, is := l.LeftOf(id)
		return f.Seq, is
	}
	return 0, false
}

// NewestLoop is the same for who asks before taking it back.
func NewestLoop(r logbook.Reader, site string, what logbook.Kind, id logbook.SectionID) (seq uint64, found bool) {
	s, _ := r.Site(site)
	return newestLoop(s.Loop, what, id)
}
