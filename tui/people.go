package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// people lists who is who on the site.
type people struct{ at string }

func newPeople() shell.Screen { return people{} }

func (s people) list(env shell.Env) widget.List {
	var rows []widget.Row
	for _, p := range env.People() {
		rows = append(rows, widget.Row{Key: p.Label(), Text: func() string { return personLine(env, p) }})
	}
	return env.List(rows)
}

func personLine(env shell.Env, p logbook.Person) string {
	parts := []string{logbook.Joined(", ", p.Role.String(), logbook.Clean(p.Firm))}
	if p.Alone != nil {
		parts = append(parts, "works alone")
	}
	for _, name := range p.Also {
		parts = append(parts, "also "+logbook.Clean(name))
	}
	for _, other := range env.People() {
		if a, b := p.Label(), other.Label(); a != b && env.Site.SamePerson(a, b) && !env.Site.ToldSame(a, b) {
			parts = append(parts, "counts as one with "+logbook.Clean(b))
		}
	}
	return widget.Pad(logbook.Clean(p.Label()), 24) + " " + logbook.Joined("; ", parts...)
}

// chosen is the person at the cursor.
func (s people) chosen(env shell.Env) (logbook.Person, bool) {
	all := env.People()
	if len(all) == 0 {
		return logbook.Person{}, false
	}
	return all[s.list(env).Index(s.at)], true
}

// Update moves, and opens what can be said of people.
func (s people) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	p, is := s.chosen(env)
	switch digit := shell.Digit(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case shell.Is(key, shell.Up, shell.Down):
		s.at = s.list(env).Turn(s.at, shell.Steps(key, 1))
	case env.Site.ID == "":
	case digit == 1:
		env.Do.Push(naming(nil))
	case digit == 2:
		env.Do.Push(statingAlone())
	case digit == 3 && is && len(env.People()) > 1:
		env.Do.Push(tellingApart(env, p.Label()))
	case shell.Is(key, shell.Enter) && is:
		env.Do.Push(naming(&p))
	}
	return s
}

// naming asks for a new person, or more of one.
func naming(p *logbook.Person) shell.Screen {
	fields := []form.Field{{Item: form.Name, Label: "name", Manner: form.Text}}
	title := "A person of the site"
	if p != nil {
		fields, title = nil, p.Label()
	}
	role := form.Choose("role", "role", logbook.Roles)
	firm := form.Field{Item: "firm", Label: "firm", Manner: form.Text, Blank: true}
	if p != nil {
		role.Offer, firm.Offer = string(p.Role), p.Firm
	}
	return form.Ask{
		About: "people",
		Title: title,
		Form:  form.New(append(fields, role, firm, form.Field{Item: form.By, Label: "said by (name)", Manner: form.Text})),
		Done: func(env shell.Env, a form.Answers) {
			name, tell := a.V(form.Name), form.Telling(a, form.Name)
			if p != nil {
				name = p.Label()
			}
			env.By = a.V(form.By)
			form.Saves(env, "person named", func(h acts.Head) acts.Act {
				return acts.NamePerson(h, name, logbook.PersonNamed{Role: logbook.Role(a.V("role")), Firm: a.V("firm")}, tell)
			})
		},
	}
}

const (
	onePerson = "one person"
	twoPeople = "two people"
)

// tellingApart asks whether two names are one person's.
func tellingApart(env shell.Env, label string) shell.Screen {
	var others []string
	for _, p := range env.People() {
		if p.Label() != label {
			others = append(others, p.Label())
		}
	}
	return form.Ask{
		About: "people",
		Title: label,
		Text: func(shell.Env) []string {
			return []string{"Where one of the two says himself that they are two, the audit asks somebody else."}
		},
		Form: form.New([]form.Field{
			{Item: "other", Label: "and", Manner: form.Choice, Options: others},
			{Item: "are", Label: "are", Manner: form.Choice, Options: []string{onePerson, twoPeople}},
			{Item: form.By, Label: "said by (name)", Manner: form.Text},
		}),
		Done: func(env shell.Env, a form.Answers) {
			env.By = a.V(form.By)
			form.Saves(env, "people told apart", func(h acts.Head) acts.Act {
				return acts.TellPeople(h, label, a.V("other"), a.V("are") == onePerson)
			})
		},
	}
}

const (
	isAlone = "I work alone on this site"
	notLone = "I do not work alone any more"
)

// statingAlone asks who works alone. Nobody says it of another.
func statingAlone() shell.Screen {
	return form.Ask{
		About: "people",
		Title: "Who works alone",
		Text: func(shell.Env) []string {
			return []string{fmt.Sprintf("Nobody else is there to look at the welds. What such a person accepts of his own work counts as %q, never as accepted, and page 1 of the register says so. Whoever looks later can still accept by name.", "own welder only")}
		},
		Form: form.New([]form.Field{
			{Item: "alone", Label: "stated", Manner: form.Choice, Options: []string{isAlone, notLone}},
			{Item: form.By, Label: "your name", Manner: form.Text},
		}),
		Done: func(env shell.Env, a form.Answers) {
			env.By = a.V(form.By)
			form.Saves(env, "works alone", func(h acts.Head) acts.Act { return acts.WorksAlone(h, a.V("alone") == isAlone) })
		},
	}
}

// View lists the people.
func (s people) View(env shell.Env) string {
	lines := []string{env.Style.Bold(" People of " + logbook.Clean(env.Site.Name)), ""}
	if len(env.People()) == 0 {
		lines = append(lines, " Nobody is named yet.")
	}
	lines = append(lines, s.list(env).View(s.at, env.H-len(lines)-4)...)
	if p, ok := s.chosen(env); ok && widget.Width(personLine(env, p)) > env.W-4 { // in full
		lines = append(lines, "")
		for _, l := range widget.Wrap(personLine(env, p), env.W-2) {
			lines = append(lines, " "+l)
		}
	}
	return strings.Join(lines, "\n")
}

// Keys are the people's.
func (s people) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("↑↓", "choose"), shell.On("Enter", "role, firm"), shell.On("1", "add"), shell.On("2", "works alone"), shell.On("3", "same or other"), shell.Back}
}

// Topic is that of its page.
func (s people) Topic(shell.Env) string { return "people" }

// Takes wants no scan.
func (s people) Takes(shell.Env) shell.Taking { return shell.NoScan }
