// Package walk leads an operator through one weld: a list of steps that know
// no neighbours. Which step is next follows from the weld's record (package
// logbook), so a walk taken up after a crash, or thrown back by a save that
// failed, stands where the record stands.
package walk

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A ctx is what a step sees.
type ctx struct {
	shell.Env
	w     logbook.Weld
	j     logbook.Joint
	asked fusion.Stamp // when the first question of the form was answered
}

// A stepper shows one step. It answers keys and scans, and saves what was
// given the moment it is given.
type stepper interface {
	update(ctx, tea.Msg) stepper
	back(ctx) (stepper, bool) // one question back within the step, if there is one
	ended() bool              // a step opened again has its answers, changed or not
	view(c ctx, height int) string
	takes(ctx) shell.Taking
	keys(ctx) shell.Keys
}

// steps opens the screen of each step.
var steps = map[logbook.Step]func(ctx) stepper{
	logbook.StepBeside:     openBeside,
	logbook.StepFitting:    openFitting,
	logbook.StepPrep:       openPrep,
	logbook.StepBreak:      openBreak,
	logbook.StepScrape:     openScrape,
	logbook.StepAmbient:    openAmbient,
	logbook.StepBag:        openBag,
	logbook.StepSettings:   openSettings,
	logbook.StepResistance: openResistance,
	logbook.StepStart:      openStart,
	logbook.StepFusion:     openFusion,
	logbook.StepRun:        openRun,
	logbook.StepLook:       openLook,
	logbook.StepDone:       openDone,
}

// order is the walk as counted on the screen.
var order = []logbook.Step{
	logbook.StepFitting, logbook.StepPrep, logbook.StepAmbient, logbook.StepSettings, logbook.StepResistance,
	logbook.StepStart, logbook.StepFusion, logbook.StepRun, logbook.StepLook,
}

// Walk is the screen. It remembers the joint, the weld, and which step its
// stepper was opened for.
type Walk struct {
	joint string
	weld  string
	asked string // id of the save that gives the weld its number
	place place  // what ui was opened for
	past  int    // how many answered questions the walk looks back; 0: none
	seen  int    // entries of the weld when it began to
	ui    stepper
	kept  stepper // where the walk stands, while it looks back
	batch batch
	hand  form.Hand // who looks
}

// Open opens the walk of a weld that is past its start: nothing is asked again.
func Open(_ shell.Env, w logbook.Weld) shell.Screen {
	return Walk{joint: w.Joint, weld: w.ID}
}

// TakeUp opens a walk that was left, or that a crash broke off, before the
// current was on, and stores that it is resumed: what may have spoiled since is
// asked again.
func TakeUp(env shell.Env, w logbook.Weld) { takeUp(env, w, batch{on: w.Ready != nil}) }

// TakeUpOf is TakeUp in a batch, of which rest is not prepared yet.
func TakeUpOf(env shell.Env, w logbook.Weld, rest ...string) {
	takeUp(env, w, batch{on: true, rest: rest})
}

func takeUp(env shell.Env, w logbook.Weld, b batch) {
	h := env.Head()
	env.Do.Save(h, "walk resumed", resumes(env, h, w))
	b.operator, b.unit = w.Operator, w.Unit
	env.Do.Push(Walk{joint: w.Joint, weld: w.ID, batch: b})
}

// resumes takes a walk up; one that was set down prepared is asked only what came between.
func resumes(env shell.Env, h acts.Head, w logbook.Weld) acts.Act {
	if w.Ready != nil {
		return acts.TakeNext(h, w.ID, env.Began, env.Beat)
	}
	return acts.ResumeWalk(h, w.ID, w.Next(env.Joint(w.Joint), ahead.DueOf(env.Book, env.Shelf, w, env.Now, env.Beat)))
}

func (s Walk) ctx(env shell.Env) ctx {
	c := ctx{Env: env, j: env.Joint(s.joint)}
	id := s.weld
	if id == "" { // the number is being stored
		id = c.j.Walk
	}
	c.w = env.Weld(id)
	// What is answered in a walk is answered by whoever makes that weld, whosever walk
	// was open before.
	if _, here := env.Shift.Operator(c.w.Operator); here {
		c.By = c.w.Operator
	}
	if s.hand != "" && c.w.ID != "" && c.next() == logbook.StepLook {
		c.By = string(s.hand)
	}
	return c
}

// next is the step that the record needs now.
func (c ctx) next() logbook.Step {
	return c.w.Next(c.j, ahead.DueOf(c.Book, c.Shelf, c.w, c.Now, c.Beat))
}

// current is the walk with ui at the step that the record needs now, or at the
// question that is looked back at, until something is answered there.
func (s Walk) current(c ctx) Walk {
	if s.past > 0 && len(c.w.Trail) == s.seen && s.ui != nil {
		return s
	}
	if s.past > 0 {
		s.past, s.ui = 0, nil
	}
	step := c.next()
	if at := placeOf(c, step); s.ui == nil || s.place != at {
		s.ui, s.place = s.batch.tells(steps[step](c)), at
	}
	if s.ui.ended() { // what was answered was not stored: it is asked again, with what was given
		s.ui, _ = s.ui.back(c)
	}
	return s
}

// A place is what a stepper is opened for: with another one it is opened anew.
type place struct {
	step                              logbook.Step
	answers, stops, refusals, resumed int
	trail                             int // before the current, where each entry is an answer
	over                              bool
}

func placeOf(c ctx, step logbook.Step) place {
	switch left, _ := fusionLeft(c); step {
	case logbook.StepFusion:
		return place{step: step, over: left <= 2*time.Second} // asked otherwise once its time is over
	case logbook.StepPrep:
		return place{step: step, resumed: c.w.Resumed} // the card stays while marks are set on it
	}
	at := place{step: step, answers: len(c.w.Answers), stops: len(c.w.Stops), refusals: len(c.w.Refused), resumed: c.w.Resumed}
	if c.w.Walking() {
		at.trail = len(c.w.Trail)
	}
	return at
}

// Update answers Esc itself and hands the rest to the step.
func (s Walk) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if saved, ok := msg.(shell.Saved); ok {
		if s.weld == "" && saved.ID == s.asked && len(saved.Entries) > 0 {
			s.weld = saved.Entries[0].Weld
		}
		return s
	}
	if _, shown := msg.(shell.Shown); shown {
		return s
	}
	c := s.ctx(env)
	key, isKey := msg.(tea.KeyMsg)
	if c.w.ID == "" {
		if isKey {
			env.Do.Pop()
		}
		return s
	}
	s = s.current(c)
	if of, took := s.ofBatch(c, msg); took {
		return of
	}
	if hand, turned := s.hand.Turns(c.Env, msg); turned && s.looks(c) {
		s.hand = hand
		return s
	}
	switch {
	case isKey && shell.Is(key, shell.Leave) && s.past > 0:
		s.past, s.ui = 0, s.kept
		return s
	case isKey && shell.Is(key, shell.Leave):
		if card, is := s.ui.(prep); is && card.asks() { // opened by mistake
			s.ui = prep{}
			return s
		}
		s.leave(c)
		return s
	case isKey && shell.Is(key, shell.BackOne) && !formOf(s.ui).InText():
		return s.backOne(c)
	}
	if s.ui = s.ui.update(c, msg); s.past > 0 && s.ui.ended() {
		s.past, s.ui = 0, s.kept // it is opened anew where something was changed
	}
	return s
}

// looks tells whether the walk asks for its look, which another than the welder may give.
func (s Walk) looks(c ctx) bool { return s.past == 0 && c.next() == logbook.StepLook }

// backOne goes one question back: within the step, else to the last one that was
// answered before, until the current is on.
func (s Walk) backOne(c ctx) Walk {
	if ui, went := s.ui.back(c); went {
		s.ui = ui
		return s
	}
	said := answered(c)
	if s.past >= len(said) {
		if c.w.Walking() {
			c.Do.Say("there is no question before this one")
		}
		return s
	}
	if s.past == 0 {
		s.kept = s.ui // what was given there already stands there still
	}
	s.past++
	s.seen = len(c.w.Trail)
	s.ui = said[len(said)-s.past].open(c)
	return s
}

// leave stores that a walk is left in the middle; what was scraped must be
// scraped again when it is resumed.
func (s Walk) leave(c ctx) {
	if c.w.Walking() {
		h := c.Head()
		c.Do.Save(h, "walk left", acts.LeaveWalk(h, c.w.ID, c.next()))
	}
	c.Do.Pop()
}

// View draws the weld's line, then the step.
func (s Walk) View(env shell.Env) string {
	c := s.ctx(env)
	if c.w.ID == "" {
		return "this weld was not begun: any key goes back"
	}
	s = s.current(c)
	head := s.header(c)
	if lines := s.batchView(c); lines != nil {
		return strings.Join(append(head, lines...), "\n")
	}
	if below := s.batchBelow(c); below != nil {
		return strings.Join(append(append(head, s.tracked(c, c.H-len(head)-len(below))), below...), "\n")
	}
	return strings.Join(append(head, s.tracked(c, c.H-len(head))), "\n")
}

func (s Walk) header(c ctx) []string {
	step := c.next()
	name := step.String()
	for i, o := range order {
		if o == step || o == logbook.StepSettings && step == logbook.StepBag { // the bag's time is part of what is set
			name = fmt.Sprintf("step %d of %d: %s", i+1, len(order), step)
		}
	}
	if zone := c.w.ZoneLine(); zone != "" && (c.w.Between() || c.w.Fusing()) {
		name = zone + ", " + step.String()
	}
	if s.past > 0 {
		name = "changing an answer"
	}
	if s.setsDown(c) {
		name = "prepared"
	}
	fitting := cmp.Or(c.w.Fitting(), c.j.Fitting)
	parts := []string{c.j.Label, c.w.ID, logbook.Clean(fitting)}
	if c.j.Tape != "" {
		parts = append(parts, logbook.Clean(c.j.Tape)+" tape")
	}
	if ahead.UnlikePort(c.w, c.j) != "" {
		parts = append(parts, fmt.Sprintf("port %d, plan %d", logbook.PortOf(c.w, c.j), c.j.Port))
	}
	line := widget.Pad(headed(parts, c.W-widget.Width(name)-3), c.W-widget.Width(name)-1) + name
	lines := append([]string{c.Style.Bold(widget.Cut(line, c.W))}, warnings(c)...)
	if c.H > 16 {
		lines = append(lines, "")
	}
	return lines
}

// headed is the head of a walk in so many columns: joint and number stand in any case,
// and what is said last before what is said first.
func headed(parts []string, width int) string {
	for _, gap := range []string{"   ", "  "} {
		if left := strings.Join(parts, gap); widget.Width(left) <= width {
			return left
		}
	}
	if len(parts) > 2 {
		return headed(append(slices.Clone(parts[:2]), parts[3:]...), width)
	}
	return widget.Cut(strings.Join(parts, "  "), width)
}

// warnings are what the current should wait for: said until it is on, without a key.
func warnings(c ctx) []string {
	if !c.w.Walking() {
		return nil
	}
	var says []string
	if at := c.Shift.Weather; at.Sky == logbook.SkyWet && at.Shelter == logbook.ShelterNone {
		says = append(says, "Rain or snow and no shelter: water in the zone makes voids. Shelter it first, or it is a query.")
	}
	if is, plan := c.w.Fitting(), c.j.Fitting; is != "" && plan != "" && is != plan {
		says = append(says, fmt.Sprintf("The plan has %s here: with %s it is a query.", plan, is))
	}
	var lines []string
	for _, text := range says {
		for _, l := range widget.Wrap(logbook.Clean(text), c.W-2) {
			lines = append(lines, c.Style.Warn(" "+l))
		}
	}
	return lines
}

// Keys are the step's keys.
func (s Walk) Keys(env shell.Env) shell.Keys {
	c := s.ctx(env)
	if c.w.ID == "" {
		return shell.Keys{shell.On("Esc ← Enter digit", "back")}
	}
	s = s.current(c)
	if s.setsDown(c) {
		return append(s.batchKeys(c), shell.On("←", "change an answer"), shell.On("Esc", "leave the walk"))
	}
	keys := append(s.batchKeys(c), s.ui.keys(c)...)
	if s.looks(c) {
		keys = append(keys, s.hand.Keys(c.Env)...)
	}
	switch {
	case s.past > 0:
		return append(keys, shell.On("←", "one back"), shell.On("Esc", "on with the walk"))
	case c.w.Walking():
		return append(keys, shell.On("←", "change an answer"), shell.On("Esc", "leave the walk"))
	}
	if f, is := s.ui.(formStep); !is || !f.form.AtFirst() {
		keys = append(keys, shell.On("←", "one back"))
	}
	return append(keys, shell.On("Esc", "back"))
}

// Topic is that of the step it stands at.
func (s Walk) Topic(env shell.Env) string {
	c := s.ctx(env)
	if c.w.ID == "" {
		return "begin"
	}
	return "step " + string(s.current(c).place.step)
}

// Name says that the walk of a weld stands on the stack once.
func (s Walk) Name() string {
	if s.weld == "" {
		return ""
	}
	return "walk " + s.weld
}

// Takes is the step's wish.
func (s Walk) Takes(env shell.Env) shell.Taking {
	c := s.ctx(env)
	if c.w.ID == "" {
		return shell.NoScan
	}
	return s.current(c).ui.takes(c)
}

// Sideways tells whether → belongs to the question that is asked.
func (s Walk) Sideways(env shell.Env) bool {
	c := s.ctx(env)
	return c.w.ID != "" && formOf(s.current(c).ui).Rightward()
}

// formOf is the form that a step asks with now; an empty one where it has none.
func formOf(ui stepper) form.Form {
	switch ui := ui.(type) {
	case formStep:
		return ui.form
	case settings:
		if ui.away {
			return ui.typed.form
		}
	case prep:
		return ui.form
	}
	return form.Form{}
}

// A formStep is a step made of a form.
type formStep struct {
	text     func(ctx) []string         // above the form
	form     form.Form                  //
	answered func(ctx, logbook.Answer)  // each answer, at once; may be nil
	done     func(ctx, form.Answers)    // all of them; may be nil
	scanned  func(ctx, shell.Scan) bool // a scan that is no answer to the field
	again    func(ctx) form.Form        // the form anew, where the step stays
	first    fusion.Stamp               // when its first question was answered
}

func (s formStep) update(c ctx, msg tea.Msg) stepper {
	if span, ok := c.w.FusionSpan(); ok && c.w.Fusing() && span.Over(c.Now, c.Beat) {
		c.Do.Ack(c.w.ID) // whoever presses a key here has seen that it is over
	}
	if scan, ok := msg.(shell.Scan); ok && s.scanned != nil && s.scanned(c, scan) {
		return s
	}
	if s.form.AtFirst() {
		s.first = c.Now
	}
	c.asked = s.first
	f, event := s.form.Update(msg)
	s.form = f
	if event == form.Nothing || f.Kept() {
		return s
	}
	if s.answered != nil {
		s.answered(c, f.Last())
	}
	if event == form.Complete {
		if s.done != nil {
			s.done(c, f.Given)
		}
		if s.again != nil {
			s.form = s.again(c)
		}
	}
	return s
}

func (s formStep) back(ctx) (stepper, bool) {
	if s.form.AtFirst() {
		return s, false
	}
	s.form = s.form.Back()
	return s, true
}

func (s formStep) ended() bool { return s.form.Done() }

func (s formStep) view(c ctx, height int) string {
	var lines []string
	for _, t := range s.text(c) {
		lines = append(lines, wrapped(t, c.W)...)
	}
	if len(lines) > 0 && height-len(lines) > 8 {
		lines = append(lines, "")
	}
	return strings.Join(append(lines, s.form.Yielding(c.over()).View(c.Style, c.W, height-len(lines))), "\n")
}

// over tells whether something has ended and waits: → leads there, on any screen.
func (c ctx) over() bool { return c.Waits() }

// wrapped breaks a text to the window; one that is styled or drawn already is
// left alone.
func wrapped(text string, width int) []string {
	if strings.Contains(text, "\x1b") || strings.HasPrefix(text, "    ") {
		return []string{text}
	}
	lines := widget.Wrap(text, width-4)
	for i := range lines {
		lines[i] = "  " + lines[i]
	}
	return lines
}

func (s formStep) takes(ctx) shell.Taking {
	if s.scanned != nil {
		return shell.ScanField
	}
	return s.form.Takes()
}

func (s formStep) keys(c ctx) shell.Keys {
	keys := s.form.Yielding(c.over()).Keys()
	if s.scanned != nil {
		keys = append(keys, shell.On("scan", "the code"))
	}
	return keys
}
