package acts_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// onPaper is a row: a weld of the crew's day, changed as given, on that line.
func onPaper(c *crew.Crew, line int, change func(*acts.LateWeld)) acts.LateWeld {
	l := c.LateWeld(func(l *acts.LateWeld) {
		l.Started = l.Started.Add(-time.Duration(60-line) * time.Minute)
		l.Ended = l.Started.Add(40 * time.Second)
		l.HoldStated, l.Why = true, "nothing left blank"
		change(l)
	})
	l.Paper = &logbook.PaperRow{File: "van.csv", Line: line, Key: fmt.Sprintf("key %d", line)}
	return l
}

func onJointOf(label string) func(*acts.LateWeld) { return func(l *acts.LateWeld) { l.Joint = label } }

func TestTranscribe(t *testing.T) {
	c := crew.OnSite(t)
	rows := []acts.LateWeld{onPaper(c, 3, onJointOf("2b")), onPaper(c, 2, onJointOf("2A"))}
	rows[0].Answers[0].V = "Coupler 40"
	c.H.By = "Bo Invented"
	c.Do(acts.Transcribe(c.H, rows))
	first, second := c.Weld("KM-0001"), c.Weld("KM-0002")
	if first.Joint != "2A" || second.Joint != "2B" { // in the order of their start
		t.Errorf("%s and %s", first.Joint, second.Joint)
	}
	if first.Paper == nil || *first.Paper != *rows[1].Paper || first.LateBy != "Bo Invented" || first.Operator != crew.Ada || first.Shift != "2026-03-09" {
		t.Errorf("entered as %+v", first)
	}
	before := len(c.Entries)
	c.Do(acts.Transcribe(c.H, rows))
	if len(c.Entries) != before {
		t.Error("the second time changed something")
	}
	c.Do(acts.Transcribe(c.H, append(rows, onPaper(c, 9, onJointOf("1A")))))
	if got := c.Weld("KM-0003"); got.Joint != "1A" || len(c.Entries) == before {
		t.Errorf("what was new is %+v", got)
	}
	if a := rows[0].Answers[0]; a.V != "Coupler 40" || a.How == logbook.Later || rows[0].Joint != "2b" || rows[0].Paper.Line != 3 {
		t.Error("the rows of the caller were changed")
	}
	c.WantRebuilt()
}

// What was not written down is not there, and nothing takes its place.
func TestTranscribeBlanks(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.Transcribe(c.H, []acts.LateWeld{onPaper(c, 2, func(l *acts.LateWeld) {
		*l = acts.LateWeld{Joint: "2A", Operator: crew.Ada, NoAmbient: true, Started: l.Started, Outcome: logbook.Completed, Why: "left blank: nearly all"}
	})}))
	w := c.Weld("KM-0001")
	if w.Ambient != nil || len(w.Answers) != 0 || len(w.Looks) != 0 || w.Run != nil || w.Ohms.Ohms != nil || w.Ended == nil || w.EndedStated != nil || w.Corrects != "" {
		t.Errorf("entered as %+v", w)
	}
	if s := w.Settings; !s.SecondsUnsaid || s.Unlike() != "" || s.Band != nil || s.CoolingMin != 0 || s.Mode != "" {
		t.Errorf("settings %+v", s)
	}
	for _, line := range []string{"seconds set not written down", "resistance not written down", "seconds run not written down", "transcribed from paper (van.csv, line 2): left blank: nearly all"} {
		if !slices.ContainsFunc(w.Trail, func(e *logbook.Entry) bool { return strings.Contains(logbook.TraceOf(e).Line, line) }) {
			t.Errorf("the trail does not say %q", line)
		}
	}
	c.Do(acts.Correct(c.H, w.ID, "seconds set", "41", "read off the paper once more"))
	if got := c.Weld(w.ID).Settings; got.SecondsUnsaid || got.SecondsShown != 41 {
		t.Errorf("corrected to %+v", got)
	}
	c.WantRebuilt()
}

func TestTranscribeFacts(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*acts.LateWeld)
		holds  func(logbook.Weld) bool
	}{
		{"seconds left blank, the table known", func(l *acts.LateWeld) { l.SecondsShown = 0 }, func(w logbook.Weld) bool { return w.Settings.SecondsTable == 40 && w.Settings.Unlike() == "" }},
		{"how the time came left blank", func(l *acts.LateWeld) { l.Mode, l.SecondsShown = "", 44 }, func(w logbook.Weld) bool { return w.Settings.Unlike() != "" }},
		{"volts unlike though seconds blank", func(l *acts.LateWeld) { l.SecondsShown, l.VoltsShown = 0, new(30.0) }, func(w logbook.Weld) bool { return w.Settings.Unlike() != "" }},
		{"cooling printed longer", func(l *acts.LateWeld) { l.CoolingMin = 9 }, func(w logbook.Weld) bool {
			return w.Settings.CoolingMin == 9 && w.Settings.CoolingHow == logbook.Later && len(w.Notes) == 0
		}},
		{"cooling printed shorter", func(l *acts.LateWeld) { l.CoolingMin = 5 }, func(w logbook.Weld) bool {
			return w.Settings.CoolingMin == 6 && strings.Contains(w.Notes[0].Text, "stated as 5 min")
		}},
		{"disturbed early", func(l *acts.LateWeld) { l.Disturbed = new(5) }, func(w logbook.Weld) bool { return w.Disturbed.Early && w.Disturbed.AfterMin == 5 && !w.Holding() }},
		{"disturbed late", func(l *acts.LateWeld) { l.Disturbed = new(6) }, func(w logbook.Weld) bool { return !w.Disturbed.Early }},
		{"disturbed, cooling not known", func(l *acts.LateWeld) { l.Disturbed, l.NoAmbient = new(60), true }, func(w logbook.Weld) bool { return w.Disturbed.Early }},
		{"disturbed in a hold that still runs", func(l *acts.LateWeld) {
			l.Started = l.Started.Add(57 * time.Minute)
			l.Ended, l.Disturbed = l.Started.Add(40*time.Second), new(8)
		}, func(w logbook.Weld) bool { return w.Disturbed.Early }},
		{"cut out since", func(l *acts.LateWeld) { l.CutOut = "clamp slipped" }, func(w logbook.Weld) bool { return w.CutOut != nil && w.CutWhy == "clamp slipped" && !w.Stands() }},
		{"remarks", func(l *acts.LateWeld) { l.Remarks = "rain" }, func(w logbook.Weld) bool { return w.Notes[0].Text == "rain" }},
		{"one indicator of two written", func(l *acts.LateWeld) { l.Look.Indicators = []string{logbook.Up} }, func(w logbook.Weld) bool { return len(w.Looks[0].Indicators) == 1 }}, // the table does not say how many
		{"none of the indicators written", func(l *acts.LateWeld) { l.Look.Indicators = nil }, func(w logbook.Weld) bool { return len(w.Looks[0].Indicators) == 0 }},
		{"a fitting in other letters", func(l *acts.LateWeld) { l.Answers[0].V = "Coupler  40" }, func(w logbook.Weld) bool { return w.Fitting() == "coupler 40" }},
		{"looked at though nobody saw the end", func(l *acts.LateWeld) { l.Outcome, l.Run = logbook.NotSeen, nil }, func(w logbook.Weld) bool { return len(w.Looks) == 1 && !w.RunAsked }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := crew.OnSite(t)
			c.Do(acts.Transcribe(c.H, []acts.LateWeld{onPaper(c, 2, tt.change)}))
			if w := c.Weld("KM-0001"); !tt.holds(w) {
				t.Errorf("entered as %+v, settings %+v", w, w.Settings)
			}
			c.WantRebuilt()
		})
	}
}

// The shift of a row is that of its day, its operator's where there were two.
func TestTranscribeShift(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.CloseShift(c.H))
	c.Do(acts.StartShift(c.H, logbook.ShiftStarted{Day: "2026-03-09", Operators: []logbook.Operator{{Name: "Bo"}}, Units: []logbook.Unit{{Serial: crew.Unit}}}))
	c.Wait(48 * time.Hour)
	back := -47 * time.Hour
	row := func(line int, joint, operator string, day time.Duration) acts.LateWeld {
		return onPaper(c, line, func(l *acts.LateWeld) {
			l.Joint, l.Operator, l.Started, l.Ended = joint, operator, l.Started.Add(back+day), time.Time{}
		})
	}
	c.Do(acts.Transcribe(c.H, []acts.LateWeld{row(2, "1A", crew.Ada, 0), row(3, "1B", "Bo", 0), row(4, "2A", "Cy", 0), row(5, "2B", crew.Ada, 24*time.Hour)}))
	for id, want := range map[string]string{"KM-0001": "2026-03-09", "KM-0002": "2026-03-09b", "KM-0003": "2026-03-09", "KM-0004": ""} {
		if got := c.Weld(id).Shift; got != want {
			t.Errorf("%s is of shift %q, want %q", id, got, want)
		}
	}
}

// All faults come at once, with their lines, and nothing is written.
func TestTranscribeRefused(t *testing.T) {
	c := crew.OnSite(t)
	c.Fused("1A")
	c.Do(acts.StrikeJoint(c.H, "E1", "not needed"))
	at := func(field *time.Time, by time.Duration) { *field = c.H.At.Local().Add(by) }
	rows := []acts.LateWeld{
		onPaper(c, 2, onJointOf("1a")),
		onPaper(c, 3, onJointOf("9Z")),
		onPaper(c, 4, onJointOf("E1")),
		onPaper(c, 5, func(l *acts.LateWeld) { at(&l.Started, time.Hour) }),
		onPaper(c, 6, func(l *acts.LateWeld) { at(&l.Started, 24*time.Hour) }),
		onPaper(c, 7, func(l *acts.LateWeld) { at(&l.Started, -100*366*24*time.Hour) }),
		onPaper(c, 8, func(l *acts.LateWeld) { at(&l.Released, time.Minute) }),
		onPaper(c, 9, func(l *acts.LateWeld) { l.Joint, l.Ended = "1B", l.Started.Add(-time.Minute) }),
		onPaper(c, 10, onJointOf("2A")),
		onPaper(c, 11, onJointOf("2A")),
		onPaper(c, 12, onJointOf("2B")),
	}
	before := len(c.Entries)
	err := c.Try(acts.Transcribe(c.H, rows))
	want := `2: joint: KM-0001 stands in 1A: say first that it was cut out, on the board at the joint (Enter)
3: joint: "9Z" is no joint of this site; open are 1B, 2A, 2B, FG
4: joint: joint E1 is not being built, or was replaced by a make-up piece
5: start: 2026-03-09 09:00 is still to come: it is 2026-03-09 08:00
5: end: `
	faults, is := acts.AsRowFaults(err)
	if !is || len(faults) < 9 {
		t.Fatalf("got %v", err)
	}
	for _, line := range append(strings.Split(want, "\n")[:4], "6: date: 2026-03-10 is still to come: today is 2026-03-09", "7: date: 1925-12-24 is more than 10 years before the site was opened in this log, 2026-03-09: is the year right?",
		"8: released_at: 2026-03-09 08:01 is still to come", "9: joint: the stated times are not in order", "11: joint: the weld of line 10 stands in 2A: if it was cut out, write why in its column cut_out") {
		if !strings.Contains(err.Error(), line) {
			t.Errorf("%q is missing in\n%v", line, err)
		}
	}
	if len(c.Entries) != before || strings.Contains(err.Error(), "12:") {
		t.Errorf("half taken, or too much said: %v", err)
	}
	c.H.By = " "
	c.Refused(acts.Transcribe(c.H, rows[10:]), logbook.ErrRule, "needs a name")
	c.H.Site = "elsewhere"
	if err := c.Try(acts.Transcribe(c.H, rows[10:])); !errors.Is(err, logbook.ErrUnknown) {
		t.Errorf("got %v", err)
	}
}

// Another look from paper: at the weld that stands in the joint, be it of the same sheet,
// and once only.
func TestALookFromPaper(t *testing.T) {
	c := crew.OnSite(t)
	weld := c.LateWeld(func(l *acts.LateWeld) {
		l.Paper = &logbook.PaperRow{File: "van.csv", Line: 2, Key: "weld"}
		l.HoldStated, l.Released = true, l.Ended.Add(10*time.Minute)
	})
	c.Wait(30 * time.Minute)
	look := acts.LateWeld{
		Again: true, Joint: weld.Joint, Operator: "Hedda Invented", Started: c.H.At.Local().Add(-time.Minute).Truncate(time.Second), Remarks: "from above",
		Look:  logbook.Look{Indicators: []string{logbook.Up}, Melt: "none", Wire: "none", Marks: "inplace", Straight: logbook.Unseen, Felt: "firm"},
		Paper: &logbook.PaperRow{File: "van.csv", Line: 3, Key: "look"},
	}
	c.Do(acts.Transcribe(c.H, []acts.LateWeld{look, weld}))
	j := c.Joint(weld.Joint)
	w := c.Weld(j.Stands)
	l := w.Looks[len(w.Looks)-1]
	if l.When != logbook.LookAgain || l.Who() != "Hedda Invented" || l.By != crew.Ada || !l.Stated.Equal(look.Started) || l.How != logbook.Later || len(w.Notes) == 0 {
		t.Errorf("%+v", l)
	}
	if want := "at another look, " + look.Started.Format("2006-01-02 15:04") + " as stated, by Hedda Invented, on paper (van.csv, line 3): "; !strings.HasPrefix(l.Line(), want) {
		t.Errorf("says %q, want %q", l.Line(), want)
	}
	entries := len(c.Entries)
	c.Do(acts.Transcribe(c.H, []acts.LateWeld{look, weld}))
	if len(c.Entries) != entries {
		t.Error("taken in twice")
	}
	look.Paper = &logbook.PaperRow{File: "van.csv", Line: 4, Key: "other"}
	look.Started = weld.Started.Add(-time.Hour)
	err := c.Try(acts.Transcribe(c.H, []acts.LateWeld{look}))
	if faults, is := acts.AsRowFaults(err); !is || faults[0].Column != "look_again" || !strings.Contains(faults[0].What, "before "+w.ID+" was fused") {
		t.Errorf("got %v", err)
	}
	look.Joint = "2B"
	err = c.Try(acts.Transcribe(c.H, []acts.LateWeld{look}))
	if faults, is := acts.AsRowFaults(err); !is || faults[0].What != "no weld stands in 2B: there is nothing to look at" {
		t.Errorf("got %v", err)
	}
}
