package logbook

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
)

// onPaper is a row: a weld of the crew's day, changed as given, on that line.
func (c *crew) onPaper(line int, change func(*LateWeld)) LateWeld {
	l := c.lateWeld(func(l *LateWeld) {
		l.Started = l.Started.Add(-time.Duration(60-line) * time.Minute)
		l.Ended = l.Started.Add(40 * time.Second)
		l.HoldStated, l.Why = true, "nothing left blank"
		change(l)
	})
	l.Paper = &PaperRow{File: "van.csv", Row: line, Key: fmt.Sprintf("key %d", line)}
	return l
}

func onJointOf(label string) func(*LateWeld) { return func(l *LateWeld) { l.Joint = label } }

func TestTranscribe(t *testing.T) {
	c := onSite(t)
	rows := []LateWeld{c.onPaper(3, onJointOf("2b")), c.onPaper(2, onJointOf("2A"))}
	rows[0].Answers[0].V = "Coupler 40"
	c.h.By = "Bo Invented"
	c.do(Transcribe(c.h, rows))
	first, second := c.weld("KM-0001"), c.weld("KM-0002")
	if first.Joint != "2A" || second.Joint != "2B" { // in the order of their start
		t.Errorf("%s and %s", first.Joint, second.Joint)
	}
	if first.Paper == nil || *first.Paper != *rows[1].Paper || first.LateBy != "Bo Invented" || first.Operator != ada || first.Shift != "2026-03-09" {
		t.Errorf("entered as %+v", first)
	}
	before := len(c.entries)
	c.do(Transcribe(c.h, rows))
	if len(c.entries) != before {
		t.Error("the second time changed something")
	}
	c.do(Transcribe(c.h, append(rows, c.onPaper(9, onJointOf("1A")))))
	if got := c.weld("KM-0003"); got.Joint != "1A" || len(c.entries) == before {
		t.Errorf("what was new is %+v", got)
	}
	if a := rows[0].Answers[0]; a.V != "Coupler 40" || a.How == Later || rows[0].Joint != "2b" || rows[0].Paper.Row != 3 {
		t.Error("the rows of the caller were changed")
	}
	c.wantRebuilt()
}

// What was not written down is not there, and nothing takes its place.
func TestTranscribeBlanks(t *testing.T) {
	c := onSite(t)
	c.do(Transcribe(c.h, []LateWeld{c.onPaper(2, func(l *LateWeld) {
		*l = LateWeld{Joint: "2A", Operator: ada, NoAmbient: true, Started: l.Started, Outcome: Completed, Why: "left blank: nearly all"}
	})}))
	w := c.weld("KM-0001")
	if w.Ambient != nil || len(w.Answers) != 0 || len(w.Looks) != 0 || w.Run != nil || w.Ohms.Ohms != nil || w.Ended == nil || w.EndedStated != nil || w.Corrects != "" {
		t.Errorf("entered as %+v", w)
	}
	if s := w.Settings; !s.SecondsUnsaid || s.Unlike() != "" || s.Band != nil || s.CoolingMin != 0 || s.Mode != "" {
		t.Errorf("settings %+v", s)
	}
	for _, line := range []string{"seconds set not written down", "resistance not written down", "seconds run not written down", "transcribed from paper (van.csv, line 2): left blank: nearly all"} {
		if !slices.ContainsFunc(w.Trail, func(e Entry) bool { return strings.Contains(TraceOf(e).Line, line) }) {
			t.Errorf("the trail does not say %q", line)
		}
	}
	c.do(Correct(c.h, w.ID, "seconds set", "41", "read off the paper once more"))
	if got := c.weld(w.ID).Settings; got.SecondsUnsaid || got.SecondsShown != 41 {
		t.Errorf("corrected to %+v", got)
	}
	c.wantRebuilt()
}

func TestTranscribeFacts(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*LateWeld)
		holds  func(Weld) bool
	}{
		{"seconds left blank, the table known", func(l *LateWeld) { l.SecondsShown = 0 }, func(w Weld) bool { return w.Settings.SecondsTable == 40 && w.Settings.Unlike() == "" }},
		{"how the time came left blank", func(l *LateWeld) { l.Mode, l.SecondsShown = "", 44 }, func(w Weld) bool { return w.Settings.Unlike() != "" }},
		{"volts unlike though seconds blank", func(l *LateWeld) { l.SecondsShown, l.VoltsShown = 0, ptr(30.0) }, func(w Weld) bool { return w.Settings.Unlike() != "" }},
		{"cooling printed longer", func(l *LateWeld) { l.CoolingMin = 9 }, func(w Weld) bool {
			return w.Settings.CoolingMin == 9 && w.Settings.CoolingHow == Later && len(w.Notes) == 0
		}},
		{"cooling printed shorter", func(l *LateWeld) { l.CoolingMin = 5 }, func(w Weld) bool {
			return w.Settings.CoolingMin == 6 && strings.Contains(w.Notes[0].Text, "stated as 5 min")
		}},
		{"disturbed early", func(l *LateWeld) { l.Disturbed = ptr(5) }, func(w Weld) bool { return w.Disturbed.Early && w.Disturbed.AfterMin == 5 && !w.Holding() }},
		{"disturbed late", func(l *LateWeld) { l.Disturbed = ptr(6) }, func(w Weld) bool { return !w.Disturbed.Early }},
		{"disturbed, cooling not known", func(l *LateWeld) { l.Disturbed, l.NoAmbient = ptr(60), true }, func(w Weld) bool { return w.Disturbed.Early }},
		{"disturbed in a hold that still runs", func(l *LateWeld) {
			l.Started = l.Started.Add(57 * time.Minute)
			l.Ended, l.Disturbed = l.Started.Add(40*time.Second), ptr(8)
		}, func(w Weld) bool { return w.Disturbed.Early }},
		{"cut out since", func(l *LateWeld) { l.CutOut = "clamp slipped" }, func(w Weld) bool { return w.CutOut != nil && w.CutWhy == "clamp slipped" && !w.Stands() }},
		{"remarks", func(l *LateWeld) { l.Remarks = "rain" }, func(w Weld) bool { return w.Notes[0].Text == "rain" }},
		{"one indicator of two written", func(l *LateWeld) { l.Look.Indicators = []string{Up} }, func(w Weld) bool { return len(w.Looks[0].Indicators) == 1 }}, // the table does not say how many
		{"none of the indicators written", func(l *LateWeld) { l.Look.Indicators = nil }, func(w Weld) bool { return w.Looks[0].Indicators[0] == Unseen }},
		{"a fitting in other letters", func(l *LateWeld) { l.Answers[0].V = "Coupler  40" }, func(w Weld) bool { return w.Fitting() == "coupler 40" }},
		{"looked at though nobody saw the end", func(l *LateWeld) { l.Outcome, l.Run = NotSeen, nil }, func(w Weld) bool { return len(w.Looks) == 1 && !w.RunAsked }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			c.do(Transcribe(c.h, []LateWeld{c.onPaper(2, tt.change)}))
			if w := c.weld("KM-0001"); !tt.holds(w) {
				t.Errorf("entered as %+v, settings %+v", w, w.Settings)
			}
			c.wantRebuilt()
		})
	}
}

// The shift of a row is that of its day, its operator's where there were two.
func TestTranscribeShift(t *testing.T) {
	c := onSite(t)
	c.do(CloseShift(c.h))
	c.do(StartShift(c.h, ShiftStarted{Day: "2026-03-09", Operators: []Operator{{Name: "Bo"}}, Units: []Unit{{Serial: unit}}}))
	c.wait(48 * time.Hour)
	back := -47 * time.Hour
	row := func(line int, joint, operator string, day time.Duration) LateWeld {
		return c.onPaper(line, func(l *LateWeld) {
			l.Joint, l.Operator, l.Started, l.Ended = joint, operator, l.Started.Add(back+day), time.Time{}
		})
	}
	c.do(Transcribe(c.h, []LateWeld{row(2, "1A", ada, 0), row(3, "1B", "Bo", 0), row(4, "2A", "Cy", 0), row(5, "2B", ada, 24*time.Hour)}))
	for id, want := range map[string]string{"KM-0001": "2026-03-09", "KM-0002": "2026-03-09b", "KM-0003": "2026-03-09", "KM-0004": ""} {
		if got := c.weld(id).Shift; got != want {
			t.Errorf("%s is of shift %q, want %q", id, got, want)
		}
	}
}

// All faults come at once, with their lines, and nothing is written.
func TestTranscribeRefused(t *testing.T) {
	c := onSite(t)
	c.fused("1A")
	c.do(StrikeJoint(c.h, "E1", "not needed"))
	at := func(field *time.Time, by time.Duration) { *field = c.h.At.Local().Add(by) }
	rows := []LateWeld{
		c.onPaper(2, onJointOf("1a")),
		c.onPaper(3, onJointOf("9Z")),
		c.onPaper(4, onJointOf("E1")),
		c.onPaper(5, func(l *LateWeld) { at(&l.Started, time.Hour) }),
		c.onPaper(6, func(l *LateWeld) { at(&l.Started, 24*time.Hour) }),
		c.onPaper(7, func(l *LateWeld) { at(&l.Started, -24*time.Hour) }),
		c.onPaper(8, func(l *LateWeld) { at(&l.Released, time.Minute) }),
		c.onPaper(9, func(l *LateWeld) { l.Joint, l.Ended = "1B", l.Started.Add(-time.Minute) }),
		c.onPaper(10, onJointOf("2A")),
		c.onPaper(11, onJointOf("2A")),
		c.onPaper(12, onJointOf("2B")),
	}
	before := len(c.entries)
	err := c.try(Transcribe(c.h, rows))
	want := `2: joint: KM-0001 stands in 1A: say first that it was cut out, on the board at the joint (Enter)
3: joint: "9Z" is no joint of this site; open are 1B, 2A, 2B, FG
4: joint: joint E1 was struck off or split
5: start: 2026-03-09 09:00 is still to come: it is 2026-03-09 08:00
5: end: `
	faults, is := AsRowFaults(err)
	if !is || len(faults) < 9 {
		t.Fatalf("got %v", err)
	}
	for _, line := range append(strings.Split(want, "\n")[:4], "6: date: 2026-03-10 is still to come: today is 2026-03-09", "7: date: 2026-03-08 is before the site was opened in this log, 2026-03-09",
		"8: released_at: 2026-03-09 08:01 is still to come", "9: joint: the stated times are not in order", "11: joint: the weld of line 10 stands in 2A: if it was cut out, write why in its column cut_out") {
		if !strings.Contains(err.Error(), line) {
			t.Errorf("%q is missing in\n%v", line, err)
		}
	}
	if len(c.entries) != before || strings.Contains(err.Error(), "12:") {
		t.Errorf("half taken, or too much said: %v", err)
	}
	c.h.By = " "
	c.refused(Transcribe(c.h, rows[10:]), ErrRule, "needs a name")
	c.h.Site = "elsewhere"
	if err := c.try(Transcribe(c.h, rows[10:])); !errors.Is(err, ErrUnknown) {
		t.Errorf("got %v", err)
	}
}
