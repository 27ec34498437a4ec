package tui

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
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
	switch by := shell.Steps(key, 8); {
	case arrows && s.draws(env):
		return s.roam(env, key)
	case by != 0:
		s.at = s.move(env, by)
	case shell.Is(key, shell.Enter):
		s.open(env)
	case shell.Is(key, shell.Leave):
		env.Do.Push(leaving(env))
	case shell.Digit(key) == 7:
		s.drawn = !s.drawn
	case key.Type == tea.KeyRunes:
		s.digit(env, string(key.Runes))
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
	if j, ok := openWalk(env); ok {
		return j
	}
	if j, ok := logbook.NextOf(env.Book, env.Shelf, env.Site.ID, env.Now, env.Beat); ok {
		return j
	}
	if all := env.Book.Joints(env.Site.ID); len(all) > 0 {
		return all[0]
	}
	return logbook.Joint{}
}

func (s board) move(env shell.Env, by int) string {
	joints := env.Book.Joints(env.Site.ID)
	at := 0
	for i, j := range joints {
		if j.Label == s.chosen(env).Label {
			at = i
		}
	}
	if len(joints) == 0 {
		return ""
	}
	return joints[min(max(0, at+by), len(joints)-1)].Label
}

// View draws the sentence that says what to do, what is ahead, and the joints.
func (s board) View(env shell.Env) string {
	if s.draws(env) {
		return s.drawing(env)
	}
	lines := s.head(env)
	for _, l := range ahead(env) {
		lines = append(lines, widget.Cut(" "+l, env.W))
	}
	apart := ""
	if s.drawn {
		apart = env.Style.Dim(fmt.Sprintf(" The drawing needs a window %d wide: this is the list.", drawingWide))
	}
	lines = append(lines, widget.Cut(apart, env.W))
	rows, at := s.rows(env)
	from, to := widget.Window(len(rows), at, env.H-len(lines))
	shown := append(lines, rows[from:to]...)
	if more := len(rows) - to; more > 0 && to > from {
		shown[len(shown)-1] = env.Style.Dim(fmt.Sprintf("   %d more: ↓", more+1))
	}
	return strings.Join(shown, "\n")
}

// head is what must be seen first: a notice of the start, a loss of pressure, and
// what to do next.
func (s board) head(env shell.Env) []string {
	var lines []string
	for _, text := range []string{s.notice, logbook.Clean(logbook.LossLine(logbook.OpenLosses(env.Book, env.Site)))} {
		for _, l := range widget.Wrap(text, env.W-2) {
			if l != "" {
				lines = append(lines, env.Style.Warn(" "+l))
			}
		}
	}
	return append(lines, env.Style.Bold(widget.Cut(" "+sentence(env), env.W)))
}

// sentence says what to do next, in one line.
func sentence(env shell.Env) string {
	for _, t := range env.Site.Tables {
		if t.ReadBack == "" {
			return "A fusion table is not read back against its print yet: key 5."
		}
	}
	if env.Shift.ID == "" && len(logbook.OpenJoints(env.Book, env.Site.ID)) > 0 {
		return "Start a shift: key 3."
	}
	for _, line := range env.Running {
		if line.Over() {
			if line.Fusing {
				return line.Weld.Joint + ": say how its fusion ended: →"
			}
			if line.Weld.Outcome == logbook.Stopped {
				return line.Weld.Joint + ": its fusion stopped, and it is cold. Cut it out and say so: →"
			}
			return line.Weld.Joint + ": its hold is over. Feel it, look at it, release it: →"
		}
	}
	if j, ok := failStands(env); ok {
		return fmt.Sprintf("%s: %s failed. When it is cold, cut it out and say so: choose it, Enter.", j.Label, j.Stands)
	}
	if j, ok := openWalk(env); ok {
		return j.Label + ": go on with " + j.Walk + ": key 1."
	}
	j, ok := logbook.NextOf(env.Book, env.Shelf, env.Site.ID, env.Now, env.Beat)
	if !ok {
		return "Every joint has its weld. Make the last round and close the shift: key 3."
	}
	where := ""
	if j.Row != "" {
		where = ", " + j.Row + " row"
	}
	if logbook.IsCovered(env.Site, j) {
		where += ", covered: dig it up"
	}
	return fmt.Sprintf("Next: %s, %s%s: key 1.", j.Label, logbook.Clean(j.Fitting), where)
}

func failStands(env shell.Env) (logbook.Joint, bool) {
	for _, j := range env.Book.Joints(env.Site.ID) {
		if w := env.Weld(j.Stands); w.Stands() && env.Audit.StateOf(j) == "fail" && !w.Fusing() {
			return j, true
		}
	}
	return logbook.Joint{}, false
}

// ahead is what is left, when the last hold ends, and from when a pressure test
// may start as far as the tables say.
func ahead(env shell.Env) []string {
	f := logbook.ForecastOf(env.Book, env.Site.ID, env.Failed, env.Now, env.Beat)
	first := fmt.Sprintf("%d of %d joints open.", f.Open, len(counting(env)))
	if n := len(f.Again); n > 0 {
		first += fmt.Sprintf(" %d to cut out.", n)
	}
	if !f.LastHold.IsZero() {
		first += " Last hold ends " + logbook.UpMinute(f.LastHold).Format("15:04") + "."
	}
	if env.Shift.ID != "" {
		first += " " + env.Shift.Weather.String() + "."
	}
	return append([]string{first, testLine(env, f)}, orderAhead(env)...)
}

// orderAhead is the forecast of the proposed order, where joints with times are
// left and it is not wider than the window.
func orderAhead(env shell.Env) []string {
	o := logbook.OrderOf(env.Book, env.Shelf, env.Site.ID, logbook.OrderGiven{Failed: env.Failed}, env.Now, env.Beat)
	if len(o.Without) == len(o.Rows) {
		return nil
	}
	line := o.Ahead(env.Now, "test")
	line = strings.ToUpper(line[:1]) + line[1:] + " if all goes on so."
	if none := append(slices.Clone(o.Without), o.Again...); len(none) > 0 {
		line = "Without " + logbook.InShort(none) + ": " + o.Ahead(env.Now, "test") + "."
	}
	if widget.Width(line)+1 > env.W {
		return nil
	}
	return []string{line}
}

func counting(env shell.Env) []logbook.Joint {
	var out []logbook.Joint
	for _, j := range env.Book.Joints(env.Site.ID) {
		if j.Counts() {
			out = append(out, j)
		}
	}
	return out
}

func testLine(env shell.Env, f logbook.Forecast) string {
	unsettled := len(env.Audit.Unsettled())
	line := "Pressure test: not before "
	switch {
	case len(f.Lost) > 0:
		return "Pressure test: none is forecast before a repair."
	case len(f.Again) > 0:
		line = "Pressure test: after the cut-outs: " + logbook.InShort(f.Again) + "."
	case unsettled > 0 && f.Wait.After(env.Now.Local()):
		line += fmt.Sprintf("%s and not before %d joints are settled.", day(env, f.Wait), unsettled)
	case unsettled > 0:
		line += fmt.Sprintf("%d joints are settled.", unsettled)
	case !f.Wait.IsZero():
		line += day(env, f.Wait) + ", by the tables."
	default:
		line += "the fittings' own wait is over."
	}
	if len(f.NoWait) > 0 {
		line += " No wait printed for " + strings.Join(f.NoWait, ", ") + ": see the bag."
	}
	return line
}

func day(env shell.Env, t time.Time) string {
	t = logbook.UpMinute(t)
	if t.Format("2006-01-02") == env.Now.Local().Format("2006-01-02") {
		return t.Format("15:04")
	}
	return t.Format("2 Jan 15:04")
}

// rows are the joints under their chambers; at is the chosen one's row.
func (s board) rows(env shell.Env) (rows []string, at int) {
	chosen := s.chosen(env).Label
	group, column := "\x00", env.JointColumn()
	for _, j := range env.Book.Joints(env.Site.ID) {
		if j.Chamber != group {
			group = j.Chamber
			rows = append(rows, env.Style.Dim(" "+groupName(env, group)))
		}
		line := jointLine(env, j, column)
		if j.Label == chosen {
			at = len(rows)
			rows = append(rows, env.Style.Pick(widget.Pad(" ▸ "+line, env.W)))
			continue
		}
		rows = append(rows, widget.Cut("   "+line, env.W))
	}
	return rows, at
}

func groupName(env shell.Env, chamber string) string {
	if chamber == "" {
		return "Outside the chambers"
	}
	for _, c := range env.Site.Chambers {
		if c.Name == chamber && c.Lid != "" {
			return "Chamber " + chamber + ", lid " + logbook.Clean(c.Lid)
		}
	}
	return "Chamber " + chamber
}

func jointLine(env shell.Env, j logbook.Joint, column int) string {
	place := j.Row
	if j.Port > 0 {
		place = fmt.Sprintf("%s %d", j.Row, j.Port)
	}
	if port := logbook.PortOf(env.Weld(cmp.Or(j.Stands, j.Walk)), j); port != j.Port {
		place = fmt.Sprintf("at %d, not %d", port, j.Port) // the place that the plan has is not where it is
	}
	switch j.Way {
	case "FG":
		place = "from ground"
	case "TG":
		place = "to ground"
	}
	id := j.Stands
	if id == "" {
		id = j.Walk
	}
	return strings.TrimRight(widget.Columns([]int{column, 16, 12, 8, 11}, j.Label, logbook.Clean(j.Fitting), place, id, stateWord(env, j), lacks(env, j)), " ")
}

func stateWord(env shell.Env, j logbook.Joint) string {
	state, left := env.Audit.StateOf(j), timeLeft(env, j)
	switch {
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
		if env.Audit.StateOf(j) == "fail" {
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
		if j.Open() && logbook.IsCovered(env.Site, j) {
			return "covered"
		}
		return ""
	}
	for _, f := range env.Audit.OfWeld(id) {
		if f.Open() && !(f.Work && f.Rule == "unreleased") {
			return strings.TrimPrefix(strings.TrimPrefix(f.Says, id+": "), id+" ")
		}
	}
	for _, e := range logbook.OpenLosses(env.Book, env.Site) {
		whole := e.Joint+e.Chamber == "" && e.Circuit == 0 // said above all rows
		if !whole && e.Touches(j) {
			return logbook.PressureLost.String()
		}
	}
	return ""
}

// Keys are the board's.
func (s board) Keys(env shell.Env) []shell.Hint {
	shift := "shift"
	if env.Shift.ID != "" {
		shift = "round"
	}
	view := "draw"
	if s.drawn {
		view = "list"
	}
	return []shell.Hint{
		{Key: "Enter", Does: "open"}, {Key: "1", Does: "next"}, {Key: "2", Does: "weather"}, {Key: "3", Does: shift},
		{Key: "4", Does: "later"}, {Key: "5", Does: "tables"}, {Key: "6", Does: "ahead"}, {Key: "7", Does: view},
		{Key: "9", Does: "day"}, {Key: "0", Does: "register"}, {Key: "8", Does: "more"}, // the last one falls off a narrow window first
	}
}

// Takes wants no scan: it is swallowed and said.
func (s board) Takes(shell.Env) shell.Taking { return shell.NoScan }
