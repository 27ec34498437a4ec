package tui

import (
	"cmp"
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/plan"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// readsPlan answers the keys while the plan is shown back.
func (j jobTyping) readsPlan(env shell.Env, key tea.KeyMsg) jobTyping {
	room := j.planRoom(env)
	switch by := shell.Reads(key, room); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		return j.lists()
	case by != 0:
		j.top = j.top.Move(by, len(j.planLines(env.W)), room)
	case shell.Digit(key) != 1 || j.opens || len(j.lacks()) > 0:
	case j.top.Below(len(j.planLines(env.W)), room) > 0:
		j.say = "first read to the end of the plan: ↓"
	default:
		return j.open(env)
	}
	return j
}

// open has the site opened. The job stays until it is, with all that was typed.
func (j jobTyping) open(env shell.Env) jobTyping {
	var tables []acts.File
	for _, t := range j.tables {
		tables = append(tables, t.file)
	}
	j.opens = true
	opensSite(env, j.tag, j.file(), tables)
	return j
}

func (j jobTyping) opened(env shell.Env, m openedMsg) jobTyping {
	if m.err != nil {
		j.opens, j.say = false, m.fault()
		return j
	}
	m.shows(env)
	return j
}

// planLines are the plan as it was built: the site, then each joint as it will be
// called and where it is.
func (j jobTyping) planLines(w int) []string {
	p := j.planned()
	var lines []string
	head := [][2]string{{"site", p.Site}, {"client", p.Client}, {"firm", p.Firm}, {"address", p.Address}, {"scraping", cmp.Or(p.Scraping, "rotary or hand scraper")}}
	if looks := j.looksLine(); looks != "" {
		head = append(head, [2]string{"looked at", looks})
	}
	for _, l := range head {
		lines = append(lines, widget.Wrap(" "+widget.Pad(l[0], 10)+logbook.Clean(l[1]), w-1)...)
	}
	lines = append(lines, "", fmt.Sprintf(" %s to weld:", logbook.Count(len(p.Joints()), "joint")))
	for _, joint := range p.Joints() {
		lines = append(lines, plannedLines(joint, w)...)
	}
	return lines
}

// plannedLines are a joint of a plan in so many columns.
func plannedLines(j plan.Joint, w int) []string {
	var lines []string
	for i, l := range widget.Wrap(plannedLine(j), w-8) {
		if i > 0 {
			l = "      " + l
		}
		lines = append(lines, " "+l)
	}
	return lines
}

// plannedLine is a joint of a plan in words.
func plannedLine(j plan.Joint) string {
	parts := []string{widget.Pad(j.Label, 5) + cmp.Or(j.Fitting, "no fitting")}
	if j.Port > 0 {
		parts = append(parts, fmt.Sprintf("port %d %s, %s", j.Port, j.Row, j.Bar))
	}
	parts = append(parts, j.PipeLine())
	if j.LengthM > 0 {
		parts = append(parts, fusion.Figure(j.LengthM)+" m")
	}
	if j.Tape != "" {
		parts = append(parts, j.Tape+" tape")
	}
	return logbook.Clean(logbook.Joined(" · ", append(parts, j.Where)...))
}

// planRoom is how many lines of the plan are shown.
func (j jobTyping) planRoom(env shell.Env) int { return max(3, env.H-2-len(j.planFoot(env))) }

func (j jobTyping) planFoot(env shell.Env) []string {
	var foot []string
	lacks := j.lacks()
	for _, l := range append(lacks[:min(3, len(lacks))], j.say) {
		for _, w := range widget.Wrap(logbook.Clean(l), env.W-4) {
			if w != "" {
				foot = append(foot, env.Style.Warn("  ! "+w))
			}
		}
	}
	switch {
	case j.opens:
		return append(foot, " opening …")
	case len(lacks) > 0:
		return append(foot, env.Style.Bold(" Esc: back to the list; mend it there"))
	}
	return append(foot, env.Style.Bold(" 1: every joint is so, open the site"))
}

// Topic is that of its page.
func (j jobTyping) Topic(shell.Env) string { return "newsite" }

// View draws what is typed at present.
func (j jobTyping) View(env shell.Env) string {
	switch j.stage {
	case onTable:
		return j.table.now.View(env)
	case onSite, onChamber, onJoint, onLooks:
		return j.now.View(env)
	case onTableFile:
		return strings.Join(append([]string{env.Style.Bold(" A fusion table from a file"), ""}, j.box.View(env, env.H-2)...), "\n")
	case onPlan:
		lines := []string{env.Style.Bold(" The plan as it was typed"), ""}
		lines = append(lines, j.top.View(j.planLines(env.W), j.planRoom(env), env.Style.Dim)...)
		return strings.Join(append(lines, j.planFoot(env)...), "\n")
	case onChambers:
		return j.severalView(env, "Chambers", j.chambers, "chamber")
	case onOutside:
		return j.severalView(env, "Joints outside the chambers", j.outside, "label")
	}
	return j.listView(env)
}

func (j jobTyping) listView(env shell.Env) string {
	lines := []string{env.Style.Bold(" The job, typed in here"), ""}
	if j.leaves && j.typed() {
		lines = append(lines, env.Style.Warn(" Esc again drops what is typed. Enter goes on."), "")
	}
	for i, s := range jobSteps {
		mark, says := " ", s.holds(j)
		if s.stage == j.next() {
			mark, says = "▸", cmp.Or(says, "next")
		}
		lines = append(lines, widget.Cut(fmt.Sprintf(" %s %d  %s", mark, i+1, s.name), env.W))
		most := 3
		if env.H < 18 { // in a small window each is told in one line
			most = 1
		}
		for _, l := range widget.CutBelow(widget.Wrap(logbook.Clean(says), env.W-10), most, env.W-10) {
			if l != "" {
				lines = append(lines, env.Style.Dim("        "+l))
			}
		}
	}
	return strings.Join(lines, "\n")
}

func (j jobTyping) severalView(env shell.Env, title string, all []form.Answers, item string) string {
	lines := []string{env.Style.Bold(" " + title), ""}
	for i, a := range all[:min(8, len(all))] {
		lines = append(lines, widget.Cut(fmt.Sprintf("   %d  %s", i+1, logbook.Clean(a.V(item))), env.W))
	}
	return strings.Join(append(lines, "", "   9  a further one", "   0  take the last one out"), "\n")
}

// Keys are those of what is typed at present.
func (j jobTyping) Keys(env shell.Env) shell.Keys {
	switch j.stage {
	case onTable:
		return j.table.now.Keys(env)
	case onSite, onChamber, onJoint, onLooks:
		return j.now.Keys(env)
	case onTableFile:
		return j.box.Keys()
	case onPlan:
		return shell.Keys{shell.On("1", "open the site"), shell.On("↑↓ PgDn", "read"), shell.On("←", "one back"), shell.On("Esc", "back")}
	case onList:
		return shell.Keys{shell.On("Enter", "the next part"), shell.On("1-7", "a part"), shell.On("Esc", "leave")}
	}
	return shell.Keys{shell.On("1-8", "change"), shell.On("9", "a further one"), shell.On("0", "take the last out"), shell.On("←", "one back"), shell.On("Esc", "back")}
}

// Takes is the wish of what is typed at present.
func (j jobTyping) Takes(shell.Env) shell.Taking {
	switch j.stage {
	case onTable:
		return j.table.now.Takes()
	case onSite, onChamber, onJoint, onLooks:
		return j.now.Takes()
	case onTableFile:
		return j.box.Takes()
	}
	return shell.NoScan
}
