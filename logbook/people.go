package logbook

import (
	"fmt"
	"slices"
	"strings"
)

// A Role is what a person is on a site.
type Role string

// The roles.
const (
	RoleOperator  Role = "operator"
	RoleForeman   Role = "foreman"
	RoleClient    Role = "client"
	RoleClerk     Role = "clerk"
	RoleOffice    Role = "office"
	RoleInstaller Role = "installer"
	RoleOther     Role = "other"
)

// Roles are those offered.
var Roles = options("role", string(RoleOperator), "operator", string(RoleForeman), "foreman", string(RoleClient), "client",
	string(RoleClerk), "clerk of works", string(RoleOffice), "office", string(RoleInstaller), "installer", string(RoleOther), "other")

// String is the word.
func (r Role) String() string { return Roles.Word(string(r)) }

// roleWords are words that people write beside a name, as a name is folded. They are
// not those of Roles, which may be put otherwise: who is one person in a log stays so.
// None is ever taken away.
var roleWords = strings.Fields(folding(looks).folded("operator foreman client clerk of works office installer " +
	"welder fuser jointer supervisor engineer inspector manager mr mrs ms dr ing sir"))

// PersonNamed says who somebody is. Said again of the same label it changes what
// is given and leaves the rest.
type PersonNamed struct {
	Name   string   `json:"name"`
	Number int      `json:"number,omitempty"` // among those who share the name; 0 is the first
	Role   Role     `json:"role,omitempty"`
	Firm   string   `json:"firm,omitempty"`
	Same   []string `json:"same,omitempty"`   // other writings that are this person too
	Others []string `json:"others,omitempty"` // near names that are somebody else
	Alone  YesNo    `json:"alone,omitempty"`  // the person states to work alone, or not any more
	Gone   string   `json:"gone,omitempty"`   // characters that could not be seen, taken out of what was typed
}

// Kind is "person named".
func (PersonNamed) Kind() Kind { return "person named" }

// Label is the name as it stands under what the person says: the second of a
// name has a number.
func (b PersonNamed) Label() string { return Numbered(b.Name, b.Number) }

// Numbered is a name with its number, from the second on.
func Numbered(name string, number int) string {
	if number < 2 {
		return name
	}
	return fmt.Sprintf("%s (%d)", name, number)
}

// Line says who it is.
func (b PersonNamed) Line() string {
	line := Joined(", ", "person: "+b.Label(), b.Role.String(), b.Firm)
	for _, s := range b.Same {
		line += fmt.Sprintf("; the same as %q", s)
	}
	for _, o := range b.Others {
		line += fmt.Sprintf("; not %q", o)
	}
	switch b.Alone {
	case Yes:
		line += "; works alone"
	case No:
		line += "; does not work alone any more"
	}
	if b.Gone != "" {
		line += "; taken out of what was typed: " + b.Gone
	}
	return line
}

// A Person is somebody of a site.
type Person struct {
	Name   string
	Number int `json:",omitempty"`
	Role   Role
	Firm   string
	Also   []string   // other writings of the name
	Others []Telling  // near names that are somebody else
	Alone  *Signature // by which the person works alone
	Named  Signature  // the first time
}

// A Telling is a name that was told apart, and by whom.
type Telling struct {
	Name string
	Signature
}

func (p Person) otherNames() (names []string) {
	for _, t := range p.Others {
		names = append(names, t.Name)
	}
	return names
}

// Label is how the person signs.
func (p Person) Label() string { return Numbered(p.Name, p.Number) }

// Is tells whether a label is the person's, or another writing that was said to be.
func (p Person) Is(label string) bool {
	return PlainName(p.Label()) == PlainName(label) || hasName(p.Also, label)
}

func hasName(list []string, name string) bool {
	plain := PlainName(name)
	return slices.ContainsFunc(list, func(s string) bool { return PlainName(s) == plain })
}

// with is a list of names with more of them, each once.
func with(list, more []string) []string {
	list = slices.Clone(list)
	for _, m := range more {
		if !hasName(list, m) {
			list = append(list, m)
		}
	}
	return list
}

func without(list, some []string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(s string) bool { return hasName(some, s) })
}

// Person finds somebody by label.
func (s Site) Person(label string) (Person, bool) {
	for _, whole := range []bool{true, false} {
		for _, p := range s.People {
			if PlainName(p.Label()) == PlainName(label) || !whole && p.Is(label) {
				return p, true
			}
		}
	}
	return Person{}, false
}

// named folds what is said of a person.
func (s Site) named(e *Entry, b PersonNamed) Site {
	s.People = slices.Clone(s.People)
	at := slices.IndexFunc(s.People, func(p Person) bool { return PlainName(p.Label()) == PlainName(b.Label()) })
	if at < 0 {
		at = len(s.People)
		s.People = append(s.People, Person{Name: b.Name, Number: b.Number, Named: signature(e)})
	}
	p := &s.People[at]
	if b.Role != "" {
		p.Role = b.Role
	}
	if b.Firm != "" {
		p.Firm = b.Firm
	}
	p.Also = with(without(p.Also, b.Others), b.Same)
	p.Others = slices.DeleteFunc(slices.Clone(p.Others), func(t Telling) bool { return hasName(b.Same, t.Name) || hasName(b.Others, t.Name) })
	for _, o := range b.Others {
		p.Others = append(p.Others, Telling{o, signature(e)})
	}
	for i := range s.People { // what was said last counts, whichever of two it was said of
		if q := &s.People[i]; i != at && hasName(b.Same, q.Label()) {
			q.Others = slices.DeleteFunc(slices.Clone(q.Others), func(t Telling) bool { return p.Is(t.Name) })
		} else if i != at && hasName(b.Others, q.Label()) {
			q.Also = slices.DeleteFunc(slices.Clone(q.Also), p.Is)
		}
	}
	switch b.Alone {
	case Yes:
		by := signature(e)
		p.Alone = &by
	case No:
		p.Alone = nil
	}
	return s
}

// told is what was said of two names: that they are one person's, or two's.
func (s Site) told(a, b string) (same, known bool) {
	for _, p := range s.People {
		isA, isB := p.Is(a), p.Is(b)
		switch {
		case isA && isB:
			return true, true
		case isA && s.among(p.otherNames(), b), isB && s.among(p.otherNames(), a):
			return false, true
		}
	}
	return false, false
}

// among tells whether a name, or another writing of the same person, is in a list.
func (s Site) among(list []string, name string) bool {
	p, listed := s.Person(name)
	return hasName(list, name) || listed && slices.ContainsFunc(list, p.Is)
}

// ToldSame tells whether two names were said to be one person's.
func (s Site) ToldSame(a, b string) bool {
	same, known := s.told(a, b)
	return same && known
}

// SamePerson tells whether two names of a site are one person's. Near names that
// nobody told apart are: whoever would pass his own work has it to say.
func (s Site) SamePerson(a, b string) bool {
	if PlainName(a) == PlainName(b) {
		return true
	}
	if same, known := s.told(a, b); known {
		return same
	}
	return Near(a, b)
}

// SameName tells whether two names are one: as they are written, with a role behind one of
// them, or as it was told of them.
func (s Site) SameName(a, b string) bool {
	if same, known := s.told(a, b); known {
		return same
	}
	return roleless(a) == roleless(b)
}

// A People is everybody of a site, with the marks that the shifts give them.
type People struct {
	site  Site
	marks map[string]string // folded: whose
}

// PeopleOf are the people of a site as they stand in a log.
func PeopleOf(r Reader, site string) People {
	s, _ := r.Site(site)
	p := People{s, map[string]string{}}
	for _, id := range s.Shifts { // a mark that two have had is that of the later
		sh, _ := r.Shift(site, id)
		for _, o := range sh.Operators {
			if o.Mark != "" {
				p.marks[PlainName(o.Mark)] = o.Name
			}
		}
	}
	return p
}

// Same tells whether two names, or marks, are one person's.
func (p People) Same(a, b string) bool { return p.site.SamePerson(p.whole(a), p.whole(b)) }

// whole is whose mark it is, or the name itself.
func (p People) whole(name string) string {
	if whose, ok := p.marks[PlainName(name)]; ok {
		return whose
	}
	return name
}

// KnownNames are the names that stand in the log of a site: those of the list
// first, then whoever else said or did something, as it stands.
func KnownNames(r Reader, site string) (names []string) {
	s, _ := r.Site(site)
	for _, p := range s.People {
		names = with(names, []string{p.Label()})
	}
	had := map[string]bool{"": true}
	add := func(name string) {
		if name = strings.TrimSpace(name); had[name] {
			return
		}
		had[name] = true
		if _, listed := s.Person(name); !listed && !slices.ContainsFunc(names, func(k string) bool { return s.SameName(k, name) }) {
			names = append(names, name)
		}
	}
	for _, id := range s.Shifts {
		sh, _ := r.Shift(site, id)
		for _, o := range sh.Operators {
			add(o.Name)
		}
	}
	for _, w := range r.Welds(site) {
		add(w.Operator)
		for _, e := range w.Trail {
			add(e.By)
		}
	}
	s.signers(add)
	for _, j := range r.Joints(site) {
		for _, v := range j.Reviews {
			add(v.By)
		}
	}
	return names
}

// signers are who said something of the site as a whole.
func (s Site) signers(add func(string)) {
	for _, v := range s.Reviews {
		add(v.By)
	}
	for _, v := range s.Covers {
		add(v.By)
	}
	for _, v := range s.Ground {
		add(v.By)
	}
	for _, v := range s.Signed {
		add(v.By)
	}
	for _, v := range s.Events {
		add(v.By)
	}
	for _, v := range s.Enclosed {
		add(v.By)
	}
	for v := range s.Codes.All() {
		add(v.By)
	}
	for _, t := range s.Tables {
		add(t.ReadBack)
	}
}

// roleless is a name as it is compared, without a role behind a comma or in
// brackets: who signs with his role signs with his name.
func roleless(name string) string {
	name = PlainName(name)
	at := strings.IndexAny(name, ",(")
	if at < 1 {
		return name
	}
	words := strings.Fields(folding(looks).folded(strings.Trim(name[at:], ",() ")))
	if len(words) == 0 || slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(roleWords, w) }) {
		return name
	}
	return strings.TrimSpace(name[:at])
}

// NearNames are the known names that a new one is near, nobody having said
// whether they are one person's. A name that is known is near none.
func NearNames(r Reader, site, name string) (near []string) {
	s, _ := r.Site(site)
	known := KnownNames(r, site)
	if _, listed := s.Person(name); listed || slices.ContainsFunc(known, func(k string) bool { return roleless(k) == roleless(name) }) {
		return nil
	}
	for _, k := range known {
		if _, told := s.told(k, name); !told && Near(k, name) {
			near = append(near, k)
		}
	}
	return near
}
