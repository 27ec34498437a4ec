package acts

import "coolhold/logbook"

// SamePerson tells whether two names on a site are one person's, a mark counting
// as its operator's name. Near names that nobody told apart are the same.
func SamePerson(r logbook.Reader, site, a, b string) bool {
	return logbook.PeopleOf(r, site).Same(a, b)
}
