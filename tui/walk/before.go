package walk

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// openFitting shows what is as last time, else asks the first item of the fitting step
// that has no answer.
func openFitting(c ctx) stepper {
	if len(circumstances(c)) > 0 {
		return card{}
	}
	return fittingStep(c, openItem(c), nil)
}

// openItem is the item of the fitting step that the walk stands at: while the card is
// open its first line, else the first that has no answer.
func openItem(c ctx) string {
	if said := circumstances(c); len(said) > 0 {
		return said[0].Item
	}
	for _, i := range logbook.FittingItems(c.j) {
		if _, given := c.w.Answers[i]; !given {
			return i
		}
	}
	return ""
}

// fittingStep asks one item; one that stands is asked again on its answer.
func fittingStep(c ctx, item string, stands map[string]logbook.Answer) stepper {
	fields := []form.Field{fittingField(c, item)}
	s := formStep{
		form: form.New(fields),
		text: fittingText,
		answered: func(c ctx, a logbook.Answer) {
			save(c, logbook.NameOf(a.Item), func(h acts.Head) acts.Act {
				if a.Item == logbook.ItemPort {
					return acts.ChoosePort(h, c.w.ID, a)
				}
				return acts.AnswerStep(h, c.w.ID, logbook.StepFitting, acts.WithTrace(a))
			})
		},
	}
	s.again = func(c ctx) form.Form { return form.New([]form.Field{fittingField(c, item)}) }
	if a, said := stands[item]; said {
		fields[0].Offer = ""
		s.form, s.again = form.Again(fields, form.Answers{item: {Item: item, V: shownPort(c, item, a.V), How: a.How}}), nil
	}
	if item == logbook.ItemFitting {
		s.scanned = keepCode
	}
	return s
}

// save stores an act of this weld under a label.
func save(c ctx, label string, act func(acts.Head) acts.Act) {
	h := c.Head()
	c.Do.Save(h, fmt.Sprintf("%s %s", c.w.ID, label), act(h))
}

// keepCode keeps a scanned code exactly as it came; one that was taught chooses
// its row.
func keepCode(c ctx, scan shell.Scan) bool {
	save(c, logbook.NameOf(logbook.ItemCode), func(h acts.Head) acts.Act { return acts.ScanCode(h, c.w.ID, scan.Text) })
	return true
}

func fittingText(c ctx) []string {
	lines := []string{"Take the fitting in its closed bag. What is printed on it goes before everything here."}
	if last := lastStop(c, logbook.StepFitting); last != "" && !answeredSince(c.w) {
		for _, l := range widget.Wrap(last, c.W-6) {
			lines = append(lines, c.Style.Warn("    "+l))
		}
	}
	if says := ahead.UnlikePort(c.w, c.j); says != "" {
		lines = append(lines, says)
	}
	for _, item := range logbook.FittingItems(c.j) {
		if a, ok := c.w.Answers[item]; ok {
			lines = append(lines, "    "+c.Style.Dim(widget.Cut(fmt.Sprintf("%-25s %s", logbook.NameOf(item), logbook.Clean(a.Words())), c.W-6)))
		}
	}
	return append(lines, codeLines(c)...)
}

// codeLines are the codes scanned with the weld, and whether its row is taught.
func codeLines(c ctx) (lines []string) {
	for _, item := range []string{logbook.ItemCode, logbook.ItemTrace, logbook.ItemPipeTrace} {
		a, ok := c.w.Answers[item]
		if !ok {
			continue
		}
		says := "kept as scanned"
		if t, known := c.Site.TaughtAs(a.V); known {
			says = "taught as " + t.Fitting
		}
		lines = append(lines, "    "+widget.Cut(fmt.Sprintf("%-14s %s  (%s)", strings.TrimSuffix(logbook.NameOf(item), " scanned"), logbook.Clean(a.V), says), c.W-6))
	}
	return lines
}

func fittingField(c ctx, item string) form.Field {
	f := form.Of(item)
	switch item {
	case logbook.ItemFitting:
		f.Manner, f.Options, f.Offer = form.Choice, fittingsFor(c), planned(c)
		f.Hint = "Or scan its code: it is kept as it is, then choose the row."
	case logbook.ItemPort:
		return portField(c, f)
	case logbook.ItemBatch, logbook.ItemPipeBatch, logbook.ItemStubBatch:
		f.Offer, f.Scan, f.Hint = cmp.Or(ahead.BatchOffer(c.Book, c.w, item), logbook.NotKnown), true, "Type or scan it."
		if f.Offer != logbook.NotKnown && ahead.Carries(c.Book, c.w, item) == "" {
			f.Hint = "Read it on this pipe: what Enter gives was read on another. Type or scan it."
		}
	case logbook.ItemPrint:
		f.Hint = fmt.Sprintf("The plan says %s. Read size, SDR and material on the pipe.", cmp.Or(c.j.PipeLine(), "nothing of the pipe"))
	case logbook.ItemPlace:
		// It is not welded yet: who has no tape measure at hand takes the plan's word.
		f.Offer, f.Hint = c.j.Where, "Offsets from fixed points, and depth: this joint lies outside a chamber. Enter: where the plan has it; what is measured later is given as a correction."
	}
	return f
}

// planned is the plan's fitting if a table has it: a circumstance, offered.
func planned(c ctx) string {
	if untaught(c) {
		return "" // the code may be another fitting's: the bag is to be read
	}
	if _, err := c.Shelf.Row(c.j.Fitting); err != nil {
		return ""
	}
	return c.j.Fitting
}

// untaught tells whether a fitting's code was scanned that nobody taught yet.
func untaught(c ctx) bool {
	code := c.w.Answers[logbook.ItemCode].V
	_, known := c.Site.TaughtAs(code)
	return !known && fusion.ReadCode(code).Form == fusion.FusionData
}

// fittingsFor are the rows that fit the pipe, the plan's first.
func fittingsFor(c ctx) []string {
	var first, rest []string
	for _, row := range c.Shelf.Rows() {
		name := row.Fitting.Name
		switch {
		case name == c.j.Fitting:
			first = append(first, name)
		case c.j.Fits(row.Fitting) == nil:
			rest = append(rest, name)
		}
	}
	return append(first, rest...)
}

func lastStop(c ctx, step logbook.Step) string {
	if n := len(c.w.Stops); n > 0 && c.w.Stops[n-1].Step == step {
		return "STOPPED: " + c.w.Stops[n-1].Why
	}
	return ""
}

// answeredSince tells whether something was answered after the last stop.
func answeredSince(w logbook.Weld) bool {
	for i := len(w.Trail) - 1; i >= 0; i-- {
		switch w.Trail[i].Kind {
		case logbook.StepAnswered{}.Kind():
			return true
		case logbook.StepStopped{}.Kind():
			return false
		}
	}
	return false
}

// How a bag can be read.
const (
	bagSame  = "as the table"
	bagOther = "another time"
)

// openBag asks whether the bag of a new batch prints the table's time. Both figures
// stand side by side; one that is typed unlike the table blocks the fitting on the
// site, and typed again like the table lifts that.
func openBag(c ctx) stepper {
	row, err := c.Shelf.Known(c.w.Fitting())
	if err != nil {
		return note(err.Error())
	}
	band := row.BagBand(c.w)
	printed := form.Field{Item: "printed", Label: fmt.Sprintf("seconds the bag prints for %s", row.Table.Bands[band]), Manner: form.Number, Check: form.Whole(1, 9999, "s")}
	fields := []form.Field{{
		Item: "bag", Label: fmt.Sprintf("this bag prints for %s", row.Table.Bands[band]), Manner: form.Choice, Options: []string{bagSame, bagOther},
		Says: func(o string) string {
			if o == bagSame {
				return fmt.Sprintf("%s: %d s", bagSame, row.Fitting.Seconds[band])
			}
			return o
		},
	}, printed.Unless(func(a form.Answers) bool { return a.V("bag") == bagSame })}
	by, stopped := row.StoppedBy()
	if stopped {
		fields = []form.Field{printed}
	}
	return formStep{
		text: func(c ctx) []string { return bagText(c, row, band, by, stopped) },
		form: form.New(fields),
		done: func(c ctx, a form.Answers) {
			save(c, "bag", func(h acts.Head) acts.Act {
				if n := a.Int("printed"); n != nil && a.V("bag") != bagSame {
					return acts.TypeBag(h, c.w.ID, *n)
				}
				return acts.ReadBag(h, c.w.ID, true)
			})
		},
	}
}

func bagText(c ctx, row logbook.TableRow, band int, by logbook.BagRead, stopped bool) []string {
	if !stopped {
		return []string{fmt.Sprintf("Batch %s of %s is new here. Read the bag itself.", logbook.Clean(c.w.Answered(logbook.ItemBatch)), c.w.Fitting())}
	}
	was := "prints another time"
	if by.Printed != nil {
		was = fmt.Sprintf("prints %d s for %s", *by.Printed, by.Band)
	}
	return []string{
		c.Style.Warn(widget.Cut(fmt.Sprintf("  BLOCKED on the whole site: the bag of batch %s %s.", logbook.Clean(logbook.Words(logbook.ItemBatch, by.Batch)), was), c.W)),
		fmt.Sprintf("The table has %d s for %s. Type what that bag prints once more, with your name as %s: the table's own figure lifts the block.", row.Fitting.Seconds[band], row.Table.Bands[band], logbook.Clean(c.By)),
		"Else take a corrected table (coolhold site table), read back; or ← to another fitting. No reason overrules a bag.",
	}
}

func openAmbient(c ctx) stepper {
	return formStep{
		text: func(c ctx) []string {
			lines := []string{"Let pipe, fitting and unit reach the same temperature. Measure in the shade beside the joint."}
			if last := lastStop(c, logbook.StepAmbient); last != "" {
				lines = append(lines, last)
			}
			return lines
		},
		form: ambientForm(c), again: ambientForm,
		done: func(c ctx, a form.Answers) {
			save(c, "ambient", func(h acts.Head) acts.Act { return ambientAct(c, h, a) })
		},
	}
}

const stillThat = "still"

// ambientForm takes figures at once. That the last reading holds is said by the space
// bar, not where a reading outside the bands was tried since: the older value would
// be the harmless one.
func ambientForm(c ctx) form.Form {
	f := form.Of(logbook.FieldAmbient)
	last, age, fresh := ahead.FreshAmbient(c.Site, c.Now, c.Beat)
	if fresh && lastStop(c, logbook.StepAmbient) == "" {
		f.Other = &form.Other{Says: fmt.Sprintf("still %s °C, read %d min ago, weather unchanged", last.C, int(age.Minutes())), V: stillThat, How: logbook.Offered}
	}
	f.Doubt = func(_ form.Answers, v string) string {
		t, err := fusion.ParseCelsius(v)
		if err != nil {
			return ""
		}
		_, beside := ahead.DoubtAmbient(c.Site, t, c.Now)
		return beside
	}
	return form.New([]form.Field{f})
}

func ambientAct(c ctx, h acts.Head, a form.Answers) acts.Act {
	if last, _, fresh := ahead.FreshAmbient(c.Site, c.Now, c.Beat); fresh && a.V(logbook.FieldAmbient) == stillThat {
		return acts.ReadAmbient(h, c.w.ID, last.C, logbook.Offered, &last.At)
	}
	v, err := fusion.ParseCelsius(a.V(logbook.FieldAmbient))
	if err != nil {
		return func(logbook.Reader) ([]logbook.Draft, error) { return nil, err }
	}
	return acts.ReadAmbient(h, c.w.ID, v, logbook.Typed, nil)
}

func openResistance(c ctx) stepper {
	return formStep{
		text: func(c ctx) []string {
			lines := append(busy(c), "Connect the leads and support them. The unit reads the coil before it starts.")
			if zone := c.w.ZoneLine(); zone != "" {
				lines = append(lines, strings.ToUpper(zone)+": its own pair of terminals. The same fitting, the same time; do not move the joint in between.")
			}
			if n := len(c.w.Refused); n > 0 {
				lines = append(lines, refusedLine(c.w.Refused[n-1]))
			}
			if row, err := c.Shelf.Row(c.w.Fitting()); err == nil {
				if win, ok := row.Fitting.OhmsWindow(); ok {
					lines = append(lines, fmt.Sprintf("Window %.2f … %.2f Ω (%s). Outside it is a query, no stop: the unit stops by itself.", win.Low, win.High, win.Basis))
				}
			}
			return lines
		},
		form: form.New([]form.Field{ohmsField(c)}),
		done: func(c ctx, a form.Answers) {
			save(c, "resistance", func(h acts.Head) acts.Act { return acts.ReadOhms(h, c.w.ID, a.Float(logbook.FieldOhms)) })
		},
	}
}

func ohmsField(c ctx) form.Field {
	f := form.Of(logbook.FieldOhms).OrNone("the unit does not show it")
	f.Doubt = func(_ form.Answers, v string) string {
		ohms, _ := strconv.ParseFloat(v, 64)
		if _, beside := ahead.DoubtOhms(c.Book, c.w, ohms); beside != "" {
			return beside
		}
		if read := acts.OhmsOf(c.Book, c.w, &ohms, logbook.Typed); read.Outside() {
			return ohmsBeside(read)
		}
		return ""
	}
	return f
}

// ohmsBeside holds a reading against its window.
func ohmsBeside(b logbook.ResistanceRead) string {
	return fmt.Sprintf("%s Ω lies outside %.2f … %.2f Ω", b.Shown(), b.Low, b.High)
}

// busy says that the unit has another joint's current on: until that has ended its display
// is of that joint.
func busy(c ctx) []string {
	if other, is := ahead.Busy(c.Book, c.Site.ID, c.w.Unit); is {
		return []string{c.Style.Warn(widget.Cut(fmt.Sprintf("  Unit %s is fusing %s: wait for its end, and say how it ended (→).", c.w.Unit, other.Joint), c.W))}
	}
	return nil
}

// refusedLine says what a refusal leaves to be done.
func refusedLine(b logbook.AttemptRefused) string {
	said := "The unit refused and said nothing."
	if b.Said != "" {
		said = "The unit refused: " + logbook.Clean(b.Said) + "."
	}
	if b.Cold() {
		return said + " Nothing is to be cut: mend the contact, then read again."
	}
	return said + " It is not known that no current went in. Ask the foreman; the fitting's own instructions say whether it may be fused again."
}

// The ways a start can go.
const (
	startNow    = "the current is on"
	startAgo    = "it went on some seconds ago"
	startNo     = "the unit refused to start"
	startGiveUp = "give this weld up; no current was on"
	startHeat   = "give this weld up; whether current was on is not known"
	startNoMore = "it cannot be fused on: it is to be cut out"
)

func openStart(c ctx) stepper {
	return formStep{
		text: func(c ctx) []string {
			lines := []string{"Stand clear; touch neither terminals nor leads. The unit stays out of the pit, behind an RCD (GFCI). The fitting's and the site's own rules go first."}
			lines = append(lines, busy(c)...)
			if c.w.Ohms != nil && c.w.Ohms.Outside() {
				lines = append(lines, c.Style.Warn(widget.Cut("  "+ohmsBeside(*c.w.Ohms)+": a query, for the foreman.", c.W)))
			}
			if c.w.Settings != nil {
				then := fmt.Sprintf("Then leave the joint alone for %d min.", c.w.Settings.CoolingMin)
				if c.w.MoreZones() {
					then = "Another zone follows."
				}
				lines = append(lines, fmt.Sprintf("Set: %d s. %s", c.w.Settings.SecondsShown, then))
			}
			if c.w.Scraped != nil {
				lines = append(lines, fmt.Sprintf("Scraped %d min ago.", minutesSince(c)))
			}
			return lines
		},
		form: startForm(c), again: startForm,
		done: func(c ctx, a form.Answers) {
			save(c, "start", func(h acts.Head) acts.Act { return startAct(c, h, a) })
		},
	}
}

func startForm(c ctx) form.Form {
	giveUp := startGiveUp
	switch {
	case c.w.Between():
		giveUp = startNoMore
	case c.w.HeatPossible():
		giveUp = startHeat
	}
	is := func(v string) func(form.Answers) bool {
		return func(a form.Answers) bool { return a.V("start") != v }
	}
	return form.New([]form.Field{
		{Item: "start", Label: "start", Manner: form.Choice, Options: []string{startNow, startAgo, startNo, giveUp}, Alone: true},
		{Item: "ago", Label: "seconds ago", Manner: form.Number, Check: form.Whole(1, 3600, "s"), Skip: is(startAgo)},
		{Item: "said", Label: "what the unit said", Manner: form.Text, Blank: true, Skip: is(startNo)},
		form.Reason("why", "why it is given up", logbook.WhyGivenUp).Unless(is(giveUp)),
	})
}

func startAct(c ctx, h acts.Head, a form.Answers) acts.Act {
	switch a.V("start") {
	case startAgo:
		ago, _ := strconv.Atoi(a.V("ago"))
		return acts.StartFusion(h, c.w.ID, ago)
	case startNo:
		return acts.RefuseStart(h, c.w.ID, a.V("said"), nil, c.asked)
	case startNoMore:
		return acts.EndFusion(h, c.w.ID, logbook.FusionEnded{Outcome: logbook.Stopped, Said: a.V("why")})
	case startGiveUp, startHeat:
		return acts.AbandonWalk(h, c.w.ID, a.V("why"))
	}
	return acts.StartFusion(h, c.w.ID, 0)
}

// note is a step that can only be read.
func note(text string) stepper {
	return formStep{text: func(ctx) []string { return strings.Split(text, "\n") }}
}
