package store

import "coolhold/logbook"

// A reader is the records of a log for a decision or a view. What it is asked
// for and is not in memory yet it fetches; under the exclusive lock, where
// nothing slow may happen, it breaks the transaction off instead.
type reader struct {
	known *known
	tx    *tx                // of the decision; nil in a view
	fetch func(string) error // of a view
}

// A stopped is the panic by which a view ends that cannot be read on.
type stopped struct{ error }

// reading runs f, which may be stopped.
func reading(f func() error) (err error) {
	defer func() {
		r := recover()
		if s, ok := r.(stopped); ok {
			err = s.error
		} else if r != nil {
			panic(r)
		}
	}()
	return f()
}

// book is the book with a site in it.
func (r *reader) book(site string) *logbook.Book {
	if r.known.whole[site] || r.known.index.At(site) == nil {
		return r.known.book
	}
	if r.tx != nil {
		r.tx.s.fail(wanted{site})
	}
	if err := r.fetch(site); err != nil {
		panic(stopped{err})
	}
	return r.known.book
}

// Tag is the log's tag.
func (r *reader) Tag() string { return r.known.book.Tag() }

// NextWeld is the number of the next weld.
func (r *reader) NextWeld() int { return r.known.book.NextWeld() }

// Sites are the sites as they are known without reading them.
func (r *reader) Sites() []logbook.Site { return r.known.book.Sites() }

// Site finds a site.
func (r *reader) Site(id string) (logbook.Site, bool) { return r.book(id).Site(id) }

// Joints are a site's joints in the plan's order.
func (r *reader) Joints(site string) []logbook.Joint { return r.book(site).Joints(site) }

// Joint finds a joint.
func (r *reader) Joint(site, label string) (logbook.Joint, bool) {
	return r.book(site).Joint(site, label)
}

// Welds are a site's welds in the order they were begun.
func (r *reader) Welds(site string) []logbook.Weld { return r.book(site).Welds(site) }

// Weld finds a weld.
func (r *reader) Weld(site, id string) (logbook.Weld, bool) { return r.book(site).Weld(site, id) }

// Shift finds a shift.
func (r *reader) Shift(site, id string) (logbook.Shift, bool) { return r.book(site).Shift(site, id) }

// MayRun are the welds of a site that may run, by the index.
func (r *reader) MayRun(site string) []string {
	if p := r.known.index.At(site); p != nil {
		return p.Run
	}
	return nil
}
