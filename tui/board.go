package tui

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// board is all joints of the site, as a list by chamber, circuit and leg, or as
// a drawing. Its cursor follows a joint, so that it is the same in both.
type board struct {
	at     string // label of the chosen joint; "" is the one to take next
	drawn  bool   // the drawing is wanted
	part   int    // page of the drawing, for joints that are on each
	notice string // of the start, until the first key
}

func newBoard(notice string) board { return board{notice: notice} }

// Update moves the cursor and opens what is chosen.
func (s board) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	s.notice = ""
	arrows := shell.Is(key, shell.Up, shell.Down, shell.PageUp, shell.PageDown, shell.Runs, shell.BackOne)
	switch by := shell.Chooses(key); {
	case arrows && s.draws(env):
		return s.roam(env, key)
	case by != 0:
		s.at = s.beside(env, by)
	case shell.Is(key, shell.Enter):
		s.open(env)
	case shell.Is(key, shell.Leave):
		env.Do.Push(leaving())
	case shell.Digit(key) == 7:
		s.drawn = !s.drawn
	default:
		s.digit(env, shell.Digit(key))
	}
	return s
}

// open goes straight on with a walk where there is nothing to choose.
func (s board) open(env shell.Env) {
	j := s.chosen(env)
	if j.Label == "" {
		return
	}
	env.Do.Push(joint{label: j.Label})
}

func (s board) chosen(env shell.Env) logbook.Joint {
	if s.at != "" {
		return env.Joint(s.at)
	}
	if j, ok := walking(env); ok {
		return j
	}
	if j, ok := next(env); ok {
		return j
	}
	if all := env.Sight.All(); len(all) > 0 {
		return all[0]
	}
	return logbook.Joint{}
}

// walking is the joint whose walk is open, of whoever is at the laptop.
func walking(env shell.Env) (logbook.Joint, bool) {
	all := env.Sight.All()
	for i := range all {
		if all[i].Walk != "" && env.Weld(all[i].Walk).Operator == env.By {
			return all[i], true
		}
	}
	return logbook.Joint{}, false
}

// next is the open joint to offer.
func next(env shell.Env) (logbook.Joint, bool) {
	j := env.Outlook().Order.Next
	return j, j.Label != ""
}

// beside is the joint so many entries of the list further on; it stops at both
// ends.
func (s board) beside(env shell.Env, by int) string {
	all, chosen := env.Sight.All(), s.chosen(env).Label
	if len(all) == 0 {
		return ""
	}
	at := 0
	for i := range all {
		if all[i].Label == chosen {
			at = i
		}
	}
	return all[min(max(0, at+by), len(all)-1)].Label
}

// View draws the sentence that says what to do, what is ahead, and the joints.
func (s board) View(env shell.Env) string {
	if s.draws(env) {
		return s.drawing(env)
	}
	lines := s.head(env)
	for _, l := range lookAhead(env) {
		for _, part := range widget.CutBelow(widget.Wrap(l, env.W-2), 2, env.W-2) {
			lines = append(lines, " "+part)
		}
	}
	apart := ""
	if s.drawn && env.Style.Spoken {
		apart = " A drawing is not read out: this is the list."
	} else if s.drawn {
		apart = env.Style.Dim(fmt.Sprintf(" The drawing needs a window %d wide: this is the list.", drawingWide))
	}
	if says := officeLines(env, false); apart == "" && len(says) > 0 {
		lines = append(lines, says...) // in place of the blank row
	} else {
		lines = append(append(lines, says...), widget.Cut(apart, env.W))
	}
	room := env.H - len(lines)
	list := s.list(env, room)
	below := s.inFull(env, room-len(list.Rows))
	room -= len(below)
	return strings.Join(append(append(lines, list.View(s.chosen(env).Label, room)...), below...), "\n")
}

// officeLines are how the firm's office stands, where one is named: what a person must
// see to, or what is only to be known.
func officeLines(env shell.Env, warn bool) (lines []string) {
	if env.Office.Warn != warn {
		return nil
	}
	paint := env.Style.Dim
	if warn {
		paint = env.Style.Warn
	}
	for _, l := range widget.CutBelow(widget.Wrap(logbook.Clean(env.Office.Says), env.W-2), 2, env.W-2) {
		if l != "" {
			lines = append(lines, paint(" "+l))
		}
	}
	return lines
}

// inFull is what the chosen line says of its joint, where the column has no room for all
// of it and the joints leave rows spare. Where any line is cut so it has its rows, so that
// the list stays where it is.
func (s board) inFull(env shell.Env, spare int) []string {
	all, column := env.Sight.All(), env.JointColumn()
	cut := func(j logbook.Joint) bool { return widget.Width(jointLine(env, j, column)) > env.W-listIndent }
	if env.W >= wide || spare < fullRows || !slices.ContainsFunc(all, cut) {
		return nil
	}
	rows := append([]string{""}, s.cutBelow(env, cut, fullRows-1)...)
	return append(rows, make([]string, fullRows-len(rows))...)
}

// fullRows are a blank one and two of text: our choice.
const fullRows = 3

// cutBelow is the chosen line in full, in so many rows, where it is cut.
func (s board) cutBelow(env shell.Env, cut func(logbook.Joint) bool, most int) (rows []string) {
	if j := s.chosen(env); j.Label != "" && cut(j) {
		_, says := jointCells(env, j, env.JointColumn())
		for _, l := range widget.CutBelow(widget.Wrap(logbook.Clean(j.Label+": "+says), env.W-2), most, env.W-2) {
			rows = append(rows, " "+l)
		}
	}
	return rows
}

// listIndent is what a list has before each of its lines.
const listIndent = 3

// head is what must be seen first: a notice of the start, a loss of pressure, and
// what to do next.
func (s board) head(env shell.Env) []string {
	var lines []string
	for _, text := range []string{s.notice, logbook.Clean(logbook.UnreadLine(env.Site.Unread)), logbook.Clean(ahead.LossLine(env.Sight.Losses()))} {
		for _, l := range widget.Wrap(text, env.W-2) {
			if l != "" {
				lines = append(lines, env.Style.Warn(" "+l))
			}
		}
	}
	lines = append(lines, officeLines(env, true)...)
	for _, l := range widget.CutBelow(widget.Wrap(sentence(env), env.W-2), 2, env.W-2) {
		lines = append(lines, env.Style.Bold(" "+l))
	}
	return lines
}

// sentence says what to do next: what waits for an answer before what runs, and both
// before what is only begun then.
func sentence(env shell.Env) string {
	return cmp.Or(waits(env), fuses(env), toDo(env))
}

// waits is the first that waits for an answer: an ended fusion, then what is over or
// half done.
func waits(env shell.Env) string {
	for _, line := range env.Running {
		switch w := line.Weld; {
		case line.Fusing && line.Over():
			return w.Joint + ": say how its fusion ended: →"
		case w.Between():
			return w.Joint + ": " + w.ZoneLine() + ": →"
		case !line.Over():
		case w.Outcome == logbook.Stopped:
			return w.Joint + ": its fusion stopped, and it is cold. Cut it out and say so: →"
		default:
			return w.Joint + ": its hold is over. Feel it, look at it, release it: →"
		}
	}
	for _, line := range env.Tests {
		if line.Waits() {
			return logbook.Clean(fmt.Sprintf("Pressure test %s, %s: its time is over. Read the gauge: →", line.Test.ID, line.Test.Section.Name()))
		}
	}
	return ""
}

// fuses is the fusion that ends first, and behind it what comes next.
func fuses(env shell.Env) string {
	for _, line := range env.Running {
		if line.Fusing && line.Known {
			return line.Weld.Joint + " is fusing, " + shell.Clock(line.Left) + " left: nothing moves. " + toDo(env)
		}
	}
	return ""
}

// toDo is what is next where nothing runs out.
func toDo(env shell.Env) string {
	for _, t := range env.Site.Tables {
		if t.ReadBack == "" {
			return "A fusion table is not read back against its print yet: key 5."
		}
	}
	if env.Shift.ID == "" && env.Outlook().Forecast.Open > 0 {
		return "Start a shift: key 3."
	}
	if line := batchLine(env); line != "" {
		return line
	}
	if j, ok := failStands(env); ok {
		return fmt.Sprintf("%s: %s failed. When it is cold, cut it out and say so: choose it, Enter.", j.Label, j.Stands)
	}
	if j, ok := walking(env); ok {
		return j.Label + ": go on with " + j.Walk + ": key 1."
	}
	j, ok := next(env)
	if !ok {
		if env.Shift.ID == "" {
			return "Every joint has its weld. What is open stands under key 9, then 6."
		}
		return "Every joint has its weld. End-of-shift check, then close the shift: key 3."
	}
	where := ""
	if j.Row != "" {
		where = ", " + j.Row + " row"
	}
	if _, under := ahead.Under(env.Site, j); under {
		where += ", covered: dig it up"
	}
	return fmt.Sprintf("Next: %s, %s%s: key 1.", j.Label, logbook.Clean(j.Fitting), where)
}

// failStands is the first joint of the plan in which a failed weld stands.
func failStands(env shell.Env) (logbook.Joint, bool) {
	for _, f := range env.Audit.Findings {
		if f.Severity != audit.Fail { // those come first, as the plan has their joints
			break
		}
		j, w := env.Joint(f.Joint), env.Weld(f.Weld)
		if j.Stands == w.ID && w.Stands() && env.Audit.StateOf(j).Is(audit.Failed) && !w.Fusing() {
			return j, true
		}
	}
	return logbook.Joint{}, false
}

// lookAhead is what is left, when the last hold ends, and from when a pressure test
// may start as far as the tables say.
func lookAhead(env shell.Env) []string {
	f := env.Outlook().Forecast
	first := fmt.Sprintf("%d of %s open.", f.Open, logbook.Count(counting(env), "joint"))
	if n := len(f.Again); n > 0 {
		first += fmt.Sprintf(" %d to cut out.", n)
	}
	if !f.LastHold.IsZero() {
		first += " Last hold ends " + logbook.UpMinute(f.LastHold).Format("15:04") + "."
	}
	if env.Shift.ID != "" {
		first += " " + env.Shift.Weather.String() + "."
	}
	lines := []string{first, testLine(env, f)}
	for _, says := range env.Sight.Sections() {
		lines = append(lines, widget.CutBelow(widget.Wrap(says, env.W-2), 2, env.W-2)...)
	}
	if f.Wait.Doubtful() {
		lines = append(lines, fmt.Sprintf("That wait is over %s if the wall clock is right: %s.", day(env, f.Wait.ByWall), f.Wait.Doubt.Says()))
	}
	return append(lines, orderAhead(env)...)
}

// orderAhead is the forecast of the proposed order, where joints with times are left.
func orderAhead(env shell.Env) []string {
	o := env.Outlook().Order
	if len(o.Without) == len(o.Rows) {
		return nil
	}
	line := o.Ahead(env.Now, "test")
	line = strings.ToUpper(line[:1]) + line[1:]
	if none := append(slices.Clone(o.Without), o.Again...); len(none) > 0 {
		line += "; no time known for " + ahead.InShort(none) + "."
	} else {
		line += " if all goes on so."
	}
	if widget.Width(line)+1 > env.W && env.W < narrow {
		return nil // its joints are wanted more
	}
	return []string{line}
}

// counting is how many joints must be made or stand.
func counting(env shell.Env) (n int) {
	all := env.Sight.All()
	for i := range all {
		if all[i].Counts() {
			n++
		}
	}
	return n
}

func testLine(env shell.Env, f ahead.Forecast) string {
	unsettled := env.Sight.Unsettled()
	line := "Pressure test: not before "
	switch {
	case len(f.Lost) > 0:
		return "Pressure test: none is forecast before a repair."
	case len(f.Again) > 0:
		line = "Pressure test: after the cut-outs: " + ahead.InShort(f.Again) + "."
	case unsettled > 0 && f.Wait.Runs:
		line += fmt.Sprintf("%s and not before %s settled.", day(env, f.Wait.Over), joints(unsettled))
	case unsettled > 0:
		line += joints(unsettled) + " settled."
	case !f.Wait.Over.IsZero():
		line += day(env, f.Wait.Over) + ", by the tables."
	default:
		line += "the fittings' own wait is over."
	}
	if len(f.NoWait) > 0 {
		line += " No wait printed for " + strings.Join(f.NoWait, ", ") + ": see the bag."
	}
	return line
}

// joints gives "1 joint is" or "3 joints are".
func joints(n int) string {
	if n == 1 {
		return "1 joint is"
	}
	return logbook.Count(n, "joint") + " are"
}

func day(env shell.Env, t time.Time) string {
	t = logbook.UpMinute(t)
	if t.Format("2006-01-02") == env.Now.Local().Format("2006-01-02") {
		return t.Format("15:04")
	}
	return t.Format("2 Jan 15:04")
}

// list is the joints under their chambers. Where it would leave rows of a wide window
// empty, what is lacking stands in full.
func (s board) list(env shell.Env, room int) widget.List {
	all := env.Sight.All()
	rows := make([]widget.Row, 0, len(all)+len(env.Site.Chambers)+1)
	group, column := "\x00", env.JointColumn()
	full := env.W >= wide && len(all)+len(env.Site.Chambers)+1 <= room
	for i := range all {
		j := &all[i]
		if j.Chamber != group {
			group = j.Chamber
			rows = append(rows, widget.Row{Text: func() string { return " " + groupName(env.Site, j.Chamber) }, Paint: env.Style.Dim})
		}
		if !full {
			rows = append(rows, widget.Row{Key: j.Label})
			continue
		}
		for _, l := range jointLines(env, *j, column) {
			rows = append(rows, widget.Row{Key: j.Label, Text: func() string { return l }})
		}
	}
	l := env.List(rows)
	l.Text = func(label string) string { return jointLine(env, env.Joint(label), column) }
	return l
}

// wide is the width from which a list has room for what is said of a joint in full.
const wide = 120

func groupName(site logbook.Site, chamber string) string {
	if chamber == "" {
		return "Outside the chambers"
	}
	for _, c := range site.Chambers {
		if c.Name == chamber && c.Lid != "" {
			return "Chamber " + chamber + ", lid " + logbook.Clean(c.Lid)
		}
	}
	return "Chamber " + chamber
}

func jointLine(env shell.Env, j logbook.Joint, column int) string {
	lead, says := jointCells(env, j, column)
	return strings.TrimRight(lead+says, " ")
}

// jointLines is jointLine in as many lines as it takes in full.
func jointLines(env shell.Env, j logbook.Joint, column int) []string {
	lead, says := jointCells(env, j, column)
	if says == "" {
		return []string{strings.TrimRight(lead, " ")}
	}
	return widget.Hanging(lead, logbook.Clean(says), env.W-3)
}

// jointCells are what stands in columns, and what is lacking.
func jointCells(env shell.Env, j logbook.Joint, column int) (lead, says string) {
	place := j.Row
	if j.Port > 0 {
		place = fmt.Sprintf("%s %d", j.Row, j.Port)
	}
	if port := logbook.PortOf(env.Weld(cmp.Or(j.Stands, j.Walk)), j); port != j.Port {
		place = fmt.Sprintf("at %d, not %d", port, j.Port) // the place that the plan has is not where it is
	}
	if way := j.HeaderWay(); way != "" {
		place = way
	}
	cells := []string{j.Label, logbook.Clean(j.Fitting), place, cmp.Or(j.Stands, j.Walk), stateWord(env, j)}
	if says = lacks(env, j); says != "" { // else the state may be as long as it is
		cells = append(cells, "")
	}
	return widget.Columns(boardColumns(env, column)[:len(cells)-1], cells...), says
}

// narrow is the width from which the columns have room for what they usually hold.
const narrow = 80

// boardColumns are of joint, fitting, place, weld and state. In a narrow window what the
// plan says gives way: a time that runs is never cut.
func boardColumns(env shell.Env, joint int) []int {
	if env.W < narrow {
		return []int{joint, 10, 11, 7, 16}
	}
	return []int{joint, 14, 12, 8, 11}
}

func stateWord(env shell.Env, j logbook.Joint) string {
	state, left := string(env.Audit.StateOf(j)), timeLeft(env, j)
	switch {
	case env.Weld(j.Walk).Ready != nil:
		return "prepared"
	case left == "":
		return state
	case left == cools:
		return state + ", " + left
	}
	return state + " " + left
}

// cools is said of a failed joint that is not cold yet: it is in no hold.
const cools = "cools"

// timeLeft is what is left of the fusion or hold that runs in a joint, or a
// word; "" where nothing runs.
func timeLeft(env shell.Env, j logbook.Joint) string {
	for _, line := range env.Running {
		if line.Weld.Joint != j.Label {
			continue
		}
		if env.Audit.StateOf(j).Is(audit.Failed) {
			return cools
		}
		if line.Known && !line.Over() {
			return shell.Clock(line.Left)
		}
		return "over"
	}
	return ""
}

// lacks is what is missing at a joint, the worst first.
func lacks(env shell.Env, j logbook.Joint) string {
	id := j.Stands
	if id == "" {
		if says := readyWord(env, j); says != "" {
			return says
		}
		if _, under := ahead.Under(env.Site, j); under && j.Open() {
			return "covered"
		}
		return ""
	}
	said := slices.DeleteFunc(env.Audit.OfWeld(id), func(f audit.Finding) bool { return f.Rule == audit.Unreleased })
	said = append(said, slices.DeleteFunc(env.Audit.OfJoint(j.Label), func(f audit.Finding) bool { return f.Rule != audit.FlowCrossed })...)
	if f, open := audit.Worst(said); open {
		return shell.WithoutNumber(strings.TrimPrefix(f.Says, "joint "+j.Label+": "), id)
	}
	for _, e := range env.Sight.Losses() {
		whole := e.Joint+e.Chamber == "" && e.Circuit == 0 // said above all rows
		if !whole && e.Touches(j) {
			return logbook.PressureLost.String()
		}
	}
	return ""
}

// Keys are the board's.
func (s board) Keys(env shell.Env) shell.Keys {
	view, arrows := "draw", "↑↓ PgDn"
	if s.drawn {
		view = "list"
	}
	if s.draws(env) {
		arrows = "↑↓←→ PgDn"
	}
	keys := shell.Keys{shell.On("Enter", "open")}
	for _, k := range boardKeys(env) {
		if k.digit == 8 {
			keys = append(keys, shell.On("7", view))
		}
		keys = append(keys, shell.On(strconv.Itoa(k.digit), k.short))
	}
	return append(keys, shell.Rest, shell.On(arrows, "choose"), shell.On("Esc", "leave"))
}

// Tells says on its page what each digit is for.
func (s board) Tells(env shell.Env) map[string]string {
	says := map[string]string{"Enter": "what can be done at the joint that is chosen", "7": "the site as a drawing, or as a list again"}
	for _, k := range boardKeys(env) {
		says[strconv.Itoa(k.digit)] = k.name
	}
	says["8"] = "what is needed seldom: sites, theme, people"
	return says
}

// Topic is that of its page.
func (s board) Topic(shell.Env) string { return "board" }

// Takes wants no scan: it is swallowed and said.
func (s board) Takes(shell.Env) shell.Taking { return shell.NoScan }
