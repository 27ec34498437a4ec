package tui

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/walk"
	"coolhold/tui/widget"
)

// chooseBatch asks which joints are prepared together. What the order proposes is marked;
// a digit marks another or takes a mark away.
type chooseBatch struct {
	picked map[string]bool
	at     string
	none   string // why none is marked
}

// newBatch is the batch that is in hand, else the question which joints it shall be.
func newBatch(env shell.Env) shell.Screen {
	if inBatch(env) {
		return batch{}
	}
	s := chooseBatch{picked: map[string]bool{}}
	for _, j := range ahead.ProposeBatch(env.Sight, env.Site.ID, env.Outlook().Order, env.Now, env.Beat) {
		s.picked[j.Label] = true
	}
	if len(s.picked) == 0 {
		s.none = ahead.NoBatch(env.Sight, env.Site.ID, env.Outlook().Order)
	}
	return s
}

// inBatch tells whether joints stand prepared.
func inBatch(env shell.Env) bool {
	_, is := walk.FirstReady(env)
	return is
}

// rows are the joints that can be prepared, in the order proposed.
func (s chooseBatch) rows(env shell.Env) (rows []ahead.Planned) {
	for _, p := range env.Outlook().Order.Rows {
		if p.Weld == "" && !p.Covered {
			rows = append(rows, p)
		}
	}
	return rows
}

func (s chooseBatch) list(env shell.Env) widget.List {
	var rows []widget.Row
	columns := []int{3, 4, env.JointColumn(), 16, 6}
	for i, p := range s.rows(env) {
		rows = append(rows, widget.Row{Key: p.Joint.Label, Text: func() string {
			digit, mark := "", ""
			if i < 9 {
				digit = fmt.Sprint(i + 1)
			}
			if s.picked[p.Joint.Label] {
				mark = "[x]"
			}
			return strings.TrimRight(widget.Columns(columns, digit, mark, p.Joint.Label, logbook.Clean(p.Fitting), p.Joint.Row, s.holds(env, p.Joint)), " ")
		}})
	}
	return env.List(rows)
}

// holds says what speaks against preparing a joint now.
func (s chooseBatch) holds(env shell.Env, j logbook.Joint) string {
	if held, is := ahead.PipeHeld(env.Sight, j, env.Now, env.Beat); is {
		return "its pipe is held by " + held.Weld.Joint
	}
	for _, label := range s.labels(env) {
		if o := env.Joint(label); label != j.Label && s.picked[j.Label] && o.Shares(j.Joint) {
			return "on one pipe with " + label
		}
	}
	return ""
}

// labels are the joints that are marked, in the order proposed.
func (s chooseBatch) labels(env shell.Env) (labels []string) {
	for _, p := range s.rows(env) {
		if s.picked[p.Joint.Label] {
			labels = append(labels, p.Joint.Label)
		}
	}
	return labels
}

// Update marks, and begins.
func (s chooseBatch) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	rows := s.rows(env)
	switch by := shell.Chooses(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.at = s.list(env).Move(s.at, by)
	case shell.Is(key, shell.Enter) && len(rows) > 0:
		return s.turned(rows[s.list(env).Index(s.at)].Joint.Label)
	case shell.Digit(key) == 0:
		s.begin(env)
	case shell.Digit(key) > 0 && shell.Digit(key) <= len(rows):
		return s.turned(rows[shell.Digit(key)-1].Joint.Label)
	}
	return s
}

func (s chooseBatch) turned(label string) chooseBatch {
	picked := map[string]bool{label: !s.picked[label]}
	for l, is := range s.picked {
		if l != label {
			picked[l] = is
		}
	}
	return chooseBatch{picked, label, s.none}
}

func (s chooseBatch) begin(env shell.Env) {
	labels := s.labels(env)
	switch {
	case !needShift(env):
	case len(labels) < ahead.FewestInBatch || len(labels) > ahead.MostInBatch:
		env.Do.Say(fmt.Sprintf("mark %d to %d joints first: %d are", ahead.FewestInBatch, ahead.MostInBatch, len(labels)))
	default:
		beginBatch(env, batch{joints: labels})
	}
}

// beginBatch opens the list of a batch and on it the card of its first joint; whose hands
// and which unit is asked once where there are several.
func beginBatch(env shell.Env, b batch) {
	fields := walk.PeopleFields(env)
	if len(fields) == 0 {
		b.operator, b.unit = env.By, ""
		if len(env.Shift.Units) > 0 {
			b.unit = env.Shift.Units[0].Serial
		}
		env.Do.Replace(b)
		b.prepares(env)
		return
	}
	env.Do.Replace(form.Ask{
		About: "batch",
		Title: "The batch " + strings.Join(b.joints, ", "),
		Form:  form.New(fields),
		Done: func(env shell.Env, a form.Answers) {
			b.operator, b.unit = env.By, a.V(logbook.FieldUnit)
			if who := a.V(logbook.FieldOperator); who != "" {
				b.operator = who
			}
			if b.unit == "" && len(env.Shift.Units) > 0 {
				b.unit = env.Shift.Units[0].Serial
			}
			env.Do.Push(b)
			b.prepares(env)
		},
	})
}

// A batch is joints that are prepared one after another and then fused one after another.
// Which of them stand prepared is said by the log alone: after a start of the program the
// list is what stands there.
type batch struct {
	joints         []string // as chosen; none after a start of the program
	operator, unit string
	at             string
}

// prepares opens the card of the first joint that is not prepared yet.
func (b batch) prepares(env shell.Env) {
	if open := b.open(env); len(open) > 0 {
		walk.Prepare(env, b.operator, b.unit, open)
	}
}

// open are the chosen joints of which no walk is begun.
func (b batch) open(env shell.Env) (open []string) {
	for _, label := range b.joints {
		if j := env.Joint(label); j.Open() && j.Walk == "" {
			open = append(open, label)
		}
	}
	return open
}

// A member is one joint of a batch as it stands.
type member struct {
	joint logbook.Joint
	ready *ahead.Ready
}

// members are the joints of a batch: those that stand prepared first, in the order in
// which they are fused, then what is to be prepared, then what is done.
func (b batch) members(env shell.Env) (all []member) {
	for _, r := range ahead.ReadyOn(env.Sight, env.Site.ID, env.Began, env.Now, env.Beat) {
		all = append(all, member{env.Joint(r.Weld.Joint), &r})
	}
	for _, w := range inHand(env) {
		if !slices.Contains(b.joints, w.Joint) {
			all = append(all, member{env.Joint(w.Joint), nil})
		}
	}
	for _, done := range []bool{false, true} {
		for _, label := range b.joints {
			j := env.Joint(label)
			listed := slices.ContainsFunc(all, func(m member) bool { return m.joint.Label == label })
			if !listed && done == (j.Stands != "") {
				all = append(all, member{j, nil})
			}
		}
	}
	return all
}

func (b batch) list(env shell.Env, all []member) widget.List {
	var rows []widget.Row
	columns := []int{2, env.JointColumn(), 8, 22, 6}
	for i, m := range all {
		rows = append(rows, widget.Row{Key: m.joint.Label, Text: func() string {
			j := m.joint
			weld, state, why := j.Walk, "to prepare", ""
			switch {
			case m.ready != nil:
				state = scrapedWord(*m.ready)
				if len(m.ready.Since) > 0 {
					why = "to ask"
				}
			case j.Stands != "":
				weld, state = j.Stands, stateWord(env, j)
			case j.Walk != "":
				state = "in hand"
			}
			return strings.TrimRight(widget.Columns(columns, fmt.Sprint(i+1), j.Label, weld, state, why, strings.TrimSpace(logbook.Clean(j.Fitting)+"  "+j.Row)), " ")
		}})
	}
	return env.List(rows)
}

// scrapedWord is how long ago a joint was scraped, beside it in a list.
func scrapedWord(r ahead.Ready) string {
	switch {
	case !r.Known:
		return "not scraped"
	case r.Late:
		return fmt.Sprintf("scraped %d min: STOP", int(r.Scraped.Minutes()))
	}
	return fmt.Sprintf("scraped %d min ago", int(r.Scraped.Minutes()))
}

// Update goes on with the batch, or opens one of its joints.
func (b batch) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return b
	}
	all := b.members(env)
	m, is := b.marked(env, all)
	switch by := shell.Chooses(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		b.at = b.list(env, all).Move(m.joint.Label, by)
	case shell.Is(key, shell.Enter) && is && needShift(env):
		b.at = ""
		b.goesOn(env, m)
	case shell.Digit(key) > 0 && shell.Digit(key) <= len(all):
		b.opens(env, all[shell.Digit(key)-1])
	}
	return b
}

// marked is the joint that Enter goes on with: the one that was chosen, else what is next.
func (b batch) marked(env shell.Env, all []member) (member, bool) {
	for _, label := range []string{b.at, b.next(env)} {
		if i := slices.IndexFunc(all, func(m member) bool { return m.joint.Label == label }); i >= 0 {
			return all[i], true
		}
	}
	return member{}, false
}

// next is what is in hand, else the next joint to prepare, else the next to fuse.
func (b batch) next(env shell.Env) string {
	if hand := inHand(env); len(hand) > 0 {
		return hand[0].Joint
	}
	if open := b.open(env); len(open) > 0 {
		return open[0]
	}
	ready, _ := walk.FirstReady(env)
	return ready.Weld.Joint
}

// goesOn takes a joint that stands prepared or is in hand up, or prepares it and then the
// others.
func (b batch) goesOn(env shell.Env, m member) {
	label := m.joint.Label
	switch {
	case m.ready != nil:
		walk.PushTaken(env, *m.ready)
	case m.inHand():
		walk.TakeUpOf(env, env.Weld(m.joint.Walk), b.open(env)...)
	case m.joint.Stands != "":
		b.opens(env, m)
	default:
		rest := slices.DeleteFunc(b.open(env), func(l string) bool { return l == label })
		walk.Prepare(env, b.operator, b.unit, append([]string{label}, rest...))
	}
}

func (m member) inHand() bool { return m.ready == nil && m.joint.Walk != "" }

// inHand are the walks that are open and not set down, of whoever is at the laptop.
func inHand(env shell.Env) (hand []logbook.Weld) {
	for _, j := range env.Sight.All() {
		if w := env.Weld(j.Walk); j.Walk != "" && w.Ready == nil && w.Operator == env.By {
			hand = append(hand, w)
		}
	}
	return hand
}

// opens is what can be done with one joint of a batch.
func (b batch) opens(env shell.Env, m member) {
	if m.ready == nil {
		env.Do.Push(joint{label: m.joint.Label})
		return
	}
	env.Do.Push(readyJoint{m.joint.Label})
}

// Topic is that of its page.
func (b batch) Topic(shell.Env) string { return "batch" }

// View draws the list and what the next key does.
func (b batch) View(env shell.Env) string {
	all := b.members(env)
	lines := []string{env.Style.Bold(widget.Cut(" "+b.title(env, all), env.W)), ""}
	m, is := b.marked(env, all)
	below := []string{" No joint stands prepared. Esc goes back."}
	if is {
		below = m.below(env)
	}
	lines = append(lines, b.list(env, all).View(m.joint.Label, env.H-len(lines)-len(below)-1)...)
	return strings.Join(append(append(lines, ""), below...), "\n")
}

func (b batch) title(env shell.Env, all []member) string {
	ready := 0
	for _, m := range all {
		if m.ready != nil {
			ready++
		}
	}
	title := fmt.Sprintf("Batch: %s prepared", logbook.Count(ready, "joint"))
	if n := len(b.open(env)); n > 0 {
		title += fmt.Sprintf(", %d to prepare", n)
	}
	return title
}

// below says what Enter does.
func (m member) below(env shell.Env) []string {
	enter := func(does string) []string { return []string{env.Style.Bold(" Enter: " + does)} }
	switch {
	case m.ready != nil:
		return append(enter("fuse "+m.joint.Label), walk.TakeLines(env, *m.ready)...)
	case m.inHand():
		return enter("go on with " + m.joint.Walk + " in " + m.joint.Label)
	case m.joint.Stands != "":
		return enter("open " + m.joint.Label)
	}
	return enter("prepare " + m.joint.Label)
}

// Keys are the list's.
func (b batch) Keys(env shell.Env) shell.Keys {
	return shell.Keys{shell.On("Enter", "go on"), shell.On("digit", "one of them"), shell.On("↑↓ PgDn", "choose"), shell.Back}
}

// Name says that it stands on the stack once.
func (b batch) Name() string { return "batch" }

// Takes wants no scan.
func (b batch) Takes(shell.Env) shell.Taking { return shell.NoScan }

// Topic is that of its page.
func (s chooseBatch) Topic(shell.Env) string { return "batch" }

// View draws the choice.
func (s chooseBatch) View(env shell.Env) string {
	lines := []string{env.Style.Bold(widget.Cut(" Prepare joints together, then fuse them one after another", env.W))}
	for _, l := range widget.Wrap(cmp.Or(s.none, "Marked: what the same leads reach, as many as there are clamps, no two on one pipe."), env.W-2) {
		lines = append(lines, " "+l)
	}
	foot := env.Style.Bold(fmt.Sprintf(" 0: begin with the %d marked", len(s.labels(env))))
	lines = append(lines, "")
	lines = append(lines, s.list(env).View(s.at, env.H-len(lines)-2)...)
	return strings.Join(append(lines, "", foot), "\n")
}

// Keys are the choice's.
func (s chooseBatch) Keys(env shell.Env) shell.Keys {
	return shell.Keys{shell.On("0", "begin"), shell.Digits(len(s.rows(env)), "mark"), shell.On("↑↓ PgDn", "choose"), shell.On("Enter", "mark"), shell.Back}
}

// Takes wants no scan.
func (s chooseBatch) Takes(shell.Env) shell.Taking { return shell.NoScan }

// readyJoint is what can be done with a joint that stands prepared.
type readyJoint struct{ label string }

func (s readyJoint) ready(env shell.Env) (ahead.Ready, bool) {
	for _, r := range ahead.ReadyOn(env.Sight, env.Site.ID, env.Began, env.Now, env.Beat) {
		if r.Weld.Joint == s.label {
			return r, true
		}
	}
	return ahead.Ready{}, false
}

// Update does it.
func (s readyJoint) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if _, told := shell.Entries(msg); told {
		return s
	}
	ready, is := s.ready(env)
	switch d := shell.Digit(msg); {
	case shell.Is(msg, shell.Leave, shell.BackOne) || !is:
		env.Do.Pop()
	case d == 1 && needShift(env):
		walk.Take(env, ready)
	case d == 2 && needShift(env):
		walk.TakeTouched(env, ready)
	case d == 3:
		env.Do.Replace(joint{label: s.label})
	}
	return s
}

// Topic is that of its page.
func (s readyJoint) Topic(shell.Env) string { return "batch" }

// View draws it.
func (s readyJoint) View(env shell.Env) string {
	ready, is := s.ready(env)
	if !is {
		return " " + s.label + " is taken up: any key goes back."
	}
	lines := []string{env.Style.Bold(widget.Cut(fmt.Sprintf(" %s   %s   prepared", s.label, ready.Weld.ID), env.W)), "", "  1  fuse it next"}
	lines = append(lines, walk.TakeLines(env, ready)...)
	return strings.Join(append(lines, "  2  it was touched or got wet: say what is true of it", "  3  all that is known of this joint"), "\n")
}

// Keys are its.
func (s readyJoint) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("1-3", "choose"), shell.Back}
}

// Takes wants no scan.
func (s readyJoint) Takes(shell.Env) shell.Taking { return shell.NoScan }

// batchLine says what stands prepared; "" where nothing does.
func batchLine(env shell.Env) string {
	ready := ahead.ReadyOn(env.Sight, env.Site.ID, env.Began, env.Now, env.Beat)
	if len(ready) == 0 {
		return ""
	}
	if hand := inHand(env); len(hand) > 0 {
		return fmt.Sprintf("%s is in hand, %s prepared: key 1.", hand[0].Joint, stand(len(ready)))
	}
	line := ready[0].Weld.Joint + " stands prepared, " + scrapedWord(ready[0])
	if n := len(ready) - 1; n > 0 {
		line += fmt.Sprintf("; %d more after it", n)
	}
	return line + ": key 1."
}

func stand(n int) string {
	if n == 1 {
		return "1 joint stands"
	}
	return fmt.Sprintf("%d joints stand", n)
}

// readyWord is what the board says of a joint that stands prepared.
func readyWord(env shell.Env, j logbook.Joint) string {
	if w := env.Weld(j.Walk); j.Walk == "" || w.Ready == nil {
		return ""
	}
	ready, _ := readyJoint{j.Label}.ready(env)
	return strings.TrimSuffix(scrapedWord(ready), " ago")
}
