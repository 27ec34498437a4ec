package shell

import (
	"sync"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/handover"
	"coolhold/tui/widget"
)

// A Sight is what keys and frames look at and what grows with the site. Each part
// is made where it is first looked at; it stays until the records change.
type Sight struct {
	logbook.Reader                        // the book, its lists of the site sorted once
	All            func() []logbook.Joint // in the plan's order; not to be changed
	Unsettled      func() int             // joints that need something more
	Sections       func() []string        // what tests and looks at sections come to, in short
	Losses         func() []logbook.Event // of pressure, and open
	column         func() int             // see JointColumn
	people         func() []logbook.Person
	outlook        Outlook // of the moment looked at last
	leaf           []string
	leafAt         fusion.Stamp
}

// SightOf is the sight of a site by its book and audit.
func SightOf(book *logbook.Book, site logbook.Site, found audit.Result) *Sight {
	read := sorted{
		Book: book, site: site.ID,
		joints: sync.OnceValue(func() []logbook.Joint { return book.Joints(site.ID) }),
		welds:  sync.OnceValue(func() []logbook.Weld { return book.Welds(site.ID) }),
	}
	return &Sight{
		Reader: read, All: read.joints,
		Unsettled: sync.OnceValue(func() int { return len(found.Unsettled()) }),
		people:    sync.OnceValue(func() []logbook.Person { return peopleOf(read, site) }),
		Losses:    sync.OnceValue(func() []logbook.Event { return ahead.OpenLosses(read, site) }),
		Sections: sync.OnceValue(func() (lines []string) {
			for _, says := range []string{found.TestedShort(), found.GroundShort()} {
				if says = logbook.Clean(says); says != "" {
					lines = append(lines, says)
				}
			}
			return lines
		}),
		column: sync.OnceValue(func() int {
			width := 8
			for _, j := range read.joints() {
				width = max(width, widget.Width(j.Label))
			}
			return width
		}),
	}
}

// sorted is a book that sorts the lists of one site once. Who reads them changes
// nothing in them.
type sorted struct {
	*logbook.Book
	site   string
	joints func() []logbook.Joint
	welds  func() []logbook.Weld
}

// Joints are a site's joints in the plan's order.
func (s sorted) Joints(site string) []logbook.Joint {
	if site != s.site {
		return s.Book.Joints(site)
	}
	return s.joints()
}

// Welds are a site's welds in the order they were begun.
func (s sorted) Welds(site string) []logbook.Weld {
	if site != s.site {
		return s.Book.Welds(site)
	}
	return s.welds()
}

// An Outlook is what is ahead of the crew as of a moment.
type Outlook struct {
	Order     ahead.Order
	Forecast  ahead.Forecast
	now, beat fusion.Stamp
}

// outlookFor is how long what is ahead stays as it is while nothing is recorded. It is
// said to the minute; on a site of 500 joints it takes 5 ms, which each second would be
// half of what an idle board takes of the battery.
const outlookFor = 5 * time.Second

// Outlook is what is ahead, as a frame of these seconds says it: a key that comes
// meanwhile rests on what the person saw.
func (e Env) Outlook() Outlook {
	o := &e.Sight.outlook
	if e.Beat != o.beat || !within(outlookFor, o.now, e.Now) {
		*o = Outlook{
			ahead.OrderOf(e.Sight, e.Shelf, e.Site.ID, ahead.OrderGiven{Failed: e.Failed}, e.Now, e.Beat),
			ahead.ForecastOf(e.Sight, e.Site.ID, e.Failed, e.Now, e.Beat), e.Now, e.Beat,
		}
	}
	return *o
}

// Leaf is what the plumber's leaf says in this second, in lines; not to be changed.
func (e Env) Leaf() []string {
	s := e.Sight
	if s.leaf == nil || !within(time.Second, s.leafAt, e.Now) {
		s.leaf, s.leafAt = handover.Of(e.Sight, e.Site.ID, e.Audit, handover.Query{Now: e.Now}).Leaf().Lines(), e.Now
	}
	return s.leaf
}

// within tells whether less than that passed between two stamps, by both clocks.
func within(span time.Duration, then, now fusion.Stamp) bool {
	wall, boot := now.Wall.Sub(then.Wall), now.Boot-then.Boot
	return then.Offset == now.Offset && 0 <= min(wall, boot) && max(wall, boot) < span
}
