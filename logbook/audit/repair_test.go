package audit_test

import (
	"errors"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// repaired is a circuit whose loss of pressure one person says is repaired.
func repaired(t *testing.T, by string) *team {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.closed()
	c.Do(acts.Happen(c.foreman(), "", crew.Lost("09", 1)), acts.Happen(c.by(by), "", crew.Repaired("09", 1)))
	return c
}

// A loss of pressure is not closed by the word of one person, be he the welder or
// not: somebody looks who neither said so nor welded there.
func TestRepairWaitsForAnother(t *testing.T) {
	for by, no := range map[string][2]string{
		crew.Ada:     {crew.Ada, "Ada Invented said that it is repaired: somebody else must look"},
		"Tam Okoro":  {crew.Ada, "Ada Invented welded there: somebody else must look"},
		"Tam Okoro ": {"T. Okoro", "Tam Okoro said that it is repaired: somebody else must look"},
	} {
		by = strings.TrimSpace(by)
		c := repaired(t, by)
		c.says("pressure-lost", "")
		c.says(audit.RepairUnseen, "repaired on 2026-03-09, circuit 1, chamber A, as "+by+" says (new sleeve); it closed pressure lost on 2026-03-09, circuit 1, chamber A; nobody else looked")
		f := only(t, c.run(), audit.RepairUnseen)
		if _, err := acts.Accept(c.by(no[0]), none, f.Judged(), "holds now")(c.Book); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), no[1]) {
			t.Errorf("%s accepts it: %v", no[0], err)
		}
		c.Do(crew.Raw(c.by(no[0]), "", "", logbook.Reviewed{Judged: f.Judged(), Accepted: true, Why: "past the act"}))
		if only(t, c.run(), audit.RepairUnseen).Settled {
			t.Errorf("settled by %s", no[0])
		}
		c.Do(acts.Accept(c.foreman(), none, f.Judged(), "0.6 bar for an hour"))
		if !only(t, c.run(), audit.RepairUnseen).Settled {
			t.Error("open though somebody else looked")
		}
	}
}

// What was repaired on one person's word is not covered on it.
func TestRepairKeepsTheGroundAway(t *testing.T) {
	c := repaired(t, crew.Ada)
	section := ahead.Sections(c.Book, c.H.Site)[0]
	of := func() audit.Covering { return audit.CoveringOf(c.Book, c.run(), section) }
	const says = "repaired on 2026-03-09, circuit 1, chamber A, as Ada Invented says, and nobody else looked"
	if k := of(); k.May || k.Lacks() != says {
		t.Errorf("may %v, lacks %q", k.May, k.Lacks())
	}
	c.Refused(acts.CoverSection(c.foreman(), none, of(), false), logbook.ErrRule, says)
	seen := of()
	c.Do(acts.Accept(c.foreman(), none, only(t, c.run(), audit.RepairUnseen).Judged(), "0.6 bar for an hour"))
	c.Refused(acts.CoverSection(c.foreman(), none, seen, true), logbook.ErrRule, "has changed meanwhile")
	if k := of(); !k.May {
		t.Errorf("lacks %q", k.Lacks())
	}
}

// Who works alone says so himself, and it is told as his own word.
func TestRepairByWhoWorksAlone(t *testing.T) {
	c := repaired(t, crew.Ada)
	c.Do(acts.WorksAlone(c.H, true), acts.Accept(c.H, none, only(t, c.run(), audit.RepairUnseen).Judged(), "0.6 bar for an hour"))
	f := only(t, c.run(), audit.RepairUnseen)
	if !f.Settled || f.Accepted.Line() != "accepted by Ada Invented alone, nobody else looked: 0.6 bar for an hour" {
		t.Errorf("settled %v, %+v", f.Settled, f.Accepted)
	}
}

// A repair that closed nothing waits for nobody.
func TestRepairOfNothing(t *testing.T) {
	c := onSite(t)
	c.Do(acts.Happen(c.H, "1B", crew.Repaired("09", 0)), acts.Happen(c.H, "1B", crew.Lost("09", 0)))
	c.says(audit.RepairUnseen, "")
}
