package tui

import (
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// crossed is circuit 1 opened alone with flow in circuit 2.
func crossed(c *crew.Crew) {
	c.Do(acts.CheckFlow(c.H, logbook.FlowChecked{
		Section: crew.Circuit1, LPM: new(12.0), Shut: logbook.ShutBoth, Others: logbook.OthersFlow,
		Seen: []logbook.FlowSeen{{Section: logbook.SectionID{Chamber: "A", Circuit: 2}}},
	}))
}

func init() {
	waysIn["flow, purge and fluid: flow of a circuit alone"] = wayIn{
		"flow-crossed:1A", crossed, func(m *meadow) {
			m.keys("9", "7", "1", "enter", "1", "1")
			m.text("28.5")
			m.keys("1")
			m.text("42")
			m.text("Hedda Roan")
		},
	}
	waysIn["flow, purge and fluid: take the newest back"] = wayIn{
		"flow-crossed:1A", crossed, func(m *meadow) {
			m.keys("9", "7", "1", "enter", "4", "1", "1", "enter")
			m.text("Hedda Roan")
		},
	}
}
