package desk

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A leaf is a page under way: lines of at most width columns.
type leaf struct {
	st    *shell.Style
	width int
	lines []string
}

// head begins a part of the page.
func (l *leaf) head(text string) {
	l.lines = append(l.lines, "", l.st.Bold(widget.Cut(" "+logbook.Clean(text), l.width)))
}

// put writes a text behind a prefix, wrapped under itself. What was stored is
// made safe to draw here, for the whole page.
func (l *leaf) put(prefix, text string, style ...func(string) string) {
	for _, line := range hanging(logbook.Clean(prefix), logbook.Clean(text), l.width) {
		for _, s := range style {
			line = s(line)
		}
		l.lines = append(l.lines, line)
	}
}

const labelWidth = 25

// value writes a label and what belongs to it.
func (l *leaf) value(label, text string) {
	l.put("   "+widget.Pad(label, labelWidth)+" ", text)
}

// clockOn writes a time, with its date where that is not the day of the page.
func clockOn(day string, t time.Time, layout string) string {
	if t.Format(time.DateOnly) != day {
		layout = "2 Jan " + layout
	}
	return t.Format(layout)
}

// page is everything known of a weld, the part that asks for a decision first:
// verdict and findings, what was asked and corrected, settings and times, what
// was seen and answered, what else stood in the joint, and every entry.
func page(env shell.Env, w logbook.Weld, width int) []string {
	l := &leaf{st: env.Style, width: width}
	p := weldPage{leaf: l, env: env, w: w, j: env.Joint(w.Joint), day: w.Day()}
	p.verdict()
	p.findings()
	p.decisions()
	p.corrections()
	p.settings()
	p.timeLine()
	p.looks()
	p.answers()
	p.enclosures()
	p.before()
	p.steps()
	return l.lines
}

// jointPage is everything known of a joint in which no weld stands.
func jointPage(env shell.Env, j logbook.Joint, width int) []string {
	l := &leaf{st: env.Style, width: width}
	p := weldPage{leaf: l, env: env, j: j, day: env.Now.Local().Format(time.DateOnly)}
	l.put(" ", "no weld stands in it: "+string(env.Audit.StateOf(j)), l.st.Bold)
	l.put(" ", jointText(j))
	l.found(ofJoint(env, j))
	p.enclosures()
	p.before()
	p.head("Said of the joint")
	p.trail(j.Trail)
	return l.lines
}

// A weldPage writes one weld on a leaf.
type weldPage struct {
	*leaf
	env shell.Env
	w   logbook.Weld
	j   logbook.Joint
	day string // times of another day carry their date
}

// inWords is a verdict as a sentence. None says that a weld is good.
func inWords(v audit.Verdict, w logbook.Weld) string {
	switch {
	case v == audit.Failed && w.CutOut != nil:
		return "fail, and cut out: nothing is left to do here"
	case v == audit.Failed:
		return "fail: cut it out and weld again with a new fitting"
	case v == audit.Queried && w.CutOut != nil:
		return "query, and cut out: nothing is left to decide"
	case v == audit.Queried:
		return "query: the foreman must decide"
	case v == audit.Accepted:
		return "accepted: each query was accepted by name"
	case v == audit.OwnOnly:
		return "own welder only: accepted by its own welder, nobody else looked"
	case v == audit.Unfinished:
		return "unfinished: something of it is still to be done or said"
	case v == audit.NoHeat:
		return "given up before any current"
	}
	return "clear: no fault is recorded"
}

func (p *weldPage) verdict() {
	v := p.env.Audit.Verdict(p.w.ID)
	style := p.st.Bold
	if v == audit.Failed || v == audit.Queried {
		style = p.st.Warn
	}
	p.put(" ", inWords(v, p.w), style)
	p.put(" ", fmt.Sprintf("made by %s with unit %s on %s%s", p.w.Operator+correctedMark(p.w, logbook.FieldOperator), p.w.Unit+correctedMark(p.w, logbook.FieldUnit), dayName(p.day), stands(p.w)))
	p.put(" ", jointText(p.j))
	if p.w.LateWhy != "" {
		p.put(" ", "entered later by "+p.w.LateBy+": "+p.w.LateWhy)
	}
	if p.w.Abandoned != "" {
		p.put(" ", "given up: "+p.w.Abandoned)
	}
	for _, m := range p.j.Moves {
		if m.Weld == p.w.ID {
			p.put(" ", "logged at "+m.From+", made at "+m.To+" (corrected)")
		}
	}
}

func stands(w logbook.Weld) string {
	switch {
	case w.CutOut != nil:
		when := w.CutOut.Local().Format("2 Jan 15:04")
		if w.CutUnsaid {
			when = "(when: not stated)"
		}
		return "; cut out " + when + ": " + w.CutWhy
	case w.Stands():
		return "; stands in its joint"
	}
	return ""
}

func movedText(m logbook.Move) string {
	return fmt.Sprintf("%s: logged at %s, made at %s: %s (%s)", m.Weld, m.From, m.To, m.Why, signedBy(m.Signature))
}

func signedBy(s logbook.Signature) string {
	return s.By + ", " + s.At.Local().Format("2 Jan 15:04")
}

// jointText is the place of a joint as the plan has it.
func jointText(j logbook.Joint) string {
	parts := []string{"planned: " + recorded(j.Fitting)}
	if j.OdMM > 0 {
		parts = append(parts, j.PipeLine())
	}
	if j.Port > 0 {
		parts = append(parts, fmt.Sprintf("port %d, %s row, rail %s", j.Port, j.Row, j.Bar))
	}
	if j.Tape != "" {
		parts = append(parts, j.Tape+" tape")
	}
	if j.Where != "" {
		parts = append(parts, j.Where)
	}
	if j.Added != "" {
		parts = append(parts, "added: "+j.Added)
	}
	return strings.Join(parts, "; ")
}

// findings are what the rules find, with what to do and on what basis.
func (p *weldPage) findings() {
	p.found(ofWeld(p.env, p.w))
}

// found are the findings on something.
func (l *leaf) found(on subject) {
	if len(on.found) == 0 {
		return
	}
	l.head("Findings")
	for _, f := range on.found {
		word, style := wordOf(f), l.st.Warn
		if f.Settled || f.Severity == audit.Note {
			style = func(text string) string { return text }
		}
		l.put("   "+word+": ", on.bare(f.Says), style)
		switch {
		case f.Accepted != nil:
			l.put("      ", fmt.Sprintf("accepted by %s, %s: %s", f.Accepted.Who(), f.Accepted.At.Local().Format("2 Jan 15:04"), f.Accepted.Why))
		case !f.Settled:
			l.put("      do: ", f.Do)
		}
		l.put("      basis: ", f.Basis, l.st.Dim)
	}
}

func wordOf(f audit.Finding) string {
	word := f.Word()
	if f.Settled && f.Accepted == nil {
		word += " (settled)"
	}
	return word
}

// decisions are what named people asked for, decided and noted.
func (p *weldPage) decisions() {
	w, reviews := p.w, p.pastReviews()
	if w.CutOrdered == nil && w.Recheck == nil && len(reviews) == 0 && len(w.Notes) == 0 {
		return
	}
	p.head("Decided, asked and noted")
	for _, o := range w.CutOrders {
		p.put("   cut-out ordered: ", o.Why+" ("+signedBy(o.Signature)+")"+done(w.CutOut != nil, "; it is cut out"))
	}
	if o := w.Recheck; o != nil {
		p.put("   re-check asked: ", o.Why+" ("+signedBy(o.Signature)+")"+done(!p.env.Audit.RecheckDue(w), "; looked at since"))
	}
	for _, r := range reviews {
		verb := "not accepted"
		if r.Accepted {
			verb = "accepted"
		}
		p.put("   "+verb+": ", fmt.Sprintf("%s: %s (%s, %s)", bare(w, audit.Tell(r.Judged)), r.Why, r.By, r.At.Local().Format("2 Jan 15:04")))
	}
	for _, n := range w.Notes {
		p.put("   note: ", n.Text+" ("+signedBy(n.Signature)+")")
	}
}

// pastReviews are those that do not stand beside their finding: its facts have
// changed since, or another review came later.
func (p *weldPage) pastReviews() []logbook.Review {
	return slices.DeleteFunc(slices.Clone(p.w.Reviews), func(r logbook.Review) bool {
		return slices.ContainsFunc(p.env.Audit.At(p.w), func(f audit.Finding) bool { return f.Accepted != nil && f.Accepted.Seq == r.Seq })
	})
}

func done(is bool, text string) string {
	if is {
		return text
	}
	return ""
}

// corrections are the values that were put right, with what they were.
func (p *weldPage) corrections() {
	if len(p.w.Corrections) == 0 {
		return
	}
	p.head("Corrected")
	for _, c := range p.w.Corrections {
		p.put("   ", fmt.Sprintf("%s: was %s, now %s (%s): %s", c.Name(), recorded(c.Before()), recorded(c.Now()), signedBy(c.Signature), c.Why))
		if a, b := c.Was.Settings, c.Settings; a != nil && b != nil && a.SecondsTable != b.SecondsTable {
			p.put("      ", fmt.Sprintf("by the table that is %s, was %s", seconds(b.SecondsTable), seconds(a.SecondsTable)))
		}
	}
}

func seconds(n int) string {
	if n == 0 {
		return "no time: outside its bands"
	}
	return fmt.Sprintf("%d s", n)
}

// looks are what was seen, each time.
func (p *weldPage) looks() {
	if len(p.w.Looks) == 0 {
		return
	}
	p.head("Seen")
	for i, k := range p.w.Looks {
		mark := ""
		if slices.ContainsFunc(p.w.Corrections, func(c logbook.Corrected) bool {
			return logbook.LookNo(c.Field) == i+1
		}) {
			mark = " (corrected)"
		}
		p.put("   "+clockOn(p.day, k.At.Local(), "15:04")+" ", fmt.Sprintf("%s (%s, %s)%s", k.Line(), k.By, k.How, mark))
	}
}

// answers are the fitting and the preparation card, with how each came.
func (p *weldPage) answers() {
	if len(p.w.Answers) == 0 {
		return
	}
	p.head("Fitting and preparation")
	for _, item := range itemsOf(p.w) {
		a := p.w.Answers[item]
		text := recorded(p.w.Answered(item))
		if why := a.Because(); why != "" {
			text += ": " + why
		}
		if a.How != "" {
			text += " (" + a.How.String() + ")"
		}
		p.value(label(item), text+correctedMark(p.w, item))
	}
}

// itemsOf are the items answered, in the order of the work.
func itemsOf(w logbook.Weld) []string {
	var items, rest []string
	for _, f := range logbook.Fields(w) {
		if _, given := w.Answers[f.Key]; given {
			items = append(items, f.Key)
		}
	}
	for item := range w.Answers {
		if !slices.Contains(items, item) {
			rest = append(rest, item)
		}
	}
	slices.Sort(rest)
	return append(items, rest...)
}

// enclosures are the files that were named for the weld or its joint.
func (p *weldPage) enclosures() {
	lines := enclosedLines(p.env.Site, ofWeldOrJoint(p.w.ID, p.j.Label))
	if len(lines) > 0 {
		p.head("Enclosed")
	}
	for _, l := range lines {
		p.put("   ", l)
	}
}

// before is what else was made in the joint, or logged there.
func (p *weldPage) before() {
	ids := otherWelds(p.j, p.w.ID)
	var moves []logbook.Move
	for _, m := range p.j.Moves {
		if m.Weld != p.w.ID {
			moves = append(moves, m)
		}
	}
	if len(ids) == 0 && len(moves) == 0 {
		return
	}
	p.head("Else in joint " + p.j.Label + " (key 6)")
	for _, id := range ids {
		o := p.env.Weld(id)
		p.put("   "+id+" ", fmt.Sprintf("of %s: %s%s", dayName(o.Day()), p.env.Audit.Verdict(id), stands(o)))
	}
	for _, m := range moves {
		p.put("   ", movedText(m))
	}
}

// steps are all entries on the weld, as they came.
func (p *weldPage) steps() {
	p.head("Every entry")
	p.trail(p.w.Trail)
}

func (p *weldPage) trail(entries []*logbook.Entry) {
	for _, e := range entries {
		t := logbook.TraceOf(e)
		when := t.At
		if at, err := time.Parse(time.RFC3339, t.At); err == nil {
			when = clockOn(p.day, at, "15:04:05")
		}
		initials, who := p.env.Mark(t.By), ""
		if initials == t.By && t.By != "" {
			initials, who = "", " ("+t.By+")"
		}
		p.put("   "+when+" "+widget.Pad(initials, 3)+" ", t.Line+who)
	}
}
