package acts

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
)

// SamePerson tells whether two names on a site are one person's, a mark counting
// as its operator's name. Near names that nobody told apart are the same.
func SamePerson(r logbook.Reader, site, a, b string) bool {
	return logbook.PeopleOf(r, site).Same(a, b)
}

// A Telling is what was said of a new name that is near a known one: that it is
// this person's, or somebody else's. The zero Telling says nothing.
type Telling struct {
	Same  string
	Other bool
	Idle  *bool // is set where that was said and not needed; nil: nobody asks
}

// idle says that what was told of a name was not needed.
func (t Telling) idle() {
	if t.Idle != nil && (t.Same != "" || t.Other) {
		*t.Idle = true
	}
}

// A NearError is a new name that is near known ones, nobody having said which.
type NearError struct {
	Name string
	Near []string
}

func (e NearError) Error() string {
	return fmt.Sprintf("%q is near %s, known on this site: say once whether that is the same person or another", e.Name, quoted(e.Near, " and "))
}

func quoted(names []string, sep string) string {
	var out []string
	for _, n := range names {
		out = append(out, fmt.Sprintf("%q", n))
	}
	return strings.Join(out, sep)
}

// Unwrap makes it a refusal.
func (e NearError) Unwrap() error { return logbook.ErrRule }

// As is an act of a person whose name may be new: where it is near a known one
// the head must say which, and that is stored with it.
func As(h Head, act Act) Act {
	if h.Tell == nil {
		return act
	}
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		who, err := telling(r, h.Site, h.By, *h.Tell)
		if err != nil {
			return nil, err
		}
		drafts, err := act(r)
		if err != nil || who == nil || len(drafts) == 0 {
			return drafts, err
		}
		return append([]logbook.Draft{h.draft(*who)}, drafts...), nil
	}
}

// telling is what is stored of a name that is near known ones; nil is nothing.
func telling(r logbook.Reader, site, name string, tell Telling) (*logbook.PersonNamed, error) {
	near := logbook.NearNames(r, site, name)
	switch {
	case len(near) == 0:
		tell.idle()
		return nil, nil
	case tell.Same != "":
		known, err := knownAs(r, site, tell.Same)
		if err != nil {
			return nil, err
		}
		b := personOf(r, site, known)
		b.Same = []string{name}
		return &b, nil
	case tell.Other:
		return &logbook.PersonNamed{Name: name, Others: near}, nil
	}
	return nil, NearError{name, near}
}

// knownAs is a name as it stands on the site.
func knownAs(r logbook.Reader, site, name string) (string, error) {
	s, _ := r.Site(site)
	if p, ok := s.Person(name); ok {
		return p.Label(), nil
	}
	known := logbook.KnownNames(r, site)
	if label, is := labelIn(s, known, name); is {
		return label, nil
	}
	return "", fmt.Errorf("no person %q on the site; known are %s: %w", name, quoted(known, ", "), logbook.ErrUnknown)
}

// personOf is the body that speaks of a person by label.
func personOf(r logbook.Reader, site, label string) logbook.PersonNamed {
	s, _ := r.Site(site)
	if p, ok := s.Person(label); ok {
		return logbook.PersonNamed{Name: p.Name, Number: p.Number}
	}
	return logbook.PersonNamed{Name: label}
}

// NamePerson puts a person on the list of the site, or says more of one who is
// on it. Who has the very name of another gets a number.
func NamePerson(h Head, name string, b logbook.PersonNamed, tell Telling) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		if err := named(h, "naming a person"); err != nil {
			return nil, err
		}
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		if name, b.Gone = logbook.TypedName(name); !logbook.IsName(name) {
			return nil, logbook.Refuse("%q is no name: write at least %d letters of it", name, logbook.NameLeast)
		}
		if b.Role != "" && !logbook.Roles.Has(string(b.Role)) {
			return nil, logbook.Refuse("%q is no role; write %s", string(b.Role), logbook.Roles.Either())
		}
		label, is := labelIn(s, logbook.KnownNames(r, h.Site), name)
		say := personOf(r, h.Site, label)
		switch {
		case is && tell.Other:
			say = logbook.PersonNamed{Name: say.Name, Number: nextNumber(s, say.Name), Others: alike(r, h.Site, say.Name)}
		case is:
			tell.idle()
		default:
			who, err := telling(r, h.Site, name, tell)
			if err != nil {
				return nil, err
			}
			if who != nil {
				say = *who
			}
		}
		say.Role, say.Firm, say.Gone = b.Role, b.Firm, b.Gone
		return []logbook.Draft{h.draft(say)}, nil
	}
}

// labelIn is a name as it is known: of those written as it is, else with a role behind it.
// One that is not known is itself.
func labelIn(s logbook.Site, known []string, name string) (label string, is bool) {
	for _, same := range []func(string) bool{
		func(k string) bool { return logbook.PlainName(k) == logbook.PlainName(name) },
		func(k string) bool { return s.SameName(k, name) },
	} {
		if at := slices.IndexFunc(known, same); at >= 0 {
			return known[at], true
		}
	}
	return name, false
}

// nextNumber is that of the next person of a name.
func nextNumber(s logbook.Site, name string) int {
	n := 1
	for _, p := range s.People {
		if logbook.PlainName(p.Name) == logbook.PlainName(name) {
			n = max(n, p.Number)
		}
	}
	return n + 1
}

// alike are the known names that a name is near, its own among them.
func alike(r logbook.Reader, site, name string) []string {
	return slices.DeleteFunc(logbook.KnownNames(r, site), func(k string) bool { return !logbook.Near(k, name) })
}

// TellPeople says of two known names that they are one person's, or two's.
func TellPeople(h Head, a, b string, same bool) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		if err := named(h, "telling people apart"); err != nil {
			return nil, err
		}
		var both [2]string
		for i, name := range []string{a, b} {
			known, err := knownAs(r, h.Site, name)
			if err != nil {
				return nil, err
			}
			both[i] = known
		}
		if both[0] == both[1] {
			return nil, logbook.Refuse("%q and %q are one name on this site", a, b)
		}
		say := personOf(r, h.Site, both[0])
		if say.Others = both[1:]; same {
			say.Same, say.Others = both[1:], nil
		}
		return []logbook.Draft{h.draft(say)}, nil
	}
}

// WorksAlone records that the head's person states to work alone on the site, or
// does not any more. Nobody states it of another.
func WorksAlone(h Head, alone bool) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		if err := named(h, "such a statement"); err != nil {
			return nil, err
		}
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		for _, p := range s.People {
			if p.Alone == nil || !SamePerson(r, h.Site, p.Label(), h.By) {
				continue
			}
			if alone {
				return nil, logbook.Refuse("%s works alone on this site already, as stated", p.Label())
			}
			return []logbook.Draft{h.draft(logbook.PersonNamed{Name: p.Name, Number: p.Number, Alone: logbook.No})}, nil
		}
		if !alone {
			return nil, logbook.Refuse("%s did not state to work alone on this site", h.By)
		}
		who := strings.TrimSpace(h.By)
		if h.Tell != nil && h.Tell.Same != "" { // said with this act, and not yet on the list
			known, err := knownAs(r, h.Site, h.Tell.Same)
			if err != nil {
				return nil, err
			}
			who = known
		}
		say := personOf(r, h.Site, who)
		say.Alone = logbook.Yes
		return []logbook.Draft{h.draft(say)}, nil
	}
}
