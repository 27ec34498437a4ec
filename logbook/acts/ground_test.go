package acts_test

import (
	"slices"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// A look is refused only for what no person can have meant, in one line, and nothing is
// stored.
func TestWhatIsNoLook(t *testing.T) {
	c := crew.OnSite(t)
	said := func(change func(*logbook.GroundChecked)) logbook.GroundChecked {
		b := logbook.GroundChecked{Section: "chamber A", Stage: logbook.GroundCovered, Seen: []logbook.GroundSeen{{Line: logbook.GroundCover, State: logbook.Yes, M: new(1.05)}}}
		change(&b)
		return b
	}
	for want, change := range map[string]func(*logbook.GroundChecked){
		`no section of the site`:                                         func(b *logbook.GroundChecked) { b.Section = "chamber Z" },
		`before what it was looked at must be said: before welding`:      func(b *logbook.GroundChecked) { b.Stage = "" },
		`nothing is said of chamber A`:                                   func(b *logbook.GroundChecked) { b.Seen = nil; b.Routes = "  " },
		`cover level is answered twice`:                                  func(b *logbook.GroundChecked) { b.Seen = append(b.Seen, b.Seen[0]) },
		`cover level must be said: yes, no, could not look or not known`: func(b *logbook.GroundChecked) { b.Seen[0].State = logbook.NotFitted },
		`bed has no figure`:                                              func(b *logbook.GroundChecked) { b.Seen[0].Line = logbook.GroundBed },
		`cover level: a figure is given and it was not seen`:             func(b *logbook.GroundChecked) { b.Seen[0].State = logbook.Unseen },
		`cover over the pipe 105 is no figure of 0…20 m`:                 func(b *logbook.GroundChecked) { b.Seen[0].M = new(105.0) },
		`"photo" is not answered by yes or no`:                           func(b *logbook.GroundChecked) { b.Seen[0].Line = logbook.GroundPhoto },
		`lid height is of a chamber, and run A/1 is none`:                func(b *logbook.GroundChecked) { b.Section, b.Seen[0].Line = "run A/1", logbook.GroundLid },
		`an offset of 4 m is from no fixed point`:                        func(b *logbook.GroundChecked) { b.Offsets = []logbook.Offset{{From: " ", M: 4}} },
		`offset 4350 is no figure of 0…2000 m`:                           func(b *logbook.GroundChecked) { b.Offsets = []logbook.Offset{{From: "house", M: 4350}} },
		`2026-03-10 08:00 is still to come`: func(b *logbook.GroundChecked) {
			b.Stated = new(time.Date(2026, 3, 10, 8, 0, 0, 0, crew.Morning.Local().Location()))
		},
	} {
		before := len(c.Entries)
		kind := logbook.ErrRule
		if want == `no section of the site` {
			kind = logbook.ErrUnknown
		}
		c.Refused(acts.CheckGround(c.H, said(change)), kind, want)
		if len(c.Entries) != before {
			t.Errorf("%s: something was stored", want)
		}
	}
	nobody := c.H
	nobody.By = ""
	c.Refused(acts.CheckGround(nobody, said(func(*logbook.GroundChecked) {})), logbook.ErrRule, "a look at the ground needs a name")
	c.Refused(acts.WithdrawGround(c.H, "chamber A", 1, " "), logbook.ErrRule, "needs a reason")
	c.Do(acts.CheckGround(c.H, said(func(b *logbook.GroundChecked) {
		b.Routes, b.Offsets = "  1 to the hedge ", []logbook.Offset{{From: " house corner ", M: 0}}
	})))
	other := c.H
	other.By = "Mona Invented"
	c.Do(acts.CheckGround(other, said(func(*logbook.GroundChecked) {})))
	if names := logbook.KnownNames(c.Book, c.H.Site); !slices.Contains(names, "Mona Invented") {
		t.Errorf("who looked is not among %q", names)
	}
	if b := c.Site().Ground[0].GroundChecked; b.Routes != "1 to the hedge" || b.Offsets[0].From != "house corner" {
		t.Errorf("stored as %+v", b)
	}
}

// What a plan's file wants stands in the log by codes, with its figures.
func TestAPlanSaysWhatIsLookedAt(t *testing.T) {
	c := crew.Empty(t)
	c.Opens(crew.Wanting(`before_welding = ["lid height"]
before_cover = ["bed", "cover level", "marker tape", "ducts capped", "ducts lagged", "chamber level", "lid height", "offsets", "loop routes", "photo"]
least_cover_m = 0.9
set_out_within_m = 0.02
`, "chamber_level_m = 101.3\nlid_height_m = 102.5\n"), crew.TableText)
	s := c.Site()
	if got, want := s.BeforeCover, logbook.GroundLines.Codes(); len(got) != len(want) {
		t.Errorf("wanted %q, want %q", got, want)
	}
	for i, code := range s.BeforeCover {
		if logbook.GroundLines.List[i].Code != code {
			t.Errorf("%q is wanted, want %q", code, logbook.GroundLines.List[i].Code)
		}
	}
	if len(s.BeforeWelding) != 1 || s.BeforeWelding[0] != logbook.GroundLid || s.LeastCoverM != 0.9 || s.SetOutWithinM != 0.02 || *s.Chambers[0].LevelM != 101.3 || *s.Chambers[0].LidM != 102.5 {
		t.Errorf("opened as %+v", s.SiteOpened)
	}
}
