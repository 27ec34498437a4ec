package account

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
	"coolhold/logbook/register"
)

// running is what cools or fuses as the register is made: nobody moves that. Where no end of a
// fusion is recorded no hold can be told, and a reader must not take that for none.
func (m maker) running() Item {
	var cool, fuse, over, unsaid []string
	for _, p := range m.rep.Joints {
		switch u := m.unended(p.Weld); {
		case p.State != audit.InHold && p.State != audit.Fusing:
		case u == register.EndUnsaid:
			unsaid = append(unsaid, p.Label)
		case u == register.CoolingOver:
			over = append(over, p.Label)
		case p.State == audit.Fusing:
			fuse = append(fuse, p.Label)
		default:
			cool = append(cool, p.Label+m.holdsUntil(p))
		}
	}
	it := Item{Head: "Cooling or fusing now"}
	if it.Says = strings.TrimSpace(headed("Fusing: ", ", ", fuse...) + " " + headed("Cooling, not to be moved: ", ", ", cool...)); it.Says == "" {
		it.Says = "Nothing is recorded as cooling or fusing at " + m.rep.AsOf.Format(minute) + "."
	}
	if len(unsaid) > 0 {
		it.More = append(it.More, "End of fusion not recorded, so that no hold can be told: "+strings.Join(unsaid, ", ")+".")
	}
	if len(over) > 0 {
		it.More = append(it.More, "Cooling time over, and not released: "+strings.Join(over, ", ")+".")
	}
	return it
}

// holdsUntil is until when the weld of a joint cools, as it stands on the pipe.
func (m maker) holdsUntil(p chart.Place) string {
	i, is := m.rowAt[p.Weld]
	if !is {
		return ""
	}
	until, held := m.rep.Rows[i].Weld.HoldUntil()
	if !held {
		return ""
	}
	return " until " + logbook.UpMinute(until).Format(minute)
}

// mayTest says of all circuits together which may be put under pressure by the record, or that
// none may. Why not stands at each.
func (m maker) mayTest() []Item {
	var now, later, ask []string
	all := 0
	lost, repaired := m.lostAt(pressureLost), m.lostAt(saidRepaired)
	for _, s := range m.rep.Standings() {
		bare, not := notReady(s)
		leaks := slices.ContainsFunc(s.Joints, func(p chart.Place) bool { return lost[p.Label] || repaired[p.Label] })
		if all++; len(bare)+len(not)+len(s.Others()) > 0 || s.Loose || leaks {
			continue
		}
		switch wait := s.Wait(false); {
		case wait.Over.IsZero() || len(wait.NoWait) > 0:
			ask = append(ask, s.Section.Name)
		case wait.Runs:
			later = append(later, s.Section.Name+" from "+logbook.UpMinute(wait.Over).Format(minute))
		default:
			now = append(now, s.Section.Name)
		}
	}
	if all == 0 {
		return nil
	}
	it := Item{Head: "Pressure test now", About: []Link{{CircuitsID, "each circuit"}}}
	if len(now) == 0 {
		it.Says = fmt.Sprintf("by the record none of the %d circuits and headers may be tested.", all)
	} else {
		it.Says = fmt.Sprintf("by the record, as far as waits are printed, %d of the %d circuits and headers may be tested: %s.", len(now), all, strings.Join(now, ", "))
	}
	it.Says = logbook.Joined(" ", it.Says, headed("Not before its printed wait is over: ", "; ", later...), headed("No wait is printed for it, ask first: ", ", ", ask...))
	if len(now) > 0 {
		it.More = []string{"The instructions of the fittings and the method of the test go before this."}
	}
	return []Item{it}
}
