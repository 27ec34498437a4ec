package tui

import (
	"sync"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A glance is the site as one key or one frame sees it. What grows with the site,
// its joints and welds in order and the order of the work, is made once and only
// where it is looked at.
type glance struct {
	shell.Env
	read  logbook.Reader // the book, its lists sorted once
	all   func() []logbook.Joint
	order func() ahead.Order
}

func glanceAt(env shell.Env) glance {
	read := once{
		Book: env.Book, site: env.Site.ID,
		joints: sync.OnceValue(func() []logbook.Joint { return env.Book.Joints(env.Site.ID) }),
		welds:  sync.OnceValue(func() []logbook.Weld { return env.Book.Welds(env.Site.ID) }),
	}
	return glance{
		Env: env, read: read, all: read.joints,
		order: sync.OnceValue(func() ahead.Order {
			return ahead.OrderOf(read, env.Shelf, env.Site.ID, ahead.OrderGiven{Failed: env.Failed}, env.Now, env.Beat)
		}),
	}
}

// once is a book that sorts the lists of one site once. Who reads them changes
// nothing in them.
type once struct {
	*logbook.Book
	site   string
	joints func() []logbook.Joint
	welds  func() []logbook.Weld
}

// Joints are a site's joints in the plan's order.
func (o once) Joints(site string) []logbook.Joint {
	if site != o.site {
		return o.Book.Joints(site)
	}
	return o.joints()
}

// Welds are a site's welds in the order they were begun.
func (o once) Welds(site string) []logbook.Weld {
	if site != o.site {
		return o.Book.Welds(site)
	}
	return o.welds()
}

// walking is the joint whose walk is open.
func (g glance) walking() (logbook.Joint, bool) {
	for _, j := range g.all() {
		if j.Walk != "" {
			return j, true
		}
	}
	return logbook.Joint{}, false
}

// next is the open joint to offer.
func (g glance) next() (logbook.Joint, bool) {
	j := g.order().Next
	return j, j.Label != ""
}

// JointColumn is that of Env, of the joints as sorted already.
func (g glance) JointColumn() int {
	width := 8
	for _, j := range g.all() {
		width = max(width, widget.Width(j.Label))
	}
	return width
}
