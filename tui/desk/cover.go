package desk

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

const coverCaution = "As far as the record shows. The pressure proof, the site's rules and the client's own inspection come first."

// cover lists the chambers and runs with what is missing in each. Its cursor
// follows a section.
type cover struct{ at string }

// newCover lists the chambers and runs with what is missing in each.
func newCover(shell.Env) shell.Screen { return cover{} }

// Update chooses a section and opens it.
func (s cover) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	parts := logbook.Sections(env.Book, env.Site.ID)
	at := s.index(parts)
	switch {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case len(parts) == 0:
	case shell.Is(key, shell.Enter):
		env.Do.Push(coverPart{name: parts[at].Name})
	default:
		s.at = parts[min(max(0, at+scrolledBy(key, 5)), len(parts)-1)].Name
	}
	return s
}

func (s cover) index(parts []logbook.Section) int {
	return max(0, slices.IndexFunc(parts, func(p logbook.Section) bool { return p.Name == s.at }))
}

// View draws a line or more a section.
func (s cover) View(env shell.Env) string {
	head := append([]string{env.Style.Bold(" Covering with ground")}, hanging(" ", coverCaution, env.W)...)
	head = append(head, "")
	parts := logbook.Sections(env.Book, env.Site.ID)
	var rows []string
	at := 0
	for i, p := range parts {
		lead, paint := "   ", func(l string) string { return l }
		if i == s.index(parts) {
			at, lead, paint = len(rows), " ▸ ", func(l string) string { return env.Style.Pick(widget.Pad(l, env.W)) }
		}
		says := logbook.Clean(strings.Join(coverSays(env, p), "; "))
		for _, l := range hanging(lead+widget.Pad(logbook.Clean(p.Name), 12)+" ", says, env.W) {
			rows = append(rows, paint(l))
		}
	}
	room := max(1, env.H-len(head))
	from, _ := widget.Window(len(rows), at, room)
	return strings.Join(append(head, paged(env, rows, from, room)...), "\n")
}

// Keys are the list's.
func (s cover) Keys(shell.Env) []shell.Hint {
	return []shell.Hint{{Key: "↑↓", Does: "choose"}, {Key: "Enter", Does: "open"}, {Key: "Esc", Does: "back"}}
}

// Takes wants no scan.
func (s cover) Takes(shell.Env) shell.Taking { return shell.NoScan }

// A lack is a joint that keeps its section from being covered.
type lack struct {
	label string
	word  string   // the worst in a word or two
	says  []string // all of it
}

// coverLacks are the joints of a section that keep it open, in its order, then
// joints elsewhere that are held on the same pipe: ground would move them.
func coverLacks(env shell.Env, p logbook.Section) []lack {
	var out []lack
	for _, j := range p.Joints {
		if l, lacks := lackOf(env, j); lacks {
			out = append(out, l)
		}
	}
	for _, line := range env.Running {
		j := env.Joint(line.Weld.Joint)
		shared := slices.ContainsFunc(p.Joints, func(o logbook.Joint) bool { return j.Pipe != "" && o.Pipe == j.Pipe })
		in := slices.ContainsFunc(p.Joints, func(o logbook.Joint) bool { return o.Label == j.Label })
		if shared && !in {
			out = append(out, lack{j.Label, env.Audit.StateOf(j), []string{"is not released, and lies on the same pipe"}})
		}
	}
	return out
}

// lackOf is what a joint still needs: a settled weld, nothing left to do at it
// while it can be reached, and no order of the foreman unanswered.
func lackOf(env shell.Env, j logbook.Joint) (lack, bool) {
	l := lack{label: j.Label}
	if !env.Audit.Settled(j) {
		l.word = env.Audit.StateOf(j)
	}
	w := env.Weld(j.Stands)
	for _, f := range env.Audit.Open() {
		if f.Weld == "" && f.Joint == j.Label || f.Weld != "" && f.Weld == w.ID {
			l.add(strings.ReplaceAll(f.Rule, "-", " "), severityWord(f)+": "+f.Says)
		}
	}
	return l, l.word != ""
}

func (l *lack) add(word, says string) {
	if l.word == "" {
		l.word = word
	}
	l.says = append(l.says, says)
}

func severityWord(f audit.Finding) string {
	if f.Work && f.Severity != audit.Fail {
		return "open"
	}
	return f.Severity.String()
}

// coverSays is what stands of a section: covered, and by whom; may be covered;
// or what is missing.
func coverSays(env shell.Env, p logbook.Section) []string {
	var says []string
	c, covered := env.Site.CoverOf(p.Name)
	if covered {
		says = append(says, fmt.Sprintf("covered on %s by %s", c.At.Local().Format("2 Jan 2006"), c.By))
		if len(c.Missing) > 0 {
			says = append(says, "while not settled: "+strings.Join(c.Missing, ", "))
		}
		if e, dug := dugSince(env.Site, p, c); dug {
			says = append(says, "dug up since, on "+e.On)
			covered = false
		}
	}
	lacks := coverLacks(env, p)
	switch {
	case len(lacks) > 0:
		return append(says, missingLine(lacks))
	case !covered:
		return append(says, "may be covered")
	}
	return says
}

func missingLine(lacks []lack) string {
	var names []string
	for _, l := range lacks {
		names = append(names, l.label+" "+l.word)
	}
	joints := "joints"
	if len(lacks) == 1 {
		joints = "joint"
	}
	return fmt.Sprintf("%d %s missing: %s", len(lacks), joints, strings.Join(names, ", "))
}

// dugSince finds the last time that a covered section was dug up again.
func dugSince(s logbook.Site, p logbook.Section, c logbook.Cover) (logbook.Event, bool) {
	for i := len(s.Events) - 1; i >= 0; i-- {
		e := s.Events[i]
		touches := func(j logbook.Joint) bool { return concerns(e, j) }
		if e.What == logbook.DugUp && e.Seq > c.Seq && slices.ContainsFunc(p.Joints, touches) {
			return e, true
		}
	}
	return logbook.Event{}, false
}

// coverPart is one section: its joints with what each lacks.
type coverPart struct {
	name   string
	scroll int
}

func (s coverPart) section(env shell.Env) logbook.Section {
	for _, p := range logbook.Sections(env.Book, env.Site.ID) {
		if p.Name == s.name {
			return p
		}
	}
	return logbook.Section{Name: s.name}
}

// Update reads, and opens the form that says that it was covered.
func (s coverPart) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	switch {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case string(key.Runes) == "1":
		env.Do.Push(newCovered(env, s))
	default:
		head, rows := s.lines(env)
		most := max(0, len(rows)-max(1, env.H-len(head)))
		s.scroll = min(max(0, s.scroll+scrolledBy(key, 8)), most)
	}
	return s
}

// View draws what stands of the section, then each joint.
func (s coverPart) View(env shell.Env) string {
	head, rows := s.lines(env)
	return strings.Join(append(head, paged(env, rows, s.scroll, max(1, env.H-len(head)))...), "\n")
}

func (s coverPart) lines(env shell.Env) (head, rows []string) {
	p := s.section(env)
	head = append(head, env.Style.Bold(widget.Cut(logbook.Clean(" Covering "+p.Name), env.W)))
	for _, says := range coverSays(env, p) {
		head = append(head, hanging(" ", logbook.Clean(says), env.W)...)
	}
	head = append(append(head, hanging(" ", coverCaution, env.W)...), "")
	lacks := coverLacks(env, p)
	for _, j := range p.Joints {
		rows = append(rows, widget.Cut(logbook.Clean("   "+widget.Columns([]int{8, 16}, j.Label, j.Fitting, env.Audit.StateOf(j))), env.W))
		for _, l := range lacks {
			if l.label == j.Label {
				rows = append(rows, l.lines(env.W)...)
			}
		}
	}
	for _, l := range lacks {
		if !slices.ContainsFunc(p.Joints, func(j logbook.Joint) bool { return j.Label == l.label }) {
			rows = append(rows, hanging("   ", logbook.Clean(l.label+" "+strings.Join(l.says, "; ")), env.W)...)
		}
	}
	return head, rows
}

func (l lack) lines(width int) []string {
	var out []string
	for _, says := range l.says {
		out = append(out, hanging("            ", logbook.Clean(says), width)...)
	}
	return out
}

// Keys are the section's.
func (s coverPart) Keys(shell.Env) []shell.Hint {
	return []shell.Hint{{Key: "1", Does: "it was covered"}, {Key: "↑↓", Does: "read"}, {Key: "Esc", Does: "back"}}
}

// Takes wants no scan.
func (s coverPart) Takes(shell.Env) shell.Taking { return shell.NoScan }

const (
	notCovered = "it is not covered: go back"
	coveredAll = "covered all the same"
)

// newCovered asks who says that a section was covered. Where joints are missing
// it names them first: what has happened is recorded all the same.
func newCovered(env shell.Env, s coverPart) shell.Screen {
	lacks := coverLacks(env, s.section(env))
	var text []string
	if len(lacks) > 0 {
		text = []string{logbook.Clean(missingLine(lacks))}
	}
	return form.Ask{
		Title: logbook.Clean(s.name + " was covered"),
		Text:  func(shell.Env) []string { return text },
		Form: form.New([]form.Field{
			{Item: "all the same", Label: "not all is settled there", Kind: form.Choice, Options: []string{notCovered, coveredAll}, Skip: func(form.Answers) bool { return len(lacks) == 0 }},
			{Item: "by", Label: "covered by (name)", Kind: form.Text, Skip: func(a form.Answers) bool { return a.V("all the same") == notCovered }},
		}),
		Done: func(env shell.Env, a form.Answers) {
			if a.V("all the same") != notCovered {
				covering(env, s, labelsOf(lacks), a.V("by"))
			}
		},
	}
}

// covering records the cover with what was shown as missing; where that is no
// longer so it is shown anew first.
func covering(env shell.Env, s coverPart, shown []string, by string) {
	if !slices.Equal(shown, labelsOf(coverLacks(env, s.section(env)))) {
		env.Do.Say("not recorded: what is missing there has changed meanwhile, look again")
		return
	}
	env.By = by
	form.Saves(env, s.name+" covered", func(h logbook.Head) logbook.Act { return logbook.CoverPart(h, s.name, shown) })
}

func labelsOf(lacks []lack) []string {
	var labels []string
	for _, l := range lacks {
		labels = append(labels, l.label)
	}
	return labels
}
