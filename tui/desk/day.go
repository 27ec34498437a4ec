package desk

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A Day is the foreman's first screen: one day's welds, a line each, what is
// open first, and below them the joints that lack a weld. Its cursor follows a
// weld or a joint, not a row.
type Day struct {
	day    string // local date
	at     string // key of the chosen line; "" is the first
	filter filter
	by     string // the name last given on the foreman's screens; nobody's at first
}

// NewDay opens on the last day with welds.
func NewDay(env shell.Env) shell.Screen { return Day{day: lastDay(env)} }

// Update moves the cursor, turns the days and opens what is chosen.
func (s Day) Update(env shell.Env, msg tea.Msg) shell.Screen {
	s.by = heard(s.by, msg)
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	switch by := shell.Chooses(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.at = s.list(env, s.lines(env)).Move(s.at, by)
	case shell.Is(key, shell.Enter):
		if l, ok := s.chosen(env, s.lines(env)); ok {
			env.Do.Push(Weld{id: l.weld.ID, label: l.joint.Label, by: s.by})
		}
	default:
		s = s.digit(env, shell.Digit(key))
	}
	return s
}

func (s Day) digit(env shell.Env, n int) Day {
	switch n {
	case 1:
		return s.turn(env, -1)
	case 2:
		return s.turn(env, 1)
	case 3:
		env.Do.Push(filtering(env, s))
	case 4:
		env.Do.Push(newCover(env))
	case 5:
		env.Do.Push(newSign(env, s.day))
	case 6:
		env.Do.Push(newOpen(s.by))
	case 7:
		env.Do.Push(newPressures(env))
	case 0:
		s.filter = filter{}
	}
	return s
}

// turn goes to another day; a day between two is never skipped.
func (s Day) turn(env shell.Env, by int) Day {
	next, ok := s.beside(env, by)
	if !ok {
		env.Do.Say(map[int]string{-1: "no weld was made on an earlier day", 1: "no weld was made on a later day"}[by])
		return s
	}
	s.day, s.at = next, ""
	return s
}

func (s Day) beside(env shell.Env, by int) (string, bool) {
	days := daysOf(env)
	at, found := slices.BinarySearch(days, s.day)
	if by > 0 && !found {
		by = 0
	}
	if at += by; at < 0 || at >= len(days) {
		return "", false
	}
	return days[at], true
}

// lines are the day's welds that pass the filter, then the joints that lack one.
func (s Day) lines(env shell.Env) []dayLine {
	return append(s.filter.sift(env, dayLines(env, s.day)), s.filter.sift(env, lacking(env))...)
}

func (s Day) chosen(env shell.Env, lines []dayLine) (dayLine, bool) {
	if len(lines) == 0 {
		return dayLine{}, false
	}
	return lines[s.list(env, lines).Index(s.at)], true
}

// View draws the day, and under it the chosen line's text in full: the column
// is narrow.
func (s Day) View(env shell.Env) string {
	head, lines := s.head(env), s.lines(env)
	detail := s.detail(env, lines)
	rows := s.list(env, lines).View(s.at, env.H-len(head)-len(detail))
	return strings.Join(append(append(head, rows...), detail...), "\n")
}

// wide is the width from which the list itself holds every finding in full.
const wide = 120

// detail is what the chosen line says, in full, with a blank line before it. It is as
// high as the longest of the day, so that the list stays where it is; a third of the
// window is the most (our choice), and Enter opens the page that holds all of it.
func (s Day) detail(env shell.Env, lines []dayLine) []string {
	l, ok := s.chosen(env, lines)
	if !ok || env.W >= wide {
		return nil
	}
	most := 0
	for _, other := range lines {
		most = max(most, len(said(env, other)))
	}
	rows := []string{""}
	for _, text := range widget.CutBelow(said(env, l), max(2, env.H/3), env.W-2) {
		rows = append(rows, " "+text)
	}
	for len(rows) <= min(most, max(2, env.H/3)) {
		rows = append(rows, "")
	}
	return rows
}

func said(env shell.Env, l dayLine) []string {
	if l.says == "" {
		return nil
	}
	return widget.Wrap(logbook.Clean(l.joint.Label)+": "+l.says, env.W-2)
}

// head says which day it is, how it stands, and which part of it is shown.
func (s Day) head(env shell.Env) []string {
	var lines []string
	for _, l := range widget.Wrap(dayName(s.day)+"   "+env.Audit.Tally(env.Audit.WeldsOn(s.day, s.day)), env.W-2) {
		lines = append(lines, env.Style.Bold(" "+l))
	}
	signed := "not signed"
	since, ok := env.Audit.SinceSigned(s.day)
	if ok {
		sig := since.Signed
		signed = "signed by " + logbook.Clean(sig.By) + ", " + sig.At.Local().Format("2 Jan 15:04")
	}
	if since.Any() {
		lines = append(lines, env.Style.Warn(widget.Cut(" "+signed+"; "+since.Line(), env.W)))
	} else {
		lines = append(lines, env.Style.Dim(widget.Cut(" "+signed, env.W)))
	}
	if !s.filter.none() {
		all := dayLines(env, s.day)
		text := fmt.Sprintf(" shown %d of %d: %s   (0 shows all)", len(s.filter.sift(env, all)), len(all), s.filter)
		lines = append(lines, env.Style.Warn(widget.Cut(text, env.W)))
	}
	return append(lines, "")
}

// list is the lines under their headings.
func (s Day) list(env shell.Env, lines []dayLine) widget.List {
	var rows []widget.Row
	heading := func(text string, paint func(string) string) {
		rows = append(rows, widget.Row{Text: func() string { return text }, Paint: paint})
	}
	widths := s.widths(env, lines)
	joints := false
	if len(lines) > 0 && lines[0].weld.ID != "" {
		heading("   "+cells(widths, "joint", "weld", "time", "by", "unit", "verdict", "worst that is open"), env.Style.Dim)
	}
	for i, l := range lines {
		if l.weld.ID == "" && !joints {
			joints = true
			heading(fmt.Sprintf(" Joints without a weld now: %d", len(lines)-i), env.Style.Dim)
		}
		for _, text := range s.texts(env, widths, l) {
			rows = append(rows, widget.Row{Key: l.key, Text: func() string { return text }, Paint: tinted(env.Style, l)})
		}
	}
	if len(lines) == 0 {
		heading(" No weld of this day is shown.", nil)
	}
	return env.List(rows)
}

func tinted(st *shell.Style, l dayLine) func(string) string {
	if l.weld.ID != "" && l.rank < rankWork {
		return st.Warn
	}
	return func(text string) string { return text }
}

// texts is a line of the day; in a wide window with all that it says.
func (s Day) texts(env shell.Env, widths []int, l dayLine) []string {
	if l.weld.ID == "" {
		place := ""
		if l.joint.Port > 0 {
			place = fmt.Sprintf("%s row, port %d", l.joint.Row, l.joint.Port)
		}
		return []string{strings.TrimRight(cells([]int{widths[0], 18, 18}, l.joint.Label, l.joint.Fitting, l.verdict, place), " ")}
	}
	time := ""
	if t, ok := l.weld.FusedAt(); ok {
		time = t.Format("15:04")
	}
	lead := cells(widths, l.joint.Label, l.key, time, env.Mark(l.weld.Operator), l.weld.Unit, l.verdict, "")
	if env.W < wide || l.says == "" {
		return []string{strings.TrimRight(lead+l.says, " ")}
	}
	return hanging(lead, l.says, env.W-3)
}

// widths are of joint, weld, time, mark, unit and verdict. A narrow window
// does without the unit: it stands on the weld's page.
func (s Day) widths(env shell.Env, lines []dayLine) []int {
	joint, unit := 5, 4
	for _, l := range lines {
		joint = max(joint, widget.Width(l.joint.Label))
		unit = max(unit, widget.Width(l.weld.Unit))
	}
	if unit = min(unit, 10); env.W < 76 {
		unit = 0
	}
	return []int{min(joint, 12), 8, 5, 3, unit, 10}
}

// cells lays cells side by side; a column of no width is left out.
func cells(widths []int, texts ...string) string {
	var kept []int
	var shown []string
	for i, t := range texts {
		if i < len(widths) && widths[i] == 0 {
			continue
		}
		if i < len(widths) {
			kept = append(kept, widths[i])
		}
		shown = append(shown, logbook.Clean(t))
	}
	return widget.Columns(kept, shown...)
}

// Keys are the day's; the days beside it only where there are any.
func (s Day) Keys(env shell.Env) shell.Keys {
	_, earlier := s.beside(env, -1)
	_, later := s.beside(env, 1)
	return shell.Keys{
		shell.On("Enter", "read"),
		shell.When(earlier, shell.On("1", "earlier")),
		shell.When(later, shell.On("2", "later")),
		shell.On("3", "find"),
		shell.When(!s.filter.none(), shell.On("0", "show all")),
		shell.On("4", "cover"), shell.On("5", "sign"), shell.On("6", "open"), shell.On("7", "tests"), shell.Back,
		shell.On("↑↓ PgDn", "choose"),
	}
}

// Topic is that of its page.
func (s Day) Topic(shell.Env) string { return "day" }

// Takes wants no scan.
func (s Day) Takes(shell.Env) shell.Taking { return shell.NoScan }
