package register

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/seal"
)

// Whoever is named anywhere is on the list once, under whatever writing, with all that the
// log says of who that is; and of whom it says nothing nothing is made up.
func TestEverybody(t *testing.T) {
	c := onSite(t)
	first := c.made("1A", "W-1")
	by := func(name string) acts.Head { h := c.H; h.By = name; return h }
	c.Do(acts.NamePerson(c.H, "Hedda Invented", logbook.PersonNamed{Role: logbook.RoleForeman, Firm: "Invented Loops"}, acts.Telling{}))
	c.Do(acts.NoteOn(by("Hedda Invented, foreman"), first, "seen"), acts.NoteOn(by("Bo Made-Up"), first, "seen too"))
	c.Do(acts.Enclose(by("Wilf Made-Up"), "", "", logbook.Enclosed{File: "a.pdf", Hash: "00", What: "a certificate"}))
	c.Do(acts.Happen(by("Nell Made-Up"), "1A", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "fell"}))
	c.Do(acts.OrderCut(by("Bo Made-Up"), first, "too deep"), acts.WithdrawCut(by("Foreman Made-Up"), first, "not so"))
	var got []string
	for _, p := range c.report(Query{}).Everybody() {
		got = append(got, p.Who())
		switch p.Name {
		case crew.Ada:
			if len(p.Cards) != 1 || p.Cards[0].Number != "Q-7" || !slices.Contains(p.Did, "welded 1") {
				t.Errorf("the welder is %+v", p)
			}
		case "Foreman Made-Up":
			if !p.Unlisted || !slices.Equal(p.Did, []string{"withdrew a cut-out 1"}) {
				t.Errorf("who decided is %+v", p)
			}
		}
	}
	slices.Sort(got)
	want := []string{crew.Ada, "Bo Made-Up", "Foreman Made-Up", "Hedda Invented (foreman, Invented Loops)", "Nell Made-Up", "Wilf Made-Up"}
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A seal names the keys that signed it by name and fingerprint; what has not its form none.
func TestTheKeysOfASeal(t *testing.T) {
	k, err := seal.NewKey(rand.NewChaCha8([32]byte{7}), "KM-laptop")
	if err != nil {
		t.Fatal(err)
	}
	note, err := seal.Sign(seal.Statement{
		Log: "0123456789abcdef0123456789abcdef", Tag: "KM", Entries: 3, Root: tlog.RecordHash([]byte("invented")), At: time.Date(2026, 3, 9, 18, 0, 0, 0, time.UTC), By: "Ada Invented",
	}, k)
	if err != nil {
		t.Fatal(err)
	}
	v, err := seal.ReadPublic(k.Public())
	if err != nil {
		t.Fatal(err)
	}
	if got := (Log{Seal: &logbook.Sealed{Note: string(note)}}).SignedBy(); !slices.Equal(got, []string{seal.KeyID(v)}) {
		t.Errorf("signed by %q, want %q", got, seal.KeyID(v))
	}
	for _, l := range []Log{{}, {Seal: &logbook.Sealed{Note: "coolhold seal 1\n"}}} {
		if got := l.SignedBy(); got != nil {
			t.Errorf("signed by %q", got)
		}
	}
}
