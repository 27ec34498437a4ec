package logbook_test

import (
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// people is a crew with these persons named.
func people(t *testing.T, bodies ...logbook.PersonNamed) *crew.Crew {
	t.Helper()
	c := crew.OnSite(t)
	for _, b := range bodies {
		c.Do(func(logbook.Reader) ([]logbook.Draft, error) { return acts.Drafted(c.H, "", "", b), nil })
	}
	return c
}

func TestNearNamesAreOnePersonUntilToldApart(t *testing.T) {
	same := func(c *crew.Crew, a, b string) bool { return acts.SamePerson(c.Book, c.H.Site, a, b) }
	c := people(t)
	if !same(c, "A. Invented", crew.Ada) || !same(c, "AI", crew.Ada) || same(c, "Hedda Invented", crew.Ada) {
		t.Error("nobody was told apart: near names and the mark are one person's, others are not")
	}
	c = people(t, logbook.PersonNamed{Name: "A. Invented", Others: []string{crew.Ada}})
	if same(c, "A. Invented", crew.Ada) || same(c, "a. invented", "ADA INVENTED") || !same(c, "Invented, A", crew.Ada) {
		t.Error("A. Invented is somebody else, and any other near name is still Ada")
	}
	c = people(t, logbook.PersonNamed{Name: "Ola Nord"}, logbook.PersonNamed{Name: "Ola Nord", Number: 2, Others: []string{"Ola Nord"}})
	if same(c, "Ola Nord", "Ola Nord (2)") || !same(c, "Ola Nord (2)", "ola nord (2)") || !same(c, "O. Nord", "Ola Nord (2)") {
		t.Error("father and son are told apart by number")
	}
	c = people(t, logbook.PersonNamed{Name: "Ona Brill", Same: []string{"The Boss"}})
	if !same(c, "the boss", "Ona Brill") || same(c, "the boss", crew.Ada) {
		t.Error("two unlike names were said to be one person's")
	}
	c = people(t, logbook.PersonNamed{Name: "Ona Brill", Others: []string{"O. Brill"}}, logbook.PersonNamed{Name: "Ona Brill", Same: []string{"O. Brill"}})
	if !same(c, "O. Brill", "Ona Brill") {
		t.Error("what was said last holds")
	}
	c.WantRebuilt()
}

// A role is written beside a name in the words of today, and is no part of it: who
// signs with his role is asked nothing.
func TestARoleIsNoPartOfAName(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.NamePerson(c.H, "Hedda Roan", logbook.PersonNamed{}, acts.Telling{Other: true}))
	for _, code := range logbook.Roles.Codes() {
		name := "Hedda Roan, " + logbook.Roles.Word(code)
		asked := len(logbook.NearNames(c.Book, c.H.Site, name)) > 0
		if other := code == string(logbook.RoleOther); asked != other {
			t.Errorf("%s: asked whose name it is: %v", name, asked)
		}
	}
}
