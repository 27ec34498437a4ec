package tui

import (
	"strings"
	"testing"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
)

// peopleIn is the site of a log as it is stored.
func peopleIn(log *memLog) logbook.Site {
	s, _ := log.Memory.Book.Site(log.Memory.Book.Sites()[0].ID)
	return s
}

// Who says it is chosen from the people of the site by a digit; a new name is
// typed once and then stands among them.
func TestANameIsChosenFromThePeople(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0006")
	d.keys("enter", "1")
	d.sees("1 Ona Brill, operator", "2 Tam Velding, operator", "3 Hedda Roan, foreman")
	d.text("3")
	d.sees("your name", "Hedda Roan, foreman")
	d.text("held by hand, seen")
	if r := weldOf(t, log, "KM-0006").Reviews; len(r) != 1 || r[0].By != "Hedda Roan, foreman" {
		t.Fatalf("%+v", r)
	}
	d.keys("esc")
	d.choose("KM-0009")
	d.keys("enter", "1")
	d.text("Kim Invented")
	d.text("asked both")
	if r := weldOf(t, log, "KM-0009").Reviews; len(r) != 2 || r[1].By != "Kim Invented" || len(peopleIn(log).People) != 0 {
		t.Fatalf("%+v, %+v", r, peopleIn(log).People)
	}
	d.keys("esc")
	d.choose("KM-0005")
	d.keys("enter", "4")
	d.sees("4 Kim Invented")
}

// A name near a known one is asked about with one key, once.
func TestANearNameIsAskedOnce(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0006")
	d.keys("enter", "1")
	d.text("T. Velding")
	d.sees(`"T. Velding" is`, "1  the same person as Tam Velding", "2  somebody else", "asked once")
	d.keys("1")
	d.text("held by hand, seen")
	s := peopleIn(log)
	if len(s.People) != 1 || !s.ToldSame("T. Velding", "Tam Velding") {
		t.Fatalf("%+v", s.People)
	}
	w := weldOf(t, log, "KM-0006")
	if len(w.Reviews) != 1 || w.Reviews[0].By != "T. Velding" {
		t.Fatalf("%+v", w.Reviews)
	}
	d.reads("was made by Tam Velding, and T. Velding accepted on it: an item of preparation that could not be done")
	d.keys("esc")
	d.choose("KM-0009")
	d.keys("enter", "1")
	d.text("T. Velding")
	d.lacks("somebody else")
	d.sees("reason")
	d.keys("esc")
	d.keys("1") // back, another writing, and another answer
	d.text("Velding, Tam")
	d.sees("1  the same person as Tam Velding")
	d.keys("left")
	d.text("Kim Invented")
	d.lacks("the same person")
	d.keys("left")
	d.text("Velding Tam")
	d.keys("2")
	d.text("asked both")
	if s = peopleIn(log); s.SamePerson("Velding Tam", "Tam Velding") || len(s.People) != 2 {
		t.Fatalf("%+v", s.People)
	}
}

// What nobody sees is taken out of a name, and that is said; letters of any
// script are taken.
func TestANameWithoutWhatNobodySees(t *testing.T) {
	d, log := foreman(t, 80, 24)
	d.choose("KM-0006")
	d.keys("enter", "4")
	for _, r := range "He\u200bdda Roa\u2060n" {
		d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
	}
	d.keys("enter")
	d.sees("taken out of the name, since nobody sees it: U+200B, U+2060", "Hedda Roan")
	d.keys("enter", "1")
	d.text("photo taken")
	d.keys("4")
	d.text("王")
	d.text("photo taken again")
	var by []string
	for _, n := range weldOf(t, log, "KM-0006").Notes {
		by = append(by, n.By)
	}
	if got := strings.Join(by, "|"); !strings.HasSuffix(got, "Hedda Roan|王") {
		t.Error(got)
	}
}

// The list of people: role and firm, father and son, who works alone, and back.
func TestThePeopleOfASite(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {60, 20}} {
		d := drive(t, exampleAt(t, monday), monday, size[0], size[1])
		d.toPeople()
		d.sees("People of Larkrise cottage", "Ona Brill", "operator", "Tam Velding")
	}
	log := exampleAt(t, monday)
	d := drive(t, log, monday, 80, 24)
	d.toPeople()
	d.keys("1")
	d.text("Ola Nord")
	d.keys("2")
	d.text("invented firm")
	d.text("Hedda Roan, foreman")
	d.sees("Ola Nord", "foreman, invented firm")
	d.keys("1")
	d.text("Ola Nord")
	d.sees(`"Ola Nord" is`, "1  the same person as Ola Nord", "2  somebody else")
	d.keys("2", "1")
	d.text("")
	d.text("Hedda Roan, foreman")
	d.sees("Ola Nord (2)", "operator")
	s := peopleIn(log)
	if len(s.People) != 2 || s.SamePerson("Ola Nord", "Ola Nord (2)") || s.People[0].Role != logbook.RoleForeman || s.People[1].Label() != "Ola Nord (2)" {
		t.Fatalf("%+v", s.People)
	}
	d.keys("2", "1")
	d.text("Tam Velding")
	d.sees("Tam Velding", "operator; works alone")
	if s = peopleIn(log); s.People[2].Alone == nil {
		t.Fatalf("%+v", s.People)
	}
	d.keys("2", "2")
	d.text("Tam Velding")
	d.lacks("operator; works alone")
	if s = peopleIn(log); s.People[2].Alone != nil {
		t.Fatalf("%+v", s.People)
	}
	d.keys("2", "1")
	d.text("O. Brill")
	d.keys("1") // the same person: no second one comes on the list
	if s = peopleIn(log); len(s.People) != 4 || s.People[3].Label() != "Ona Brill" || s.People[3].Alone == nil || !s.ToldSame("O. Brill", "Ona Brill") {
		t.Fatalf("%+v", s.People)
	}
	d.keys("3") // the first person: Ola Nord
	d.sees("and")
	d.keys("1", "1")
	d.text("Hedda Roan, foreman")
	if s = peopleIn(log); !s.SamePerson("Ola Nord", "Ola Nord (2)") {
		t.Fatalf("%+v", s.People)
	}
	d.keys("enter")
	d.sees("Ola Nord", "role")
}

// toPeople opens the list from the board.
func (d *driver) toPeople() {
	d.t.Helper()
	d.keys("8")
	d.sees("3  people: who is who, and who works alone")
	d.keys("3")
}
