package shell

import (
	"slices"

	"coolhold/logbook"
)

// peopleOf are the people of a site: those on its list, then the other names that
// stand in its log.
func peopleOf(r logbook.Reader, s logbook.Site) []logbook.Person {
	list := slices.Clone(s.People)
	for _, name := range logbook.KnownNames(r, s.ID)[len(list):] {
		list = append(list, logbook.Person{Name: name})
	}
	for i := range list {
		if list[i].Role == "" && operates(r, s, list[i].Label()) {
			list[i].Role = logbook.RoleOperator
		}
	}
	return list
}

func operates(r logbook.Reader, s logbook.Site, name string) bool {
	return slices.ContainsFunc(s.Shifts, func(id string) bool {
		sh, _ := r.Shift(s.ID, id)
		_, here := sh.Operator(name)
		return here
	})
}

// People are the people of the site.
func (e Env) People() []logbook.Person {
	if e.Sight == nil {
		return nil
	}
	return e.Sight.people()
}

// Near are the people of the site that a new name is near, nobody having said
// whose it is; of a person to be named also who has the very name.
func (e Env) Near(name string, very bool) []string {
	if e.Sight == nil {
		return nil
	}
	near := logbook.NearNames(e.Sight, e.Site.ID, name)
	for _, p := range e.People() {
		if very && logbook.PlainName(p.Label()) == logbook.PlainName(name) {
			near = append(near, p.Label())
		}
	}
	return near
}
