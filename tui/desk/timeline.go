package desk

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// settings are what the unit showed beside what the table asks for.
func (p *weldPage) settings() {
	w := p.w
	if w.Settings == nil && w.Ambient == nil && w.Ohms == nil {
		return
	}
	p.head("Settings")
	if s := w.Settings; s != nil {
		p.row("", "set", "table", "ran", "")
		ran := "-"
		if w.Run != nil {
			ran = fmt.Sprint(*w.Run)
		}
		p.row("seconds", fmt.Sprint(s.SecondsShown), figure(float64(s.SecondsTable)), ran, correctedMark(w, logbook.FieldSeconds)+correctedMark(w, logbook.FieldRun))
		p.row("volts", figure(deref(s.VoltsShown)), figure(s.VoltsTable), "", correctedMark(w, logbook.FieldVolts))
		p.value(label(logbook.FieldMode), s.Mode.String()+" ("+cmp.Or(s.ModeHow, s.How).String()+")"+correctedMark(w, logbook.FieldMode)+done(!s.Compared(), "; set and table need not agree"))
		p.value("table", tableText(*s))
		p.value(label(logbook.FieldCooling), fmt.Sprintf("%d min (%s)", s.CoolingMin, coolingHow(*s)))
	}
	if a := w.Ambient; a != nil {
		text := a.C.String() + " °C (" + a.How.String() + ")"
		if a.Taken != nil {
			text = a.C.String() + " °C (reading of " + a.Taken.Local().Format("15:04") + " confirmed)"
		}
		p.value(label(logbook.FieldAmbient), text+correctedMark(w, logbook.FieldAmbient))
	}
	if o := w.Ohms; o != nil {
		p.value(label(logbook.FieldOhms), ohmsText(*o)+correctedMark(w, logbook.FieldOhms))
	}
	if wait, ok := ahead.WaitOf(p.env.Site, w, p.env.Now, p.env.Beat); ok && w.Stands() && p.env.Audit.Verdict(w.ID) != audit.Failed {
		p.value("under pressure", "not before "+clockOn(p.day, logbook.UpMinute(wait.Over), "15:04")+", by the table"+p.waitDoubt(wait))
	}
}

// waitDoubt says what else the wall clock says of a wait that runs, where nobody can
// tell whether that is right.
func (p *weldPage) waitDoubt(wait ahead.Wait) string {
	if !wait.Doubtful() {
		return ""
	}
	return "; " + clockOn(p.day, logbook.UpMinute(wait.ByWall), "15:04") + " if the wall clock is right (" + wait.Doubt.Says() + ")"
}

// label is what a value is called on the page.
func label(key string) string {
	v, ok := logbook.ValueOf(key)
	if !ok {
		return logbook.NameOf(key) // a code of the standard
	}
	return v.OnPage()
}

func (p *weldPage) row(label, set, table, ran, mark string) {
	text := widget.Columns([]int{labelWidth, 8, 8, 8}, label, set, table, ran, strings.TrimSpace(mark))
	p.lines = append(p.lines, strings.TrimRight(widget.Cut("   "+text, p.width), " "))
}

// figure is a number on the page; 0 is none.
func figure(v float64) string {
	if v == 0 {
		return "-"
	}
	return fusion.Figure(v)
}

func deref(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

func tableText(s logbook.SettingsKeyed) string {
	switch {
	case s.Table == "":
		return "the fitting is in no table of the site"
	case s.Band == nil:
		return s.Title + " (" + s.Table + "): no band for the ambient"
	}
	return fmt.Sprintf("%s (%s), band %s", s.Title, s.Table, *s.Band)
}

func ohmsText(o logbook.ResistanceRead) string {
	if o.Ohms == nil {
		return "not shown by the unit"
	}
	text := fmt.Sprintf("%s Ω (%s)", fusion.Figure(*o.Ohms), o.How)
	if o.High == 0 {
		return text + ", no window known"
	}
	within := "within"
	if o.Outside() {
		within = "OUTSIDE"
	}
	return fmt.Sprintf("%s, %s its window %.2f…%.2f Ω: %s", text, within, o.Low, o.High, o.Basis)
}

// A mark is one moment on the time line and what followed it.
type mark struct {
	what string
	at   time.Time
	said string // instead of the time, where none is known
	bar  string // what is drawn up to the next mark
}

// marksOn are the moments of a weld that are known, in their order.
func marksOn(w logbook.Weld, env shell.Env) []mark {
	var marks []mark
	add := func(what, bar string, at time.Time, known bool) {
		if known {
			marks = append(marks, mark{what: what, at: at, bar: bar})
		}
	}
	if w.Scraped != nil && w.LateWhy == "" {
		add("scraped", "·", w.Scraped.Local(), true)
	}
	for _, stood := range w.Stood {
		add("set down", " ", stood.From.Local(), true)
		if stood.Until != nil && (w.Started == nil || !stood.Until.Wall.Equal(w.Started.Wall)) {
			add("taken up", "·", stood.Until.Local(), true)
		}
	}
	began, fused := w.FusedAt()
	add("fusion", "━", began, fused)
	ended, over := w.EndedAt()
	add(endWord(w), "─", ended, over)
	switch {
	case w.Disturbed != nil:
		marks = append(marks, mark{what: "disturbed", said: fmt.Sprintf("%d min after", w.Disturbed.AfterMin), bar: " "})
	case w.Released != nil && w.ReleasedStated != nil:
		add("released", " ", *w.ReleasedStated, true)
	case w.Released != nil:
		add("released", " ", w.Released.Local(), true)
	case w.Holding():
		marks = append(marks, mark{what: "now", at: env.Now.Local(), bar: " "})
	}
	if w.CutOut != nil {
		add(audit.CutOut, "", w.CutOut.Local(), true)
	}
	return marks
}

func endWord(w logbook.Weld) string {
	switch {
	case w.Outcome == logbook.Stopped && w.StoppedAt != nil:
		return fmt.Sprintf("%s %d s", w.Outcome, *w.StoppedAt)
	case w.Outcome == logbook.Stopped:
		return w.Outcome.String()
	case w.Outcome == logbook.NotSeen:
		return w.Outcome.String()
	}
	return "hold"
}

const markWidth = 14 // columns of one mark with what follows it

// timeLine draws the moments side by side with the time between them.
func (p *weldPage) timeLine() {
	marks := marksOn(p.w, p.env)
	if len(marks) == 0 {
		return
	}
	p.head("Times")
	each := max(1, (p.width-3)/markWidth)
	cell := min(20, (p.width-3)/max(1, min(each, len(marks))))
	for from := 0; from < len(marks); from += each {
		var what, when, bar strings.Builder
		for i := from; i < min(len(marks), from+each); i++ {
			what.WriteString(widget.Pad(marks[i].what, cell))
			when.WriteString(widget.Pad(p.whenOf(marks[i]), cell))
			bar.WriteString(widget.Pad(between(marks, i, cell-1), cell))
		}
		for _, line := range []string{what.String(), when.String(), bar.String()} {
			p.lines = append(p.lines, strings.TrimRight("   "+line, " "))
		}
	}
	p.holdText()
}

// whenOf is the time of a mark in the width of one: on another day the minute
// is enough.
func (p *weldPage) whenOf(m mark) string {
	switch {
	case m.said != "":
		return m.said
	case m.at.Format(time.DateOnly) != p.day:
		return m.at.Format("2 Jan 15:04")
	}
	return m.at.Format("15:04:05")
}

// between draws what lies between a mark and the next: its bar with the time
// it took.
func between(marks []mark, i, width int) string {
	m := marks[i]
	if i+1 == len(marks) {
		return "┃"
	}
	text := ""
	if next := marks[i+1]; next.said == "" && m.said == "" && !next.at.Before(m.at) {
		text = " " + lasted(next.at.Sub(m.at)) + " "
	}
	return "┃" + m.bar + m.bar + text + strings.Repeat(m.bar, max(0, width-2-widget.Width(text)))
}

// lasted writes a time as minutes and seconds, or hours and minutes.
func lasted(d time.Duration) string {
	s := int(d.Round(time.Second) / time.Second)
	if s >= 3600 {
		return fmt.Sprintf("%d h %02d", s/3600, s/60%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// holdText is how long the hold had to be, and until when.
func (p *weldPage) holdText() {
	w := p.w
	if w.Hold == nil {
		return
	}
	text := "hold needed: " + lasted(w.Hold.Want)
	if until, ok := w.HoldUntil(); ok && w.Disturbed == nil {
		text += ", until " + clockOn(p.day, until, "15:04:05")
	}
	if left, doubt := w.Hold.Left(p.env.Now, p.env.Beat); w.Holding() && left > 0 {
		text += ", " + shell.Clock(left) + " left"
		if doubt != fusion.Sure {
			text += " (" + doubt.Says() + ")"
		}
	}
	for _, d := range w.Doubts {
		text += "; " + d.Line()
	}
	if s := w.HoldSaid; s != nil {
		text += "; " + s.Line() + ", stated by " + s.By
	}
	p.put("   ", text)
}

// coolingHow is how a cooling time came: what is looked up was typed from the bag, and
// nothing was computed.
func coolingHow(s logbook.SettingsKeyed) string {
	if s.CoolingHow == logbook.Computed {
		return "from the table"
	}
	return s.CoolingHow.String()
}
