package walk

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// prep is the preparation card. People prepare with both hands and then walk
// to the laptop: one key says that all is done, digits mark what is not.
type prep struct {
	item int       // 1…9: the item being marked; 0: none
	form form.Form // of the item, or of the methods
	all  bool      // the methods are asked, then everything is done
	end  bool
}

func (s prep) back(ctx) (stepper, bool) { return prep{}, s.asks() }

// asks tells whether a line or the method is being asked.
func (s prep) asks() bool { return s.item > 0 || s.all }

func (s prep) ended() bool { return s.end }

func openPrep(ctx) stepper { return prep{} }

func (s prep) update(c ctx, msg tea.Msg) stepper {
	if s.item == 0 && !s.all {
		return s.card(c, msg)
	}
	f, event := s.form.Update(msg)
	s.form = f
	if event != form.Complete {
		return s
	}
	if s.all {
		s.finish(c, f.Given)
		return prep{end: true}
	}
	p := logbook.PrepItems[s.item-1]
	answers := []logbook.Answer{{Item: p.Item, V: f.Given.V("mark"), How: logbook.Typed, Reason: f.Given.V("why"), Why: f.Given.V("text")}}
	if end, is := endOf(p.Item); is && f.Given.V(end.Method) != "" {
		answers = append(answers, f.Given[end.Method])
	}
	mark(c, answers...)
	return prep{}
}

// endOf is the end that a line of the card is about.
func endOf(item string) (logbook.End, bool) {
	i := slices.IndexFunc(logbook.Ends, func(e logbook.End) bool { return e.Scraped == item })
	if i < 0 {
		return logbook.End{}, false
	}
	return logbook.Ends[i], true
}

func (s prep) card(c ctx, msg tea.Msg) stepper {
	switch d := shell.Digit(msg); {
	case d == 0:
		return s.allDone(c)
	case d >= 1 && d <= len(logbook.PrepItems):
		s.item, s.form = d, markForm(c, d)
	}
	return s
}

func markForm(c ctx, d int) form.Form {
	not := func(a form.Answers) bool { return a.V("mark") != logbook.CouldNot }
	p := logbook.PrepItems[d-1]
	fields := []form.Field{
		form.Choose("mark", fmt.Sprintf("%d  %s", d, cardLabel(c, p)), logbook.Marks).But(logbook.NoSuch),
		form.Choose("why", "why", logbook.CouldNotReasons).Unless(not),
		{Item: "text", Label: "in words", Manner: form.Text, Blank: true, Skip: not},
	}
	if end, is := endOf(p.Item); is {
		undone := func(a form.Answers) bool { return a.V("mark") != logbook.Done }
		fields = append(fields, methodField(c, end).Unless(undone))
	}
	return form.New(fields)
}

// methodField asks what an end was scraped with.
func methodField(c ctx, end logbook.End) form.Field {
	label := "scraped with"
	if endsOf(c) > 1 {
		label += ", " + endName(c, end)
	}
	return form.Choose(end.Method, label, logbook.ScrapeMethods)
}

// endName is which end is meant.
func endName(c ctx, end logbook.End) string {
	first := end == logbook.Ends[0]
	switch {
	case first && c.j.Chamber != "":
		return "stub end"
	case first:
		return "first end"
	case c.j.Chamber != "":
		return "pipe end"
	}
	return "other end"
}

// methods are what the ends were scraped with that will count as scraped: as said here,
// else as at the last weld of its kind. open are the ends of which neither is known.
func methods(c ctx) (said []logbook.Answer, open []logbook.End) {
	for i, end := range logbook.Ends {
		switch v := c.w.Answers[end.Scraped].V; {
		case v != "" && v != logbook.Done, i > 0 && v == "" && endsOf(c) == 1:
			continue // it is not scraped
		}
		last := ahead.LastMethod(c.Book, c.w, end)
		switch {
		case c.w.Answers[end.Scraped].V == logbook.Done && c.w.MethodOf(end) != "": // it was said
		case c.w.Answers[end.Method].V != "":
			said = append(said, c.w.Answers[end.Method])
		case last != "":
			said = append(said, logbook.Answer{Item: end.Method, V: last, How: logbook.Carried})
		default:
			open = append(open, end)
		}
	}
	return said, open
}

// allDone asks the methods that nobody knows; then everything not marked otherwise is done.
func (s prep) allDone(c ctx) stepper {
	_, open := methods(c)
	if len(open) == 0 {
		s.finish(c, nil)
		return prep{end: true}
	}
	s.all, s.form = true, form.New([]form.Field{methodsField(c, open)})
	return s
}

// methodsField asks what ends were scraped with. A rotary scraper does not reach every
// stub (common practice, no source), so of two ends each can have its own.
func methodsField(c ctx, open []logbook.End) form.Field {
	if len(open) == 1 {
		return methodField(c, open[0])
	}
	rotary, hand := logbook.ScrapeMethods.Word(logbook.RotaryTool), logbook.ScrapeMethods.Word(logbook.HandTool)
	first, other := endName(c, open[0]), endName(c, open[1])
	says := map[string]string{
		logbook.RotaryTool: rotary, logbook.HandTool: hand,
		handFirst:   first + " " + hand + ", " + other + " " + rotary,
		rotaryFirst: first + " " + rotary + ", " + other + " " + hand,
	}
	return form.Field{
		Item: "methods", Label: "scraped with", Manner: form.Choice,
		Options: []string{logbook.RotaryTool, logbook.HandTool, handFirst, rotaryFirst},
		Says:    func(v string) string { return says[v] },
	}
}

// Ends that were scraped by two methods, by that of the first.
const (
	handFirst   = "hand first"
	rotaryFirst = "rotary first"
)

// methodsOf are the answers for ends to methodsField.
func methodsOf(open []logbook.End, given form.Answers) (said []logbook.Answer) {
	v := given.V("methods")
	each := map[string][]string{handFirst: {logbook.HandTool, logbook.RotaryTool}, rotaryFirst: {logbook.RotaryTool, logbook.HandTool}}[v]
	for i, end := range open {
		a, one := given[end.Method]
		if !one {
			a = logbook.Answer{Item: end.Method, V: v, How: logbook.Typed}
			if each != nil {
				a.V = each[i]
			}
		}
		said = append(said, a)
	}
	return said
}

// together are the methods of both ends as one where they are alike, as they are stored:
// one that is said alone is that of every end.
func together(w logbook.Weld, said []logbook.Answer) []logbook.Answer {
	other := logbook.Ends[1].Method
	if n := len(said); n == 0 || said[n-1].Item != other || w.Answers[other].V != "" {
		return said
	}
	switch first := said[0]; {
	case len(said) == 2 && first.V == said[1].V && first.How == said[1].How:
		return said[:1]
	case len(said) == 1 && w.Answers[logbook.ItemMethod].V == "":
		said[0].Item = logbook.ItemMethod
	}
	return said
}

func (s prep) finish(c ctx, given form.Answers) {
	said, open := methods(c)
	said = together(c.w, append(said, methodsOf(open, given)...))
	var answers []logbook.Answer
	for _, p := range logbook.PrepItems {
		switch v := c.w.Answers[p.Item].V; {
		case v != "":
		case p.Item == logbook.ItemScraped2 && endsOf(c) == 1:
			answers = append(answers, logbook.Answer{Item: p.Item, V: logbook.NoSuch, How: logbook.Computed})
		default:
			answers = append(answers, logbook.Answer{Item: p.Item, V: logbook.Done, How: logbook.Typed})
		}
	}
	for _, a := range said {
		if a.V != c.w.Answers[a.Item].V {
			answers = append(answers, a)
		}
	}
	if len(answers) > 0 {
		mark(c, answers...)
	}
}

func mark(c ctx, answers ...logbook.Answer) {
	save(c, "preparation", func(h acts.Head) acts.Act {
		return acts.AnswerStep(h, c.w.ID, logbook.StepPrep, answers)
	})
}

func (s prep) view(c ctx, height int) string {
	lines := []string{"  Prepare with both hands, then say so here."}
	if want := c.Site.Scraping; want != "" {
		lines = append(lines, "  The site requires scraping by "+logbook.Clean(logbook.ScrapeMethods.Word(want))+".")
	}
	if s.item > 0 || s.all {
		lines = append(lines, "", s.form.View(c.Style, c.W, height-len(lines)-1))
		return strings.Join(lines, "\n")
	}
	if height > 14 {
		lines = append(lines, "")
	}
	for i, p := range logbook.PrepItems {
		lines = append(lines, prepLine(c, i+1, p))
	}
	if len(lines)+2 <= height {
		lines = append(lines, "")
	}
	lines = append(lines, c.Style.Bold("  0  all done"+s.exceptions(c)))
	return strings.Join(lines, "\n")
}

// minutesSince scraping was said to be done, by the longer of what may be.
func minutesSince(c ctx) int {
	ago, _ := ahead.ScrapedAgo(c.Site, c.w, c.Now, c.Beat)
	return int(ago.Minutes())
}

func (s prep) exceptions(c ctx) string {
	for _, p := range logbook.PrepItems {
		if v := c.w.Answers[p.Item].V; v == logbook.CouldNot || v == logbook.NotYet {
			return " but what is marked"
		}
	}
	return ""
}

// endsOf is how many ends the fitting of the walk takes, by its table; 2 where that is
// not known.
func endsOf(c ctx) int {
	row, err := c.Shelf.Known(c.w.Fitting())
	if err != nil || row.Fitting.Ends == 0 {
		return 2
	}
	return row.Fitting.Ends
}

// cardLabel is a line of the card for this fitting: which end is meant goes by how many
// it takes and where the joint lies.
func cardLabel(c ctx, p logbook.PrepItem) string {
	n := endsOf(c)
	switch {
	case p.Item == logbook.ItemScraped && n == 1:
		return "scraped all round, band visible"
	case p.Item == logbook.ItemScraped && c.j.Chamber != "":
		return "scraped all round: stub end"
	case p.Item == logbook.ItemScraped:
		return "scraped all round: first end"
	case p.Item == logbook.ItemScraped2 && n == 1:
		return "(this fitting takes one end only)"
	case p.Item == logbook.ItemScraped2 && n > 2:
		return fmt.Sprintf("scraped all round: all %d other ends", n-1)
	case p.Item == logbook.ItemScraped2 && c.j.Chamber != "":
		return "scraped all round: pipe end"
	case p.Item == logbook.ItemScraped2:
		return "scraped all round: other end"
	}
	return p.Label
}

func prepLine(c ctx, n int, p logbook.PrepItem) string {
	a := c.w.Answers[p.Item]
	state := c.w.Answered(p.Item)
	if why := a.Because(); why != "" {
		state += " (" + why + ")"
	}
	if with := withMethod(c, p); with != "" {
		state = strings.TrimSpace(state + " " + with)
	}
	line := widget.Cut(fmt.Sprintf("  %d  %s  %s", n, widget.Pad(cardLabel(c, p), 44), logbook.Clean(state)), c.W)
	switch a.V {
	case logbook.CouldNot, logbook.NotYet:
		return c.Style.Warn(line)
	case logbook.Done:
		return c.Style.Dim(line)
	}
	return line
}

// withMethod is what an end was scraped with, as far as the card has it: said here, or as
// at the last weld of its kind.
func withMethod(c ctx, p logbook.PrepItem) string {
	end, is := endOf(p.Item)
	if !is {
		return ""
	}
	if v := c.w.MethodOf(end); v != "" && c.w.Answers[p.Item].V == logbook.Done {
		return logbook.ScrapeMethods.Word(v)
	}
	said, _ := methods(c)
	i := slices.IndexFunc(said, func(a logbook.Answer) bool { return a.Item == end.Method })
	if i < 0 {
		return ""
	}
	with := logbook.ScrapeMethods.Word(said[i].V)
	if said[i].How == logbook.Carried {
		return with + ", as last time"
	}
	return with
}

func (s prep) takes(ctx) shell.Taking {
	if s.item == 0 && !s.all {
		return shell.NoScan
	}
	return s.form.Takes()
}

func (s prep) keys(ctx) shell.Keys {
	if s.item > 0 || s.all {
		return s.form.Keys()
	}
	return shell.Keys{shell.On("0", "all done"), shell.On("1-9", "mark an exception")}
}
