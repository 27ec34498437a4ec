package audit_test

import (
	"errors"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// Of a weld whose welder nobody names a query asks, and nothing on it is settled by one
// who may be the one: on that shift, who typed it, or on no list. So it is in a log that
// was kept before a sign was refused.
func TestAWeldOfNobodyWaitsForAnother(t *testing.T) {
	for _, sign := range []string{"?", "-", "C", "not known"} {
		c := onSite(t)
		c.fromPaper("Odile Typist", func(l *acts.LateWeld) { l.Operator = "not known" })
		c.Do(crew.Raw(c.H, "", "KM-0001", logbook.Correction{Field: logbook.FieldOperator, Old: "not known", New: sign, Why: "as kept before"}))
		if sign == "not known" {
			c = onSite(t)
			c.fromPaper("Odile Typist", func(l *acts.LateWeld) { l.Operator = sign })
		}
		c.Do(acts.NamePerson(c.H, "Mona Foreman", logbook.PersonNamed{}, acts.Telling{}))
		for _, rule := range []string{audit.WelderUnnamed, audit.Transcribed} {
			f := only(t, c.run(), rule)
			for _, name := range []string{crew.Ada, "Odile Typist", "Nobody Listed"} {
				if _, err := acts.Accept(c.by(name), none, f.Judged(), "looked at it")(c.Book); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), "must accept this") {
					t.Errorf("%q: %s: %s accepts: %v", sign, rule, name, err)
				}
				c.Do(crew.Raw(c.by(name), "", "KM-0001", logbook.Reviewed{Judged: f.Judged(), Accepted: true, Why: "past the act"}))
			}
			if only(t, c.run(), rule).Settled {
				t.Errorf("%q: %s is settled", sign, rule)
			}
			c.Do(acts.Accept(c.by("Mona Foreman"), none, f.Judged(), "looked at it"))
		}
	}
}

// Who names the welder where none was named is no second person either.
func TestWhoNamesTheWelderWaitsForAnother(t *testing.T) {
	c := onSite(t)
	c.fromPaper("Odile Typist", func(l *acts.LateWeld) { l.Operator = "not known" })
	c.Do(acts.Correct(c.by("Tam Okoro"), "KM-0001", logbook.FieldOperator, "Bo Invented", "asked both"))
	f := only(t, c.run(), audit.Transcribed)
	if _, err := acts.Accept(c.by("Tam Okoro"), none, f.Judged(), "asked both")(c.Book); !errors.Is(err, logbook.ErrRule) {
		t.Errorf("he accepts it: %v", err)
	}
	c.Do(acts.Accept(c.foreman(), none, f.Judged(), "looked at it"))
}

// Who works alone finishes it, and it is told that nobody else looked.
func TestAloneAWeldOfNobodyIsOwn(t *testing.T) {
	c := onSite(t)
	c.fromPaper(crew.Ada, func(l *acts.LateWeld) { l.Operator = "not known" })
	c.Do(acts.WorksAlone(c.H, true))
	for _, f := range audit.Acceptable(c.run().OfWeld("KM-0001")) {
		c.Do(acts.Accept(c.H, none, f.Judged(), "it was mine"))
	}
	if v := c.run().Verdict("KM-0001"); v != audit.OwnOnly {
		t.Errorf("%s", v)
	}
}
