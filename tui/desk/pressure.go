package desk

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// pressures lists what can be put under pressure as one thing. Its cursor follows a
// section.
type pressures struct {
	at string
	by string
}

// newPressures lists the sections with their tests.
func newPressures(shell.Env) shell.Screen { return pressures{} }

// Update chooses a section and opens it.
func (s pressures) Update(env shell.Env, msg tea.Msg) shell.Screen {
	s.by = tested(s.by, msg)
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	sections := ahead.TestSections(env.Sight, env.Site.ID)
	list := s.list(env, sections)
	switch by := shell.Chooses(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.at = list.Move(s.at, by)
	case shell.Is(key, shell.Enter) && len(sections) > 0:
		env.Do.Push(pressureOf{id: sections[list.Index(s.at)].ID, by: s.by})
	case shell.Digit(key) == 1:
		env.Do.Push(newLoops(env))
	}
	return s
}

// tested is the name to offer next: who said something of a test last.
func tested(by string, msg tea.Msg) string {
	entries, _ := shell.Entries(msg)
	for _, e := range entries {
		switch e.Open().(type) {
		case logbook.PressureBegun, logbook.PressureRead, logbook.PressurePhased, logbook.PressureEnded, logbook.PressureLook, logbook.ClosingNamed, logbook.Enclosed:
			by = e.By
		}
	}
	return by
}

func (s pressures) list(env shell.Env, sections []ahead.TestSection) widget.List {
	column := 12
	for _, t := range sections {
		column = max(column, min(28, widget.Width(t.Name)))
	}
	var rows []widget.Row
	for _, t := range sections {
		says := testingOf(env, t).Short()
		for _, l := range hanging(widget.Pad(logbook.Clean(t.Name), column)+" ", logbook.Clean(says), env.W-3) {
			rows = append(rows, widget.Row{Key: t.Name, Text: func() string { return l }})
		}
	}
	return env.List(rows)
}

func testingOf(env shell.Env, t ahead.TestSection) audit.Testing {
	return audit.TestingOf(env.Sight, env.Audit, t, env.Now, env.Beat)
}

// View draws a line or more a section.
func (s pressures) View(env shell.Env) string {
	head := append([]string{env.Style.Bold(" Pressure tests")}, hanging(" ", audit.PressureCaution, env.W)...)
	head = append(append(head, lost(env)...), "")
	list := s.list(env, ahead.TestSections(env.Sight, env.Site.ID))
	return strings.Join(append(head, list.View(s.at, env.H-len(head))...), "\n")
}

// Keys are the list's.
func (s pressures) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("↑↓", "choose"), shell.On("Enter", "open"), shell.On("1", "flow, purge"), shell.Back}
}

// Topic is that of its page.
func (s pressures) Topic(shell.Env) string { return "pressure" }

// Takes wants no scan.
func (s pressures) Takes(shell.Env) shell.Taking { return shell.NoScan }

// pressureOf is one section: from when it may be tested, its tests, what changed since.
// Its cursor follows a test.
type pressureOf struct {
	id logbook.SectionID
	at string
	by string
}

func (s pressureOf) section(env shell.Env) ahead.TestSection {
	t, ok := ahead.TestSectionOf(env.Sight, env.Site.ID, s.id)
	if !ok {
		return ahead.TestSection{ID: s.id, Name: s.id.String()}
	}
	return t
}

// Update opens a test, begins one, or names a closing weld.
func (s pressureOf) Update(env shell.Env, msg tea.Msg) shell.Screen {
	s.by = tested(s.by, msg)
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		if begins(msg) {
			s.at = "" // the newest
		}
		return s
	}
	section := s.section(env)
	tests := testingOf(env, section).Tests
	s.at = s.chosen(tests)
	list := s.list(env, tests)
	switch by := shell.Chooses(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.at = list.Move(s.at, by)
	case shell.Is(key, shell.Enter) && len(tests) > 0:
		env.Do.Push(pressureTest{id: tests[list.Index(s.at)].ID, by: s.by})
	case shell.Digit(key) == 1:
		env.Do.Push(beginning(env, section, s.by, false))
	case shell.Digit(key) == 2:
		env.Do.Push(beginning(env, section, s.by, true))
	case shell.Digit(key) == 3:
		s.closing(env, section)
	case shell.Digit(key) == 4:
		s.looking(env, section)
	case shell.Digit(key) == photoKey:
		env.Do.Push(photoOf(binding{of: section.Name, by: s.by, file: logbook.Enclosed{Section: &section.ID}}))
	}
	return s
}

// chosen is the test that the cursor is on: the newest as long as it was not moved.
func (s pressureOf) chosen(tests []audit.TestState) string {
	if s.at == "" && len(tests) > 0 {
		return tests[len(tests)-1].ID
	}
	return s.at
}

// begins tells whether what was said begins a test.
func begins(msg tea.Msg) bool {
	entries, _ := shell.Entries(msg)
	return slices.ContainsFunc(entries, func(e logbook.Entry) bool { return e.Kind == logbook.PressureBegun{}.Kind() })
}

func (s pressureOf) list(env shell.Env, tests []audit.TestState) widget.List {
	var rows []widget.Row
	for _, t := range tests {
		for _, l := range hanging("", logbook.Clean(t.Line()), env.W-3) {
			rows = append(rows, widget.Row{Key: t.ID, Text: func() string { return l }})
		}
	}
	return env.List(rows)
}

// View draws how the section stands, then its tests.
func (s pressureOf) View(env shell.Env) string {
	t := testingOf(env, s.section(env))
	lines := []string{env.Style.Bold(widget.Cut(" Pressure test of "+logbook.Clean(t.Name), env.W))}
	for _, says := range t.Standing(env.Now) {
		lines = append(lines, hanging(" ", logbook.Clean(says), env.W)...)
	}
	for _, label := range t.Joints {
		if f, found := env.Audit.Find(audit.UntestedSince + ":" + label); found {
			for _, l := range hanging(" ", logbook.Clean(f.Says), env.W) {
				lines = append(lines, env.Style.Warn(l))
			}
		}
	}
	var tests []string
	for _, o := range t.Tests {
		tests = append(tests, o.ID)
	}
	if says := enclosedInShort(env.Site, ofSection(s.id, tests)); says != "" {
		lines = append(lines, widget.CutBelow(hanging(" enclosed: ", logbook.Clean(says), env.W), 2, env.W)...)
	}
	lines = append(lines, "")
	return strings.Join(append(lines, s.list(env, t.Tests).View(s.chosen(t.Tests), env.H-len(lines))...), "\n")
}

// Keys are the section's.
func (s pressureOf) Keys(env shell.Env) shell.Keys {
	t := testingOf(env, s.section(env))
	return shell.Keys{
		shell.When(len(t.Tests) > 0, shell.On("Enter", "open the test")), shell.On("1", "begin a test"), shell.On("2", "one begun earlier"),
		shell.When(len(closable(env, s.section(env))) > 0, shell.On("3", "closing weld")), shell.On("4", "look at a weld"), shell.On("0", "photo"),
		shell.On("↑↓", "choose"), shell.Back,
	}
}

// Topic is that of its page.
func (s pressureOf) Topic(shell.Env) string { return "pressure" }

// Takes wants no scan.
func (s pressureOf) Takes(shell.Env) shell.Taking { return shell.NoScan }

// pressureTest is one test: what runs, its readings drawn and told, what it comes to,
// and all that was given before it.
type pressureTest struct {
	id  string
	by  string
	top widget.Scroll
}

// NewTest is the page of a pressure test.
func NewTest(id string) shell.Screen { return pressureTest{id: id} }

func (s pressureTest) test(env shell.Env) (audit.Tested, bool) {
	for _, t := range env.Audit.Tests() {
		if t.ID == s.id {
			return t, true
		}
	}
	return audit.Tested{}, false
}

// lastBy is who said something of a test last: the name to offer where the page was come to
// from elsewhere.
func lastBy(t audit.Tested) string {
	if n := len(t.Readings); n > 0 {
		return t.Readings[n-1].By
	}
	return t.By
}

// Update reads, and opens what is said of the test.
func (s pressureTest) Update(env shell.Env, msg tea.Msg) shell.Screen {
	s.by = tested(s.by, msg)
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		if _, said := shell.Entries(msg); said {
			s.top = 0 // what was said is drawn at the top
		}
		return s
	}
	t, there := s.test(env)
	s.by = cmp.Or(s.by, lastBy(t))
	switch digit := shell.Digit(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case there && t.Open() && digit == 1:
		env.Do.Push(reading(env, t, s.by))
	case there && t.Open() && digit == 2:
		env.Do.Push(phasing(env, t, s.by))
	case there && t.Open() && digit == 3:
		env.Do.Push(endingTest(env, t, s.by))
	case there && len(t.Readings) > 0 && digit == 4:
		env.Do.Push(puttingRight(t, s.by))
	case there && digit == 9:
		env.Do.Push(takeTestBack(t, s.by))
	case there && digit == photoKey:
		env.Do.Push(photoOf(binding{of: "pressure test " + t.ID, by: s.by, file: logbook.Enclosed{Test: t.ID}}))
	default:
		head, rows := s.lines(env)
		room := env.H - len(head)
		s.top = s.top.Move(shell.Reads(key, room), len(rows), room)
	}
	return s
}

// View draws what runs over the rest.
func (s pressureTest) View(env shell.Env) string {
	head, rows := s.lines(env)
	return strings.Join(append(head, s.top.View(rows, env.H-len(head), env.Style.Dim)...), "\n")
}

func (s pressureTest) lines(env shell.Env) (head, rows []string) {
	t, ok := s.test(env)
	if !ok {
		return []string{env.Style.Bold(widget.Cut(" Pressure test "+s.id+" was taken back", env.W))}, nil
	}
	head = append(head, env.Style.Bold(widget.Cut(logbook.Clean(" Pressure test "+t.ID+" of "+t.Of.Name+", "+t.Stage.String()), env.W)))
	for _, l := range hanging(" ", logbook.Clean(testStands(env, t)), env.W) {
		head = append(head, env.Style.Bold(l))
	}
	head = append(head, "")
	put := func(lead, text string) { rows = append(rows, hanging(lead, logbook.Clean(text), env.W)...) }
	if t.Open() {
		put(" ", audit.PressureCaution)
	}
	comes := func(lead string) {
		for _, line := range t.Result.Lines {
			put(lead, line)
		}
		for _, o := range t.Outside {
			put(" ", "not in it: "+o.Joint+", "+o.Says())
		}
	}
	if !t.Open() { // why it came to that stands under what it came to
		comes(" ")
	}
	if !env.Style.Spoken {
		for _, l := range testChart(env, t).View(env.W-1, 10) {
			rows = append(rows, env.Style.Dim(widget.Cut(l, env.W)))
		}
	}
	for _, line := range t.Course() {
		put("   ", line)
	}
	if t.Open() {
		comes(" so far: ")
	}
	for _, f := range env.Audit.OfTest(t.ID) {
		put(" ", f.Word()+": "+f.Says)
	}
	for _, l := range enclosedLines(env.Site, ofTest(t.ID)) {
		put(" enclosed: ", l)
	}
	rows = append(rows, "")
	put(" ", "given before: witness "+orUnknown(t.Witness)+", by "+t.By)
	for _, v := range logbook.PressureValues {
		if v.Asked(t.Method) && v.Key != "witness" {
			put("   "+widget.Pad(v.Name, 30)+" ", v.Shown(t.PressureBegun))
		}
	}
	return head, rows
}

func orUnknown(s string) string {
	if s == "" {
		return logbook.UnknownWord
	}
	return s
}

// testStands says what runs and what is left of it with what to do then, or what the test
// came to.
func testStands(env shell.Env, t audit.Tested) string {
	if !t.Open() {
		if f, found := env.Audit.Find(audit.PressureFailed + ":" + t.ID); found && f.Open() {
			return t.Came() + ". To do: " + f.Do
		}
		return t.Came()
	}
	run := ahead.TestRunningOf(t.PressureTest, env.Now, env.Beat)
	line := run.Phase.String() + ": "
	switch p, begun := t.Phase(); {
	case !begun:
		return "Goes on. " + leads(t)
	case !run.Known:
		return strings.TrimSpace(run.Phase.String() + " since " + p.When().Local().Format("15:04") + ". " + leads(t))
	case run.Waits():
		line += "the time is over. Read the gauge: key 1."
	case run.Over():
		line += "the time is over, the gauge was read. " + leads(t)
	default:
		line += fmt.Sprintf("%s left of %d min, to %s.", shell.Clock(run.Left), int(ahead.PhaseWant(t.PressureTest, run.Phase).Minutes()), logbook.UpMinute(run.Ends).Format("15:04"))
	}
	if says := run.Doubt.Says(); says != "" {
		line += " (" + says + ")"
	}
	return line
}

// leads says what comes next in a test: the phase that follows, or its end. A trend goes on
// until it can be had.
func leads(t audit.Tested) string {
	next := ahead.NextPhase(t.PressureTest)
	switch {
	case next != "":
		return "Next: " + next.String() + ": key 2."
	case t.Method == logbook.DecayTrend && t.Result.Trend == nil:
		return ""
	}
	return "End the test: key 3."
}

// testChart is the pressures of a test over its minutes, with what was to be reached and
// how far it may fall, and while the time of a phase runs how far it is.
func testChart(env shell.Env, t audit.Tested) widget.Chart {
	c := widget.Chart{Unit: "bar", Along: "min"}
	for _, p := range t.Plot() {
		c.Points = append(c.Points, widget.Point{X: p.Minute, Y: p.Bar})
	}
	for _, l := range t.Levels() {
		c.Levels = append(c.Levels, widget.Level{Y: l.Bar, Name: l.Name})
	}
	slices.SortFunc(c.Levels, func(a, b widget.Level) int { return cmp.Compare(b.Y, a.Y) })
	c.Most = float64(t.Minutes)
	if run := ahead.TestRunningOf(t.PressureTest, env.Now, env.Beat); t.Open() && run.Known && !run.Over() {
		c.Now = t.MinuteAt(env.Now)
	}
	return c
}

// Keys are the test's.
func (s pressureTest) Keys(env shell.Env) shell.Keys {
	t, ok := s.test(env)
	open := ok && t.Open()
	return shell.Keys{
		shell.When(open, shell.On("1", "read")), shell.When(open, shell.On("2", "phase")), shell.When(open, shell.On("3", "end")),
		shell.When(ok && len(t.Readings) > 0, shell.On("4", "put right")), shell.When(ok, shell.On("9", "take back")), shell.When(ok, shell.On("0", "photo")),
		shell.On("↑↓ PgDn", "scroll"), shell.Back,
	}
}

// Topic is that of its page.
func (s pressureTest) Topic(shell.Env) string { return "test" }

// Takes wants no scan.
func (s pressureTest) Takes(shell.Env) shell.Taking { return shell.NoScan }
