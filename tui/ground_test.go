package tui

import (
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/crew"
)

// wantsLooked makes the plan want lines looked at before welding and cover.
func wantsLooked(welding []string, cover ...string) func(*crew.Crew) {
	return func(c *crew.Crew) {
		opened := c.Site().SiteOpened
		opened.BeforeWelding, opened.BeforeCover = welding, cover
		c.Do(crew.Raw(c.H, "", "", opened))
	}
}

func init() {
	waysIn["covering: looked at"] = wayIn{
		"ground-to-look:chamber A", wantsLooked(nil, logbook.GroundBed), func(m *meadow) {
			m.keys("9", "4", "enter", "4", "0", "enter")
			m.text("Hedda Roan")
		},
	}
	waysIn["covering: looked at earlier"] = wayIn{
		"ground-before-welding:chamber A", func(c *crew.Crew) { wantsLooked([]string{logbook.GroundLevel})(c); done(c) },
		func(m *meadow) {
			m.keys("9", "4", "enter", "5")
			m.text("07:50")
			m.keys("0")
			m.text("101.3")
			m.keys("enter")
			m.text("Hedda Roan")
		},
	}
}

// The board and the joint say what is to be looked at before it is welded, and no more once
// it was.
func TestTheBoardSaysWhatIsToBeLookedAtBeforeWelding(t *testing.T) {
	m := onMeadow(t, wantsLooked([]string{logbook.GroundLevel, logbook.GroundLid}))
	m.sees("To be looked at before welding: chamber A: key 9, then 4.")
	m.choose("1A ")
	m.keys("enter")
	m.sees("To be looked at before welding: chamber level, lid height: board, keys 9 and 4.")
	m.keys("esc", "9", "4", "enter", "4", "0")
	m.text("101.3")
	m.text("102.5")
	m.keys("enter")
	m.text("Hedda Roan")
	m.keys("esc", "esc", "esc")
	m.lacks("To be looked at before welding")
}
