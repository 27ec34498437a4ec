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

// A cover over what was not settled, which its welder takes back, is seen by another.
func TestACoverTakenBackIsSeen(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	coveredAndBack("slip of the key")(c)
	c.says(audit.CoverTakenBack, "chamber A was covered on 2026-03-09, as Ada Invented said, while not settled: 1B; Ada Invented took that back (slip of the key)")
	f := only(t, c.run(), audit.CoverTakenBack)
	if _, err := acts.Accept(c.H, none, f.Judged(), "it is open")(c.Book); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), "Ada Invented took the cover back: somebody else must look") {
		t.Errorf("its welder accepts it: %v", err)
	}
	c.Do(acts.Accept(c.foreman(), none, f.Judged(), "the trench is open"))
	if !only(t, c.run(), audit.CoverTakenBack).Settled {
		t.Error("open though another looked")
	}
}

// A cover of what was settled is taken back without a word.
func TestACoverOfSoundJointsTakenBack(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	c.made("1B", well())
	c.cover()
	k, _ := c.Site().CoverOf("chamber A")
	c.Do(acts.UncoverSection(c.H, k, "slip of the key"))
	c.says(audit.CoverTakenBack, "")
}

// A leg that is not built while the other stands is asked about; a circuit of which
// nothing is built is not.
func TestALegNotBuilt(t *testing.T) {
	c := onSite(t)
	c.Do(acts.StrikeJoint(c.H, "1B", "not needed"))
	c.says(audit.LegStruck, "")
	c.made("1A", well())
	c.says(audit.LegStruck, "joint 1B is not being built (not needed), and KM-0001 stands in the other leg of circuit 1, 1A")
	c.Do(acts.TakeUpJoint(c.H, "1B", "it is"))
	c.says(audit.LegStruck, "")
	c.made("1B", well())
	c.Do(acts.Cut(c.H, "KM-0001", "crooked"), acts.StrikeJoint(c.H, "1A", "not needed"))
	c.says(audit.LegStruck, "KM-0002 stands in the other leg of circuit 1, 1B")
}

// Where somebody works alone nobody speaks of a foreman.
func TestNoForemanWhereSomebodyWorksAlone(t *testing.T) {
	c := onSite(t)
	c.made("1A", short())
	do := func() string { return only(t, c.run(), "run-unlike-set").Do }
	if !strings.Contains(do(), "the foreman decides") {
		t.Error(do())
	}
	c.Do(acts.WorksAlone(c.by(crew.Ada), true))
	if strings.Contains(do(), "foreman") || !strings.Contains(do(), "a named person decides: accept by name") {
		t.Error(do())
	}
}

// coveredAndDug is 1B, covered before it was welded, and dug up again as its welder says.
func coveredAndDug(text string) func(*team) {
	return func(c *team) {
		c.cover("1B")
		c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Chamber: "A", Text: text}))
		c.made("1B", well())
	}
}

// That a cover over what was not settled was dug up, as who covered it says, is seen by
// another; as another says, it is dug up.
func TestWhoCoveredDoesNotDigUpByWordAlone(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	coveredAndDug("looked for the pipe")(c)
	c.says("covered-before-accepted", "")
	c.says(audit.DugUpUnseen, "chamber A was covered on 2026-03-09, as Ada Invented said, while not settled: 1B; it was dug up on 2026-03-09, as Ada Invented says (looked for the pipe); nobody else looked")
	f := only(t, c.run(), audit.DugUpUnseen)
	if _, err := acts.Accept(c.H, none, f.Judged(), "it is open")(c.Book); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), "somebody else must look") {
		t.Errorf("he accepts it: %v", err)
	}
	c.Do(acts.Happen(c.foreman(), "", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Chamber: "A", Text: "I saw it open"}))
	c.says(audit.DugUpUnseen, "")

	c = onSite(t)
	c.cover()
	c.Do(acts.Happen(c.H, "", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Chamber: "A", Text: "to look"}))
	c.says(audit.DugUpUnseen, "")
}
