package walk

import (
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
)

// A station is one question of a walk that has its answer, and can be asked again
// until the current is on. What is answered then is stored as any answer is, with
// what it was before; nothing is taken back.
type station struct {
	step logbook.Step
	item string // of the fitting step
	open func(ctx) stepper
}

// answered are the stations before the question that the walk stands at, in the order
// in which they are asked.
func answered(c ctx) []station {
	if !c.w.Walking() {
		return nil
	}
	var before []station
	for _, at := range stations(c) {
		if stands(c, at) {
			break
		}
		if at.open != nil {
			before = append(before, at)
		}
	}
	return before
}

// stands tells whether a walk stands at a station.
func stands(c ctx, at station) bool {
	return at.step == c.next() && (at.step != logbook.StepFitting || at.item == openItem(c))
}

// stations are all questions of the walk; one without an answer cannot be opened.
func stations(c ctx) []station {
	all := []station{
		{logbook.StepPeople, "", had(len(c.Shift.Operators) > 1 || len(c.Shift.Units) > 1, openPeople)},
		{logbook.StepBeside, "", had(len(c.w.About(logbook.ItemBeside)) > 0, openBesideAgain)},
	}
	for _, item := range logbook.FittingItems(c.j) {
		_, said := c.w.Answers[item]
		all = append(all, station{logbook.StepFitting, item, had(said, func(c ctx) stepper { return fittingStep(c, item, c.w.Answers) })})
	}
	return append(all,
		station{logbook.StepPrep, "", had(c.w.Scraped != nil || c.w.Prepared(), openPrep)},
		station{logbook.StepBreak, "", had(len(c.w.About(logbook.ItemBreak)) > 0 && !c.w.BreakDue, openBreakAgain)},
		station{logbook.StepAmbient, "", had(c.w.Ambient != nil, openAmbientAgain)},
		station{logbook.StepBag, "", had(c.w.Bag != nil && c.w.Bag.Fitting == c.w.Fitting(), openBag)},
		station{logbook.StepSettings, "", had(c.w.Settings != nil, openSettings)},
		station{logbook.StepResistance, "", had(c.w.Ohms != nil, openResistanceAgain)},
		station{logbook.StepStart, "", nil},
	)
}

func had(said bool, open func(ctx) stepper) func(ctx) stepper {
	if !said {
		return nil
	}
	return open
}

// again is a step of one form, opened on what stands.
func again(s stepper, stands form.Answers) stepper {
	step := s.(formStep)
	step.form = form.Again(step.form.Fields, stands)
	step.again = nil
	return step
}

func standing(item, v string) form.Answers {
	return form.Answers{item: {Item: item, V: v, How: logbook.Typed}}
}

func openAmbientAgain(c ctx) stepper {
	return again(openAmbient(c), standing(logbook.FieldAmbient, c.w.Ambient.C.String()))
}

func openResistanceAgain(c ctx) stepper {
	v := ""
	if c.w.Ohms.Ohms != nil {
		v = fusion.Figure(*c.w.Ohms.Ohms)
	}
	return again(openResistance(c), standing(logbook.FieldOhms, v))
}

// openPeople asks who welds and with which unit, where the shift has several.
func openPeople(c ctx) stepper {
	stands := form.Answers{}
	fields := peopleFields(c.Env)
	for i := range fields {
		fields[i].Offer = ""
		v, _ := logbook.ValueOf(fields[i].Item)
		stands[fields[i].Item] = logbook.Answer{Item: fields[i].Item, V: v.Get(c.w), How: logbook.Typed}
	}
	return formStep{
		text: func(ctx) []string { return []string{"Who makes this weld, and with which control unit."} },
		form: form.Again(fields, stands),
		done: func(c ctx, a form.Answers) {
			var answers []logbook.Answer
			for _, f := range fields {
				if a.V(f.Item) != stands.V(f.Item) {
					answers = append(answers, a[f.Item])
				}
			}
			if by := a.V(logbook.FieldOperator); by != "" {
				c.Do.By(by)
				c.By = by
			}
			save(c, "people and unit", func(h acts.Head) acts.Act { return acts.AnswerStep(h, c.w.ID, logbook.StepPeople, answers) })
		},
	}
}

// besideField asks whether a joint held on the same pipe bears the work beside it.
func besideField(item string) form.Field {
	return form.Choose(item, "the held joint stays, by this work", logbook.Besides)
}

func openBeside(c ctx) stepper {
	held := ahead.DueOf(c.Book, c.Shelf, c.w, c.Now, c.Beat).Beside
	return besideStep(c, held, nil)
}

func openBesideAgain(c ctx) stepper {
	said := c.w.About(logbook.ItemBeside)
	last := said[len(said)-1]
	return besideStep(c, strings.TrimPrefix(last.Item, logbook.ItemBeside+":"), form.Answers{last.Item: last})
}

func besideStep(c ctx, held string, stands form.Answers) stepper {
	item := logbook.BesideItem(held)
	s := formStep{
		text: func(c ctx) []string {
			return []string{"Joint " + c.Weld(held).Joint + " (" + held + ") is fusing or held on the same pipe. It must not move until it has cooled."}
		},
		form: form.New([]form.Field{besideField(item)}),
		done: func(c ctx, a form.Answers) {
			save(c, "held beside", func(h acts.Head) acts.Act {
				return acts.AnswerStep(h, c.w.ID, logbook.StepBeside, []logbook.Answer{a[item]})
			})
		},
	}
	if stands != nil {
		s.form = form.Again(s.form.Fields, stands)
	}
	return s
}

// openBreak asks what is true now of a joint that was ready before a break. Nobody is
// made to scrape twice: a rotary tool takes another layer off and may undersize the
// pipe (gas practice notes; the reason is ours).
func openBreak(c ctx) stepper {
	item := logbook.BreakItem(c.w.Resumed)
	return formStep{
		text: func(c ctx) []string {
			return []string{
				breakLine(c),
				"Where it would have to be scraped again: cut back and prepare anew, or scrape by hand where the site allows it. A second pass with a rotary scraper may leave the pipe too thin.",
			}
		},
		form: form.New([]form.Field{form.Choose(item, "the joint after the break", logbook.AfterBreak)}),
		done: func(c ctx, a form.Answers) {
			save(c, "after the break", func(h acts.Head) acts.Act {
				return acts.AnswerStep(h, c.w.ID, logbook.StepBreak, []logbook.Answer{a[item]})
			})
		},
	}
}

func openBreakAgain(c ctx) stepper {
	said := c.w.About(logbook.ItemBreak)
	last := said[len(said)-1]
	return again(openBreak(c), form.Answers{last.Item: last})
}
