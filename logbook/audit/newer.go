package audit

import "coolhold/logbook"

// The rules of what this program cannot read. No name settles them: who does not
// know what was said cannot accept it.
const (
	newerEntry = "newer-entry"
	newerSite  = "newer-entry-site"
	newerDo    = "read the log with a newer coolhold"
)

// newer tells whether a finding is of what could not be read.
func (f Finding) newer() bool { return f.Rule == newerEntry || f.Rule == newerSite }

// unreadOfWeld are the entries that may say something of a weld and are not read.
func unreadOfWeld(c Case) (unread []logbook.Unread, found bool) {
	for _, u := range c.Site.Unread {
		if u.Concerns(c.Weld) {
			unread = append(unread, u)
		}
	}
	return unread, len(unread) > 0
}

func unreadOfSite(c Case) ([]logbook.Unread, bool) { return c.Site.Unread, len(c.Site.Unread) > 0 }

func unreadSays(about string, unread []logbook.Unread) string {
	return about + ": " + logbook.UnreadLine(unread)
}
