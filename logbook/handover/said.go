package handover

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// said are the newest words on one matter of each section, the widest section first. What
// was said later of a section that holds another counts for that one too.
func (g gathering) said(says func(logbook.LeftAs) string, ages bool) []Said {
	var all []statement
	for _, l := range g.s.Loop.Lefts {
		if words := says(l.LeftAs); l.Withdrawn == nil && words != "" {
			all = append(all, statement{l.Section, words, l.By, l.When(), ""})
		}
	}
	return g.counting(all, ages)
}

// valves are how the valves were left, those of a section with some shut first.
func (g gathering) valves() []Said {
	var all []statement
	for _, l := range g.s.Loop.Lefts {
		if words := ahead.ValvesLeft(g.s, l).ValveLine(); l.Withdrawn == nil && words != "" {
			all = append(all, statement{l.Section, words, l.By, l.When(), ""})
		}
	}
	slices.SortStableFunc(all, func(a, b statement) int { return cmp.Compare(shutFirst(a.words), shutFirst(b.words)) })
	return g.telling(all, true)
}

// shutFirst sorts words on valves: those of which one is shut come first.
func shutFirst(words string) int {
	if strings.Contains(words, "SHUT:") {
		return 0
	}
	return 1
}

// saidOf is the same of one section alone.
func (g gathering) saidOf(id logbook.SectionID, says func(logbook.LeftAs) string) *Said {
	for _, s := range g.said(func(l logbook.LeftAs) string {
		if l.Section != id {
			return ""
		}
		return says(l)
	}, false) {
		return &s
	}
	return nil
}

// A statement is what was said of a section, before it is known whether it still counts.
type statement struct {
	id    logbook.SectionID
	words string
	by    string
	when  logbook.Timed
	test  string // a pressure test that it ended
}

// counting leaves out what something newer took the place of.
func (g gathering) counting(all []statement, ages bool) []Said {
	counts := slices.DeleteFunc(slices.Clone(all), func(s statement) bool {
		return slices.ContainsFunc(all, func(o statement) bool { return o.id.Holds(s.id) && s.when.Before(o.when) })
	})
	return g.telling(counts, ages)
}

// telling are statements that count, as they are told: the widest section first.
func (g gathering) telling(counts []statement, ages bool) []Said {
	slices.SortStableFunc(counts, func(a, b statement) int {
		return cmp.Or(cmp.Compare(width(a.id), width(b.id)), cmp.Compare(a.id.Chamber, b.id.Chamber), cmp.Compare(a.id.Way, b.id.Way), cmp.Compare(a.id.Circuit, b.id.Circuit))
	})
	out := []Said{}
	for _, s := range counts {
		said := Said{Section: g.name(s.id), Words: s.words, By: s.by, On: s.when.Local().Format(dayOf)}
		if ages {
			said.Since = g.since(s)
		}
		out = append(out, said)
	}
	return out
}

// width sorts sections, the widest first.
func width(id logbook.SectionID) int {
	switch {
	case id.Circuit > 0:
		return 3
	case id.Way != "":
		return 2
	case id.Chamber != "":
		return 1
	}
	return 0
}

// since is what was done to a section after something was said of it: a test, a purge or a
// filling goes by valves and ends with another pressure.
func (g gathering) since(s statement) (out []string) {
	later := func(id logbook.SectionID, at logbook.Timed) bool { return meet(id, s.id) && s.when.Before(at) }
	for _, t := range g.s.Tests {
		if t.Counts() && t.ID != s.test && later(t.Section, t.When()) {
			out = append(out, fmt.Sprintf("pressure test %s of %s, %s", t.ID, g.name(t.Section), t.When().Local().Format(dayOf)))
		}
	}
	for _, p := range g.s.Loop.Purges {
		if p.Withdrawn == nil && later(p.Section, p.When()) {
			out = append(out, fmt.Sprintf("purge of %s, %s", g.name(p.Section), p.When().Local().Format(dayOf)))
		}
	}
	for _, f := range g.s.Loop.Fillings {
		if f.Withdrawn == nil && later(f.Section, f.When()) {
			out = append(out, fmt.Sprintf("filling of %s, %s", g.name(f.Section), f.When().Local().Format(dayOf)))
		}
	}
	for _, e := range g.s.Events {
		if e.What == logbook.PressureLost && e.Seq > s.when.Seq {
			out = append(out, e.Place())
		}
	}
	return out
}

// pressure is what was left standing, as it was said or as a test ended, and each test that
// goes on: there the pipe is under pressure now.
func (g gathering) pressure() []Said {
	var all []statement
	for _, l := range g.s.Loop.Lefts {
		if words := l.PressureLine(); l.Withdrawn == nil && words != "" {
			all = append(all, statement{l.Section, words, l.By, l.When(), ""})
		}
	}
	for _, t := range g.s.Tests {
		if !t.Counts() || t.Ended == nil || t.Ended.LeftBar == nil {
			continue
		}
		words := fusion.Figure(*t.Ended.LeftBar) + " bar left standing after its pressure test"
		if *t.Ended.LeftBar == 0 {
			words = "let off after its pressure test"
		}
		all = append(all, statement{t.Section, words, t.Ended.By, t.Ended.When(), t.ID})
	}
	out := g.counting(all, true)
	for _, t := range g.s.Tests {
		if t.Open() {
			out = append([]Said{{Section: g.name(t.Section), Words: "UNDER PRESSURE NOW: pressure test " + t.ID + " goes on", By: t.By, On: t.When().Local().Format(dayOf)}}, out...)
		}
	}
	return out
}

// call is who is to be called, as it was said last.
func (g gathering) call() *Calling {
	var last *logbook.Left
	for _, l := range g.s.Loop.Lefts {
		if l.Call != nil && l.Withdrawn == nil && (last == nil || !l.When().Before(last.When())) {
			last = &l
		}
	}
	if last == nil {
		return nil
	}
	return &Calling{*last.Call, last.By, last.When().Local().Format(dayOf)}
}

// NotRecorded is the heading and the word of what nobody recorded.
const NotRecorded = "NOT RECORDED"

// contents are what is in the pipes, those with the same in them together.
func (g gathering) contents() []Content {
	out := []Content{}
	at := map[uint64]int{}
	pipes := g.pipes()
	for _, t := range pipes {
		f, found := ahead.ContentOf(g.s, t)
		if !found {
			f = logbook.Filling{}
		}
		i, had := at[f.Seq]
		if !had {
			i = len(out)
			at[f.Seq], out = i, append(out, contentOf(f, found))
			if found {
				out[i] = g.doubted(out[i], f)
			}
		}
		out[i].Where = append(out[i].Where, t.Name)
	}
	if len(out) == 1 {
		out[0].Where = []string{logbook.Whole}
	}
	return out
}

// doubted is what is in a pipe with why it may not be all.
func (g gathering) doubted(c Content, f logbook.Filling) Content {
	t, _ := g.section(f.Section)
	c.doubts = ahead.FluidLacks(g.s, t, f).Doubts()
	c.Words = strings.Join(append([]string{c.Words}, c.doubts...), "; ")
	return c
}

func contentOf(f logbook.Filling, found bool) Content {
	if !found {
		return Content{Words: NotRecorded, Freezing: "not known: take it for water that freezes at 0 °C; ask, or have it read with an instrument meant for what is in it"}
	}
	c := Content{Content: f.Content, Words: strings.ToUpper(logbook.Contents.Word(f.Content)), By: f.By, On: f.When().Local().Format(dayOf)}
	if f.Content == logbook.ContentWater {
		c.Freezing = "it may freeze at 0 °C; what must be in it, the heat pump's maker and the designer say"
		return c
	}
	c.Words = logbook.Contents.Word(f.Content) + ": " + f.Name
	if f.SharePct != nil {
		c.Words += fmt.Sprintf(", %s %% by volume", fusion.Figure(*f.SharePct))
	}
	if f.Inhibitor != "" {
		c.Words += ", inhibitor " + f.Inhibitor
	}
	if f.Batch != "" {
		c.Words += ", batch " + f.Batch
	}
	if f.FreezingC == nil {
		c.Freezing = "its freezing point was NOT READ: have it read with an instrument meant for this fluid"
		return c
	}
	c.FreezingC, c.Instrument, c.MeantFor = f.FreezingC, f.Instrument, cmp.Or(f.MeantFor, logbook.NotKnown)
	c.Freezing = fmt.Sprintf("freezes at %s °C, as read with %s; meant for this fluid: %s", f.FreezingC, cmp.Or(f.Instrument, "an instrument not named"), logbook.MeantFors.Word(c.MeantFor))
	return c
}
