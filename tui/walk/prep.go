package walk

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// prep is the preparation card. People prepare with both hands and then walk
// to the laptop: one key says that all is done, digits mark what is not.
type prep struct {
	item int       // 1…9: the item being marked; 0: none
	form form.Form // of the item, or of the method
	all  bool      // the method is asked, then everything is done
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
		s.finish(c, f.Given[logbook.ItemMethod])
		return prep{end: true}
	}
	p := logbook.PrepItems[s.item-1]
	mark(c, logbook.Answer{Item: p.Item, V: f.Given.V("mark"), How: logbook.Typed, Reason: f.Given.V("why"), Why: f.Given.V("text")})
	return prep{}
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
	return form.New([]form.Field{
		form.Choose("mark", fmt.Sprintf("%d  %s", d, cardLabel(c, logbook.PrepItems[d-1])), logbook.Marks).But(logbook.NoSuch),
		form.Choose("why", "why", logbook.CouldNotReasons).Unless(not),
		{Item: "text", Label: "in words", Manner: form.Text, Blank: true, Skip: not},
	})
}

// allDone asks the method of scraping where the pipe was scraped; then everything not marked otherwise is done.
func (s prep) allDone(c ctx) stepper {
	if notScraped(c.w) {
		s.finish(c, logbook.Answer{})
		return prep{end: true}
	}
	s.all = true
	fields := []form.Field{form.Of(logbook.ItemMethod)}
	if s.form = form.New(fields); c.w.Answers[logbook.ItemMethod].V != "" {
		s.form = form.Again(fields, form.Answers{logbook.ItemMethod: c.w.Answers[logbook.ItemMethod]})
	}
	return s
}

// notScraped tells whether no end could be scraped.
func notScraped(w logbook.Weld) bool {
	return w.Answers[logbook.ItemScraped].V == logbook.CouldNot && w.Answers[logbook.ItemScraped2].V == logbook.CouldNot
}

func (s prep) finish(c ctx, method logbook.Answer) {
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
	if method.V != c.w.Answers[logbook.ItemMethod].V {
		answers = append(answers, method)
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
	lines = append(lines, "", c.Style.Bold("  0  all done"+s.exceptions(c)))
	return strings.Join(lines, "\n")
}

// minutesSince scraping was first said to be done; no limit is known.
func minutesSince(c ctx) int {
	return int(c.Now.Wall.Sub(c.w.Scraped.Wall).Minutes())
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
	line := widget.Cut(fmt.Sprintf("  %d  %s  %s", n, widget.Pad(cardLabel(c, p), 44), logbook.Clean(state)), c.W)
	switch a.V {
	case logbook.CouldNot, logbook.NotYet:
		return c.Style.Warn(line)
	case logbook.Done:
		return c.Style.Dim(line)
	}
	return line
}

func (s prep) takes(ctx) shell.Taking {
	if s.item == 0 && !s.all {
		return shell.NoScan
	}
	return s.form.Takes()
}

func (s prep) hint() string {
	if s.item > 0 || s.all {
		return "digit"
	}
	return "0 all done · 1-9 mark an exception"
}
