package audit_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// typed takes rows of a sheet in.
func (c *team) typed(rows ...acts.LateWeld) {
	c.T.Helper()
	c.Do(acts.Transcribe(c.by("Odile Typist"), rows))
}

// row is a weld of 1B on a sheet, changed as given.
func (c *team) row(file string, change func(*acts.LateWeld)) acts.LateWeld {
	m, ended := well(), c.H.At.Local().Add(-20*time.Minute)
	l := acts.LateWeld{
		Joint: "1B", Operator: crew.Ada, Unit: crew.Unit, Corrects: logbook.No, Answers: m.given(), Ambient: 9_00,
		Mode: logbook.ModeKeyed, SecondsShown: 40, VoltsShown: new(39.5), Ohms: new(2.4), CoolingMin: 6,
		Started: ended.Add(-40 * time.Second), Ended: ended, Outcome: logbook.Completed, Run: new(40), Look: m.hot,
		HoldStated: true, Released: ended.Add(8 * time.Minute), Why: "nothing left blank",
		Paper: &logbook.PaperRow{File: file, Line: 2, Key: file},
	}
	change(&l)
	return l
}

// back states a row for an earlier time.
func back(l *acts.LateWeld, by time.Duration) {
	for _, at := range []*time.Time{&l.Started, &l.Ended, &l.Released} {
		if !at.IsZero() {
			*at = at.Add(-by)
		}
	}
}

// A weld that follows another in its joint cannot be older than the cut-out, be that
// told on another sheet or on the board. It happened, so it is taken, and asked about.
func TestAReplacementBeforeItsCutOut(t *testing.T) {
	const rule = "welded-before-cut-out"
	cut := func(l *acts.LateWeld) { l.CutOut, l.Released = "clamp slipped", time.Time{} }
	tests := []struct {
		name, says string
		seed       func(*team)
	}{
		{"on a second sheet, before the other was made", "KM-0002 is stated for 2026-03-09 08:09, before KM-0001 was fused, which stood in its joint and was cut out since, 2026-03-09 09:40", func(c *team) {
			c.Wait(2 * time.Hour)
			c.typed(c.row("first.csv", cut))
			c.typed(c.row("second.csv", func(l *acts.LateWeld) { back(l, time.Hour+30*time.Minute) }))
		}},
		{"on a second sheet, after it", "", func(c *team) {
			c.Wait(2 * time.Hour)
			c.typed(c.row("first.csv", func(l *acts.LateWeld) { cut(l); back(l, time.Hour) }))
			c.typed(c.row("second.csv", func(*acts.LateWeld) {}))
		}},
		{"on a second sheet, after one whose end nobody wrote down", "", func(c *team) {
			c.Wait(2 * time.Hour)
			c.typed(c.row("first.csv", func(l *acts.LateWeld) { cut(l); back(l, time.Hour); l.Ended = time.Time{} }))
			c.typed(c.row("second.csv", func(*acts.LateWeld) {}))
		}},
		{"in one file, after it", "", func(c *team) {
			c.Wait(2 * time.Hour)
			first := c.row("first.csv", func(l *acts.LateWeld) { cut(l); back(l, time.Hour) })
			second := c.row("first.csv", func(l *acts.LateWeld) { l.Paper.Line, l.Paper.Key = 3, "other" })
			c.typed(first, second)
		}},
		{"an earlier attempt told later, cut out too", "", func(c *team) {
			c.Wait(2 * time.Hour)
			c.typed(c.row("first.csv", cut))
			c.typed(c.row("second.csv", func(l *acts.LateWeld) { cut(l); back(l, time.Hour) }))
		}},
		{"before a cut-out on the board", "before KM-0001 was recorded as cut out of its joint, 2026-03-09 0", func(c *team) {
			id := c.made("1B", well())
			c.Wait(time.Hour)
			c.Do(acts.Cut(c.H, id, "crooked"))
			c.typed(c.row("first.csv", func(*acts.LateWeld) {}))
		}},
		{"after a cut-out on the board", "", func(c *team) {
			c.Do(acts.Cut(c.H, c.made("1B", well()), "crooked"))
			c.Wait(time.Hour)
			c.typed(c.row("first.csv", func(*acts.LateWeld) {}))
		}},
		{"of another joint", "", func(c *team) {
			id := c.made("1A", well())
			c.Wait(time.Hour)
			c.Do(acts.Cut(c.H, id, "crooked"))
			c.typed(c.row("first.csv", func(*acts.LateWeld) {}))
		}},
		{"corrected back before it", "KM-0002 is stated for 2026-03-09 0", func(c *team) {
			c.Wait(2 * time.Hour)
			c.typed(c.row("first.csv", func(l *acts.LateWeld) { cut(l); back(l, time.Hour) }))
			c.typed(c.row("second.csv", func(*acts.LateWeld) {}))
			c.correct("KM-0002", "started", c.fusedAt("KM-0002").Add(-100*time.Minute).Format(time.RFC3339))
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			tt.seed(c)
			c.says(rule, tt.says)
		})
	}
}

// What a look from paper leaves blank is neither seen nor unseen: nobody said.
func TestWhatALookOnPaperLeavesUnsaid(t *testing.T) {
	again := func(change func(*logbook.Look)) func(*team) {
		return func(c *team) {
			id := c.made("1B", well())
			c.Wait(time.Hour)
			l := c.row("look.csv", func(l *acts.LateWeld) {
				*l = acts.LateWeld{Again: true, Joint: "1B", Operator: "Hedda Invented", Started: c.H.At.Local().Add(-time.Minute), Look: logbook.Look{Indicators: []string{logbook.Up, logbook.Up}}, Paper: l.Paper}
				change(&l.Look)
			})
			c.typed(l)
			if w := c.Weld(id); len(w.Looks) != 3 {
				c.T.Errorf("%d looks", len(w.Looks))
			}
		}
	}
	tests := []struct {
		name, says string
		seed       func(*team)
	}{
		{"all said", "", onSheet(func(*acts.LateWeld) {})},
		{"two things", "KM-0001: nobody said after fusion: melt, straight", onSheet(func(l *acts.LateWeld) { l.Look.Melt, l.Look.Straight = "", "" })},
		{"the indicators", "nobody said after fusion: indicators", onSheet(func(l *acts.LateWeld) { l.Look.Indicators = nil })},
		{"could not be looked at is said", "", onSheet(func(l *acts.LateWeld) { l.Look.Melt = logbook.Unseen })},
		{"no look at all is work", "", onSheet(func(l *acts.LateWeld) { l.Look = logbook.Look{} })},
		{"said at a later look", "", func(c *team) {
			onSheet(func(l *acts.LateWeld) { l.Look.Melt = "" })(c)
			c.Wait(time.Hour)
			c.again(c.foreman(), "KM-0001", logbook.IndicatorsRead{Look: func() logbook.Look { l := well().hot; l.Felt = "firm"; return l }()})
		}},
		{"corrected by the paper", "", func(c *team) {
			onSheet(func(l *acts.LateWeld) { l.Look.Melt = "" })(c)
			c.correct("KM-0001", "melt after fusion (look 1)", "none")
		}},
		{"another look", "nobody said at another look: melt, wire, marks, straight, felt", again(func(*logbook.Look) {})},
		{"another look, felt too", "nobody said at another look: melt, wire, marks, straight", again(func(l *logbook.Look) { l.Felt = "firm" })},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			tt.seed(c)
			c.says(audit.LookUnsaid, tt.says)
			if tt.name != "could not be looked at is said" {
				c.says("not-seen", "")
			}
		})
	}
}

// One indicator of two on paper leaves the other unsaid.
func TestOneIndicatorOfTwoOnPaper(t *testing.T) {
	c := onSite(t)
	twoIndicators(func(*manner) {})(c)
	c.Joint("1A")
	c.typed(c.row("first.csv", func(l *acts.LateWeld) { l.Joint, l.Look.Indicators = "1A", []string{logbook.Up} }))
	c.says(audit.LookUnsaid, "KM-0002: nobody said after fusion: indicators")
}

// What nobody said of method, print and unit is asked, where nothing else says it.
func TestUnsaidOnPaper(t *testing.T) {
	for _, tt := range []struct {
		name, says string
		change     func(*acts.LateWeld)
	}{
		{"all said", "", func(*acts.LateWeld) {}},
		{"the method", "KM-0001: nobody said: scraping method", unsaid(logbook.ItemMethod)},
		{"the method, nothing being scraped", "", func(l *acts.LateWeld) {
			unsaid(logbook.ItemMethod)(l)
			for i := range l.Answers {
				if l.Answers[i].Item == logbook.ItemScraped {
					l.Answers[i].V = logbook.CouldNot
				}
			}
		}},
		{"the print", "nobody said: pipe print", unsaid(logbook.ItemPrint)},
		{"whether the unit corrects, and the shift knows it", "", func(l *acts.LateWeld) { l.Corrects = "" }},
		{"whether the unit corrects", "nobody said: unit corrects", func(l *acts.LateWeld) { l.Corrects, l.Unit = "", "CU-77" }},
		{"it is not known whether the unit corrects", "nobody said: unit corrects", func(l *acts.LateWeld) { l.Corrects, l.Unit = logbook.NotKnown, "CU-77" }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			onSheet(tt.change)(c)
			c.says("unsaid-on-paper", tt.says)
		})
	}
	c := onSite(t)
	late(unsaid(logbook.ItemPrint))(c)
	c.says("unsaid-on-paper", "") // the form asks it
}

// A remark is read by somebody who neither wrote nor typed it. One of another look too.
func TestARemarkIsRead(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.typed(c.row("first.csv", func(l *acts.LateWeld) { l.Remarks = "the clamp slipped" }))
	c.says(audit.RemarkToRead, `KM-0002: remark on paper: "the clamp slipped"`)
	f := only(t, c.run(), audit.RemarkToRead)
	for _, name := range []string{"Typist, Odile", crew.Ada} {
		if err := c.Try(acts.Accept(c.by(name), none, f.Judged(), "no matter")); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), "somebody else must accept this") {
			t.Errorf("%s: %v", name, err)
		}
	}
	c.Do(acts.Accept(c.foreman(), none, f.Judged(), "looked at it: it sits right"))
	if f := only(t, c.run(), audit.RemarkToRead); !f.Settled {
		t.Error("open when another has read it")
	}
	c.Do(acts.NoteOn(c.H, "KM-0002", "seen"))
	if f := only(t, c.run(), audit.RemarkToRead); !f.Settled {
		t.Error("a note opens it again")
	}
	c.typed(c.row("look.csv", func(l *acts.LateWeld) {
		*l = acts.LateWeld{Again: true, Joint: "1A", Operator: "Hedda Invented", Started: c.H.At.Local(), Look: well().hot, Remarks: "a crack", Paper: l.Paper}
		l.Look.Felt = "firm"
	}))
	for _, f := range c.run().OfWeld("KM-0001") {
		if f.Rule == audit.RemarkToRead {
			if err := c.Try(acts.Accept(c.by("Odile Typist"), none, f.Judged(), "no matter")); err == nil {
				t.Error("the typist of a look passes its remark")
			}
			return
		}
	}
	t.Error("the remark of a look is told by nobody")
}
