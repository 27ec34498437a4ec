package walk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A batch is what a walk knows of the joints that are prepared together: who makes them,
// with which unit, and which are to be prepared after this one.
type batch struct {
	on             bool
	operator, unit string
	rest           []string
	fuses          bool // this one is fused at once
	told           bool // the figures were shown before its walk was taken up
}

// setsDown tells whether a walk of a batch stands where its joint can be set down.
func (s Walk) setsDown(c ctx) bool {
	return s.batch.on && !s.batch.fuses && s.past == 0 && c.w.Walking() && len(c.w.Stood) == 0 && prepared(c)
}

// prepared tells whether the joint of a walk is prepared, and nothing of it is keyed yet.
func prepared(c ctx) bool {
	return slices.Contains([]logbook.Step{logbook.StepAmbient, logbook.StepBag, logbook.StepSettings}, c.next())
}

// nextOne tells whether a weld of a batch is recorded and another stands prepared.
func (s Walk) nextOne(c ctx) (ahead.Ready, bool) {
	if !s.batch.on || c.next() != logbook.StepDone || !c.w.Stands() {
		return ahead.Ready{}, false
	}
	return FirstReady(c.Env)
}

// batchEnds tells whether the last weld of a batch is recorded.
func (s Walk) batchEnds(c ctx) bool {
	if !s.batch.on || len(s.batch.rest) > 0 || c.next() != logbook.StepDone {
		return false
	}
	_, more := FirstReady(c.Env)
	return !more
}

// FirstReady is the joint that stands prepared and is to be fused next.
func FirstReady(env shell.Env) (ahead.Ready, bool) {
	ready := ahead.ReadyOn(env.Sight, env.Site.ID, env.Began, env.Now, env.Beat)
	if len(ready) == 0 {
		return ahead.Ready{}, false
	}
	return ready[0], true
}

// ofBatch answers the keys that a walk of a batch has besides its steps.
func (s Walk) ofBatch(c ctx, msg tea.Msg) (Walk, bool) {
	d := shell.Digit(msg)
	if s.setsDown(c) {
		switch d {
		case 1:
			s.setDown(c)
		case 2:
			s.batch.fuses = true
		}
		return s, !shell.Is(msg, shell.Leave, shell.BackOne)
	}
	if ready, is := s.nextOne(c); is && d == 0 { // another key than the one that ends a look
		Take(c.Env, ready, s.batch.rest...)
		return s, true
	} else if s.batchEnds(c) && shell.Is(msg, shell.Enter) {
		c.Do.Home() // nothing stands prepared any more
		return s, true
	}
	if shell.Is(msg, shell.Up) && s.past == 0 && c.next() == logbook.StepAmbient && c.w.Ready == nil {
		s.setDown(c)
		return s, true
	}
	return s, false
}

// setDown stores that the joint stands prepared, and goes on with the next of its batch.
func (s Walk) setDown(c ctx) {
	save(c, "set down", func(h acts.Head) acts.Act { return acts.SetDown(h, c.w.ID, c.Beat) })
	s.batch.goOn(c.Env)
}

// goOn puts the next joint to be prepared in place of the top screen, or takes that away.
func (b batch) goOn(env shell.Env) {
	if len(b.rest) == 0 {
		env.Do.Pop()
		return
	}
	label := b.rest[0]
	b.rest = b.rest[1:]
	env.Do.Replace(b.prepares(env, label))
}

// Prepare opens what asks for the preparation of the first joint of a batch.
func Prepare(env shell.Env, operator, unit string, joints []string) {
	b := batch{on: true, operator: operator, unit: unit, rest: joints[1:]}
	env.Do.Push(b.prepares(env, joints[0]))
}

// batchView is what a walk of a batch shows in place of its step; nil where it shows that.
func (s Walk) batchView(c ctx) []string {
	if !s.setsDown(c) {
		return nil
	}
	after := "back to the batch"
	if len(s.batch.rest) > 0 {
		after = "prepare " + s.batch.rest[0]
	}
	lines := []string{"  " + c.j.Label + " is prepared and clamped.", "", c.Style.Bold("  1  set it down: " + after), "  2  fuse it now"}
	return append(lines, "", "  It is not asked again, unless something comes between that may spoil it.")
}

// batchBelow is what stands below the last step of a weld of a batch.
func (s Walk) batchBelow(c ctx) []string {
	ready, is := s.nextOne(c)
	if !is {
		return nil
	}
	lines := []string{"", c.Style.Bold("  0  next of the batch: " + ready.Weld.Joint)}
	return append(lines, TakeLines(c.Env, ready)...)
}

// batchKeys are the keys of a batch's walk.
func (s Walk) batchKeys(c ctx) shell.Keys {
	switch _, next := s.nextOne(c); {
	case s.setsDown(c):
		return shell.Keys{shell.On("1", "set down"), shell.On("2", "fuse now")}
	case next:
		return shell.Keys{shell.On("0", "next of the batch")}
	case s.past == 0 && c.next() == logbook.StepAmbient:
		return shell.Keys{shell.On("↑", "set down")}
	}
	return nil
}

// Take takes a joint up that stands prepared. Where a fresh reading of the temperature was
// shown with it, that is confirmed by the same key.
// rest are the joints of its batch that are not prepared yet.
func Take(env shell.Env, ready ahead.Ready, rest ...string) {
	env.Do.Replace(taken(env, ready, rest))
}

// PushTaken is Take above the screen that stays.
func PushTaken(env shell.Env, ready ahead.Ready, rest ...string) {
	env.Do.Push(taken(env, ready, rest))
}

// TakeTouched takes a joint up that is said to have been touched: what is true of it is
// asked before anything else.
func TakeTouched(env shell.Env, ready ahead.Ready) {
	ready.Since = append(slices.Clip(ready.Since), logbook.WasTouched)
	env.Do.Replace(taken(env, ready, nil, logbook.WasTouched))
}

func taken(env shell.Env, ready ahead.Ready, rest []string, also ...string) shell.Screen {
	w := ready.Weld
	if _, here := env.Shift.Operator(w.Operator); here {
		env.By = w.Operator
		env.Do.By(env.By)
	}
	h := env.Head()
	env.Do.Save(h, w.ID+" taken up", acts.TakeNext(h, w.ID, env.Began, env.Beat, also...))
	last, figures := figuresOf(env, ready)
	if last != nil {
		h := env.Head()
		env.Do.Save(h, w.ID+" ambient", acts.ReadAmbient(h, w.ID, last.C, logbook.Offered, &last.At))
	}
	return Walk{joint: w.Joint, weld: w.ID, batch: batch{on: true, operator: w.Operator, unit: w.Unit, rest: rest, told: figures != nil}}
}

// figuresOf are what can be told before a joint is taken up: the reading of the
// temperature where it is fresh, and what its table says at that.
func figuresOf(env shell.Env, ready ahead.Ready) (*logbook.LastAmbient, *fusion.Settings) {
	w := ready.Weld
	last, _, fresh := ahead.FreshAmbient(env.Site, env.Now, env.Beat)
	if !fresh || len(ready.Since) > 0 || ready.Late || w.Ambient != nil {
		return nil, nil
	}
	w.Ambient, w.AmbientAt = &logbook.AmbientRead{C: last.C}, &last.At
	set, _, err := ahead.SettingsFor(env.Book, w)
	if err != nil {
		return nil, nil
	}
	due := ahead.DueOf(env.Book, env.Shelf, w, env.Now, env.Beat)
	if due.Bag || w.Corrects != logbook.No || lastMode(ctx{Env: env, w: w}) != logbook.ModeKeyed {
		return &last, nil
	}
	return &last, &set
}

// TakeLines say what goes with the key that takes a joint up.
func TakeLines(env shell.Env, ready ahead.Ready) []string {
	var lines []string
	add := func(text string) {
		for _, l := range widget.Wrap(logbook.Clean(text), env.W-5) {
			lines = append(lines, "     "+l)
		}
	}
	add(ScrapedLine(env, ready))
	if len(ready.Since) > 0 {
		add("Asked first: " + strings.Join(logbook.Betweens.Words(ready.Since...), "; ") + ".")
	}
	last, set := figuresOf(env, ready)
	if last != nil {
		_, age, _ := ahead.FreshAmbient(env.Site, env.Now, env.Beat)
		add(fmt.Sprintf("With the key: it is still %s °C, read %d min ago, weather unchanged.", last.C, int(age.Minutes())))
	}
	if set != nil {
		lines = append(lines, env.Style.Bold(widget.Cut(fmt.Sprintf("     Set the unit first: %d s, %s V. Then they are gone.", set.Seconds, fusion.Figure(set.Volts)), env.W)))
	}
	return lines
}

// ScrapedLine says how long ago a joint was scraped.
func ScrapedLine(env shell.Env, ready ahead.Ready) string {
	switch most := env.Site.ScrapedMin; {
	case !ready.Known:
		return "Not scraped."
	case ready.Late:
		return fmt.Sprintf("Scraped %d min ago: the plan allows %d. Scrape it again.", int(ready.Scraped.Minutes()), most)
	case most > 0:
		return fmt.Sprintf("Scraped %d min ago; the plan allows %d.", int(ready.Scraped.Minutes()), most)
	}
	return fmt.Sprintf("Scraped %d min ago.", int(ready.Scraped.Minutes()))
}

// tells is a step of a batch's walk as it opens: figures that were shown with the key
// before it are away already.
func (b batch) tells(ui stepper) stepper {
	if s, is := ui.(settings); is && b.told && s.mode == logbook.ModeKeyed {
		s.away = true
		return s
	}
	return ui
}

// What is said of a joint that was scraped longer ago than the plan allows, besides the
// codes of logbook.AfterBreak.
const (
	onAlready = "current"
	givenUp   = "given up"
)

// openScrape stops a walk before the current. A current that is on all the same is a
// fact, and is recorded.
func openScrape(c ctx) stepper {
	return formStep{
		text: func(c ctx) []string {
			ago, _ := ahead.ScrapedAgo(c.Site, c.w, c.Now, c.Beat)
			return []string{
				fmt.Sprintf("STOPPED: scraped %d min ago, and the plan allows %d min until the current is on.", int(ago.Minutes()), c.Site.ScrapedMin),
				"Do not start. Cut back and prepare anew, or scrape by hand where the site allows it. A second pass with a rotary scraper may leave the pipe too thin.",
			}
		},
		form: scrapeForm(c), again: scrapeForm,
		done: func(c ctx, a form.Answers) {
			save(c, "scraped too long ago", func(h acts.Head) acts.Act { return scrapeAct(c, h, a) })
		},
	}
}

func scrapeForm(c ctx) form.Form {
	says := map[string]string{onAlready: "the current is on already", givenUp: "give this weld up"}
	options := []string{logbook.HandAgain, logbook.CutBack, givenUp}
	if c.w.Settings != nil {
		options = append(options, onAlready)
	}
	is := func(v string) func(form.Answers) bool {
		return func(a form.Answers) bool { return a.V("scrape") != v }
	}
	return form.New([]form.Field{
		{Item: "scrape", Label: "what was done", Manner: form.Choice, Options: options, Says: func(v string) string {
			if text, own := says[v]; own {
				return text
			}
			return logbook.AfterBreak.Word(v)
		}},
		{Item: "ago", Label: "seconds since the current is on", Manner: form.Number, Check: form.Whole(0, 3600, "s"), Skip: is(onAlready)},
		form.Reason("why", "why it is given up", logbook.WhyGivenUp).Unless(is(givenUp)),
	})
}

func scrapeAct(c ctx, h acts.Head, a form.Answers) acts.Act {
	switch v := a.V("scrape"); v {
	case onAlready:
		ago, _ := strconv.Atoi(a.V("ago"))
		return acts.StartFusion(h, c.w.ID, ago)
	case givenUp:
		return acts.AbandonWalk(h, c.w.ID, a.V("why"))
	default:
		return acts.AnswerStep(h, c.w.ID, logbook.StepScrape, []logbook.Answer{{Item: c.w.ScrapeItem(), V: v, How: logbook.Typed}})
	}
}

// breakLine says why a joint is asked about before it is fused.
func breakLine(c ctx) string {
	line := "Scraped " + strconv.Itoa(minutesSince(c)) + " min ago; "
	if len(c.w.Since) == 0 {
		return line + "the walk was left since. What is true of the joint now?"
	}
	return line + "since it was set down: " + strings.Join(logbook.Betweens.Words(c.w.Since...), "; ") + ". What is true of the joint now?"
}
