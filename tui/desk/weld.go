package desk

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/walk"
	"coolhold/tui/widget"
)

// A Weld is everything known of one weld as a page to read, and what the
// foreman can do about it. Without a number it is the page of a joint in which
// no weld stands.
type Weld struct {
	id    string
	label string // joint; only where there is no weld
	top   widget.Scroll
	by    string // the name last given on the foreman's screens
}

// NewWeld opens the page of a weld.
func NewWeld(id string) shell.Screen { return Weld{id: id} }

// Update scrolls; a digit opens a form and never acts by itself.
func (s Weld) Update(env shell.Env, msg tea.Msg) shell.Screen {
	s.by = heard(s.by, msg)
	if decided(s.id, msg) {
		s.top = 0 // where it shows what came of it
	}
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	switch by := shell.Reads(key, pageRoom(env)); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.top = s.top.Move(by, len(s.page(env)), pageRoom(env))
	default:
		s.digit(env, shell.Digit(key))
	}
	return s
}

// pageRoom are the lines under the title.
func pageRoom(env shell.Env) int { return env.H - 1 }

func (s Weld) digit(env shell.Env, n int) {
	j := s.joint(env)
	w := env.Weld(s.id)
	switch {
	case n == 6:
		s.others(env, j)
	case n == 7:
		env.Do.Push(newCircuit(j))
	case n == photoKey:
		env.Do.Push(photoOf(s.photo(w, j)))
	case n < 1:
	case n == 1:
		accept(env, s.by, s.subject(env, w, j))
	case n == 9:
		takeBack(env, s.by, s.subject(env, w, j), w)
	case w.ID == "" && n == 2 && strikable(j):
		env.Do.Push(Striking(s.by, j))
	case w.ID == "":
		say(env, "no weld stands in "+j.Label)
	case n == 2 && mustStand(env, w):
		env.Do.Push(ordering(s.by, w))
	case n == 3 && mustStand(env, w):
		env.Do.Push(rechecking(s.by, w))
	case n == 4:
		env.Do.Push(noting(s.by, w))
	case n == 5:
		env.Do.Push(values{weld: w.ID, by: s.by})
	case n == 8 && mustStand(env, w):
		lookAgain(env, s.by, w)
	}
}

// photo is what a photo of this page is bound to.
func (s Weld) photo(w logbook.Weld, j logbook.Joint) binding {
	if w.ID == "" {
		return binding{of: "joint " + j.Label, by: s.by, at: j.Label}
	}
	return binding{of: w.ID + " in " + w.Joint, by: s.by, weld: w.ID}
}

// subject is what is decided on this page.
func (s Weld) subject(env shell.Env, w logbook.Weld, j logbook.Joint) subject {
	if w.ID == "" {
		return ofJoint(env, j)
	}
	return ofWeld(env, w)
}

func lookAgain(env shell.Env, by string, w logbook.Weld) {
	if !walk.MayLookAgain(env, w) {
		say(env, w.ID+" is fused or held still: it is looked at then")
		return
	}
	env.Do.Push(walk.LookAgain(env, w, by))
}

// strikable tells whether it can be said of a joint here that it is not being built.
func strikable(j logbook.Joint) bool { return j.Open() && j.Walk == "" }

func mustStand(env shell.Env, w logbook.Weld) bool {
	if !w.Stands() {
		say(env, w.ID+" does not stand in "+w.Joint)
	}
	return w.Stands()
}

// joint is the joint of the page: of a weld the one it was made at.
func (s Weld) joint(env shell.Env) logbook.Joint {
	if w := env.Weld(s.id); w.ID != "" {
		return env.Joint(w.Joint)
	}
	return env.Joint(s.label)
}

// others goes to another weld of the joint.
func (s Weld) others(env shell.Env, j logbook.Joint) {
	ids := otherWelds(j, s.id)
	switch len(ids) {
	case 0:
		say(env, "no other weld was made in "+j.Label)
	case 1:
		env.Do.Push(Weld{id: ids[0], by: s.by})
	default:
		env.Do.Push(whichWeld(j, ids, s.by))
	}
}

func whichWeld(j logbook.Joint, ids []string, by string) shell.Screen {
	return form.Ask{
		About: "which",
		Title: "Other welds in " + j.Label,
		Form:  form.New([]form.Field{{Item: "weld", Label: "which", Manner: form.Choice, Options: ids}}),
		Done: func(env shell.Env, a form.Answers) {
			env.Do.Push(Weld{id: a.V("weld"), by: by})
		},
	}
}

func otherWelds(j logbook.Joint, id string) []string {
	return slices.DeleteFunc(slices.Clone(j.Welds), func(other string) bool { return other == id })
}

func (s Weld) page(env shell.Env) []string {
	if s.id == "" {
		return jointPage(env, s.joint(env), env.W)
	}
	return page(env, env.Weld(s.id), env.W)
}

// View draws the part of the page that fits under its title.
func (s Weld) View(env shell.Env) string {
	lines := s.page(env)
	from, to := s.top.Part(len(lines), pageRoom(env))
	where := ""
	if to-from < len(lines) {
		where = fmt.Sprintf("%d-%d of %d ", from+1, to, len(lines))
	}
	title := widget.Pad(" "+logbook.Clean(s.title(env)), env.W-widget.Width(where)) + where
	return strings.Join(append([]string{env.Style.Bold(title)}, lines[from:to]...), "\n")
}

func (s Weld) title(env shell.Env) string {
	j := s.joint(env)
	place := placeOf(j)
	if s.id == "" {
		return "Joint " + j.Label + ", " + place
	}
	return s.id + "   joint " + j.Label + ", " + place
}

// placeOf is where a joint is in the site: chamber, circuit and leg, or header.
func placeOf(j logbook.Joint) string {
	var parts []string
	if j.Chamber != "" {
		parts = append(parts, "chamber "+j.Chamber)
	}
	if j.Circuit > 0 {
		parts = append(parts, fmt.Sprintf("circuit %d leg %s", j.Circuit, j.Leg))
	}
	if way := j.HeaderWay(); way != "" {
		parts = append(parts, "header "+way)
	}
	if len(parts) == 0 {
		return noChamber
	}
	return logbook.Clean(strings.Join(parts, ", "))
}

// Keys are the page's.
func (s Weld) Keys(env shell.Env) shell.Keys {
	w, j := env.Weld(s.id), s.joint(env)
	is := w.ID != ""
	second := shell.When(is, shell.On("2", "order cut-out"))
	if !is {
		second = shell.When(strikable(j), shell.On("2", "not being built"))
	}
	return shell.Keys{
		shell.On("1", "accept"),
		second,
		shell.When(is, shell.On("3", "re-check")),
		shell.When(is, shell.On("4", "note")),
		shell.When(is, shell.On("5", "correct")),
		shell.When(walk.MayLookAgain(env, w), shell.On("8", "look again")),
		shell.When(takesBack(s.subject(env, w, j), w), shell.On("9", "take back")),
		shell.When(len(otherWelds(j, s.id)) > 0, shell.On("6", "others here")),
		shell.Back,
		shell.On("7", "circuit"),
		shell.On("0", "photo"),
		shell.On("↑↓ PgDn", "read"),
	}
}

// Topic is that of its page.
func (s Weld) Topic(shell.Env) string { return "weld" }

// Takes wants no scan.
func (s Weld) Takes(shell.Env) shell.Taking { return shell.NoScan }
