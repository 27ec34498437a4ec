package seal

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/mod/sumdb/tlog"
)

const (
	heading  = "coolhold seal 1"
	atLayout = "2006-01-02T15:04:05-07:00"
	maxName  = 48 // bytes: a seal is to fit 400
)

// A Statement is what a seal says.
type Statement struct {
	Log, Tag string    // id and letters of the log
	Entries  int64     // how many were sealed, from 1
	Root     tlog.Hash // of the tree over them
	Site     string    // id of a site, 16 hex digits: of that site nothing else was sealed than OfSite entries; "" for none
	OfSite   int64     // how many of the entries are the site's: those with the numbers 1 to OfSite
	At       time.Time // local time as the laptop's clock showed it, to the second
	Day      string    // YYYY-MM-DD, the day of work that was signed; "" for none
	By       string    // who sealed; "" if nobody was named
}

var (
	idForm  = regexp.MustCompile(`^[0-9a-f]{32}$`)
	tagForm = regexp.MustCompile(`^[A-Z]{2}$`)
	uidForm = regexp.MustCompile(`^[0-9a-f]{16}$`)
)

// Text is the text that is signed. The error is ErrStatement where a part of it
// has no place in a seal.
func (s Statement) Text() (string, error) {
	if err := s.check(); err != nil {
		return "", fmt.Errorf("%w: %w", ErrStatement, err)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s\nlog %s %s\nentries %d\nroot %s\n", heading, s.Log, s.Tag, s.Entries, s.Root)
	if s.Site != "" {
		fmt.Fprintf(&b, "site %s %d\n", s.Site, s.OfSite)
	}
	fmt.Fprintf(&b, "claimed %s\n", s.At.Format(atLayout))
	if s.Day != "" {
		fmt.Fprintf(&b, "day %s\n", s.Day)
	}
	if s.By != "" {
		fmt.Fprintf(&b, "by %s\n", s.By)
	}
	return b.String(), nil
}

func (s Statement) check() error {
	switch {
	case !idForm.MatchString(s.Log):
		return fmt.Errorf("the log's id %q is not 32 hex digits", s.Log)
	case !tagForm.MatchString(s.Tag):
		return fmt.Errorf("the log's tag %q is not two capitals", s.Tag)
	case s.Entries < 1:
		return fmt.Errorf("there is no entry yet")
	case s.Site != "" && !uidForm.MatchString(s.Site):
		return fmt.Errorf("the site's id %q is not 16 hex digits", s.Site)
	case s.Site != "" && (s.OfSite < 1 || s.OfSite > s.Entries):
		return fmt.Errorf("%d entries of the site among %d", s.OfSite, s.Entries)
	case s.At.Year() < 1 || s.At.Year() > 9999:
		return fmt.Errorf("the year %d has not four digits", s.At.Year())
	case s.Day != "" && !isDay(s.Day):
		return fmt.Errorf("the day %q is no date such as 2026-03-09", s.Day)
	case !isName(s.By):
		return fmt.Errorf("the name %q is longer than %d bytes or holds what cannot be printed; shorten it", s.By, maxName)
	}
	return nil
}

func isDay(s string) bool {
	t, err := time.Parse(time.DateOnly, s)
	return err == nil && t.Format(time.DateOnly) == s
}

func isName(s string) bool {
	return len(s) <= maxName && utf8.ValidString(s) && strings.IndexFunc(s, odd) < 0 && strings.TrimSpace(s) == s
}

// odd tells of what stays out of a seal: it must read the same on paper.
func odd(r rune) bool {
	return unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp) || r == unicode.ReplacementChar
}

// Fitting is a name as a seal can hold it: one that is too long ends in "…", and
// what cannot be printed is a middle dot.
func Fitting(name string) string {
	name = strings.TrimSpace(strings.ToValidUTF8(name, "·"))
	name = strings.Map(func(r rune) rune {
		if odd(r) {
			return '·'
		}
		return r
	}, name)
	if len(name) <= maxName {
		return name
	}
	end := maxName - len("…")
	for !utf8.RuneStart(name[end]) {
		end--
	}
	return name[:end] + "…"
}

// parseText reads the text of a seal. Only the very bytes that Text writes are
// read, so that there is one way to say a thing.
func parseText(text string) (s Statement, err error) {
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	if first := lines[0]; first != heading {
		return s, fmt.Errorf("%w: it begins %q, not %q", ErrNoSeal, first, heading)
	}
	for n, line := range lines[1:] {
		word, value, _ := strings.Cut(line, " ")
		if err := s.take(word, value); err != nil {
			return s, fmt.Errorf("%w: line %d: %w", ErrNoSeal, n+2, err)
		}
	}
	again, err := s.Text()
	if err != nil {
		return s, fmt.Errorf("%w: %w", ErrNoSeal, err)
	}
	if again != text {
		return s, fmt.Errorf("%w: its lines are not in their order and form", ErrNoSeal)
	}
	return s, nil
}

// take reads the value of one line.
func (s *Statement) take(word, value string) (err error) {
	switch word {
	case "log":
		s.Log, s.Tag, _ = strings.Cut(value, " ")
	case "entries":
		s.Entries, err = strconv.ParseInt(value, 10, 64)
	case "root":
		s.Root, err = tlog.ParseHash(value)
	case "site":
		id, n, _ := strings.Cut(value, " ")
		s.Site = id
		s.OfSite, err = strconv.ParseInt(n, 10, 64)
	case "claimed":
		s.At, err = parseAt(value)
	case "day":
		s.Day = value
	case "by":
		s.By = value
	default:
		err = fmt.Errorf("%q is no word of a seal", word)
	}
	return err
}

// parseAt reads a local time; the zone has no name, as the seal has none.
func parseAt(value string) (time.Time, error) {
	t, err := time.Parse(atLayout, value)
	_, offset := t.Zone()
	return t.In(time.FixedZone("", offset)), err
}

// ExtendedBy proves that the log of this id and tag, with n entries and these
// hashes in its tree, begins with what was sealed. The root is computed anew
// from the hashes, which the caller has held against the entries. The error is
// ErrOtherLog or ErrNotExtended.
func (s Statement) ExtendedBy(log, tag string, n int64, hashes tlog.HashReader) error {
	if s.Log != log || s.Tag != tag {
		return fmt.Errorf("%w: %s (%s), not %s (%s)", ErrOtherLog, s.Log, s.Tag, log, tag)
	}
	if s.Entries > n {
		return fmt.Errorf("%w: %d entries were sealed, %d are there", ErrNotExtended, s.Entries, n)
	}
	root, err := tlog.TreeHash(s.Entries, hashes)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrNotExtended, err)
	}
	if root != s.Root {
		return fmt.Errorf("%w: the first %d entries are not those that were sealed, or not in that order", ErrNotExtended, s.Entries)
	}
	return nil
}
