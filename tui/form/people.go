package form

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/shell"
)

// Items that ask for a person: who says it, and who is spoken of. Those of the
// site are listed; where a new name is near one of them, whose it is is asked.
const (
	By   = "by"
	Name = "name"
)

// another is the answer that a near name is somebody else's.
const another = "somebody else"

func (f Field) asksWho() bool {
	return f.Manner == Text && (f.Person || f.Item == By || f.Item == Name)
}

// knowing is the form with the people of the site.
func (f Form) knowing(env shell.Env) Form {
	if field, ok := f.Field(); ok && field.asksWho() {
		f.people = env.People()
	}
	return f
}

// mostPeople are as many as have a digit.
const mostPeople = 9

// listed are the people of the site, each with the digit that chooses it.
func (f Form) listed(field Field) string {
	if !field.asksWho() || len(f.people) == 0 {
		return ""
	}
	var parts []string
	for i, p := range f.people[:min(mostPeople, len(f.people))] {
		parts = append(parts, fmt.Sprintf("%d %s", i+1, logbook.Joined(", ", p.Label(), p.Role.String())))
	}
	return strings.Join(parts, "  ·  ")
}

// who is the person that a digit stands for, or the name that was typed. What
// nobody can see is taken out, and said.
func (f Form) who(text string) (name, gone string) {
	if n, err := strconv.Atoi(text); err == nil && n >= 1 && n <= min(mostPeople, len(f.people)) {
		return f.people[n-1].Label(), ""
	}
	return logbook.TypedName(text)
}

// whose asks once whose a name is that is near a known one.
func (f Form) whose(env shell.Env, asked Field) (Form, bool) {
	item := asked.Item + " is"
	at := slices.IndexFunc(f.Fields, func(g Field) bool { return g.Item == asked.Item })
	had := slices.IndexFunc(f.Fields, func(g Field) bool { return g.Item == item })
	near := env.Near(f.Given.V(asked.Item), asked.Item == Name)
	if at < 0 || had < 0 && len(near) == 0 {
		return f, false
	}
	f.Fields = slices.DeleteFunc(slices.Clone(f.Fields), func(g Field) bool { return g.Item == item })
	if len(near) > 0 {
		f.Fields = slices.Insert(f.Fields, at+1, Field{
			Item: item, Label: fmt.Sprintf("%q is", f.Given.V(asked.Item)), Manner: Choice, Options: append(slices.Clone(near), another),
			Hint: "Near a name that is known here. It is asked once, and the answer is stored.",
			Says: func(v string) string {
				if v == another {
					return v
				}
				return "the same person as " + v
			},
		})
	}
	f.at = at
	return f.advance(), true
}

// Telling is what was said of a near name.
func Telling(a Answers, item string) acts.Telling {
	switch v := a.V(item + " is"); v {
	case "":
		return acts.Telling{}
	case another:
		return acts.Telling{Other: true}
	default:
		return acts.Telling{Same: v}
	}
}
