package logbook

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"
	"golang.org/x/text/unicode/rangetable"
	"golang.org/x/text/width"
)

// unseen are characters that take no room where they stand in a name, or look
// like a blank and are a letter: nobody types them on purpose.
var unseen = rangetable.Merge(unicode.Cc, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp, unicode.Variation_Selector,
	unicode.Other_Default_Ignorable_Code_Point, rangetable.New('\u2800', unicode.ReplacementChar))

// TypedName is a name as it is kept: without characters that cannot be seen,
// and with single blanks. gone says in words what was taken out; "" is nothing.
func TypedName(s string) (name, gone string) {
	var out []string
	name = strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r' || unicode.Is(unicode.Zs, r):
			return ' '
		case unicode.Is(unseen, r):
			if at := fmt.Sprintf("U+%04X", r); !slices.Contains(out, at) {
				out = append(out, at)
			}
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
	return strings.Join(strings.Fields(name), " "), strings.Join(out, ", ")
}

// PlainName is a name as its writing is compared: full-width letters, capitals
// and what cannot be seen do not count.
func PlainName(s string) string {
	if isASCII(s) {
		return strings.ToLower(strings.Join(strings.Fields(s), " "))
	}
	s, _ = TypedName(s)
	return settled(s, func(s string) string {
		s = cases.Fold().String(norm.NFKC.String(width.Fold.String(s)))
		s, _ = TypedName(s) // a letter may be an unseen one in another form
		return s
	})
}

// settled applies a folding until nothing changes any more, so that what is
// folded twice is as if it were once.
func settled(s string, fold func(string) string) string {
	for range 8 {
		next := fold(s)
		if next == s {
			break
		}
		s = next
	}
	return s
}

// bare strips the marks of letters: é is e.
func bare(s string) string {
	if isASCII(s) {
		return s
	}
	s, _, err := transform.String(transform.Chain(norm.NFKD, runes.Remove(runes.In(unicode.Mn)), norm.NFKC), s)
	if err != nil {
		return ""
	}
	return s
}

// others are letters that are no other with a mark, and are written as one where
// a keyboard lacks them.
var others = strings.NewReplacer("ø", "o", "đ", "d", "ð", "d", "ł", "l", "ħ", "h", "ŧ", "t", "ŋ", "n", "þ", "th", "æ", "a", "œ", "o", "ß", "ss",
	"i", "l", "ı", "l", "|", "l", "1", "l", "0", "o", "rn", "m", "vv", "w", "ae", "a", "oe", "o", "ue", "u")

// A folding of a name: its letters as they are compared, one of the ways.
type folding func(string) string

// foldings are several, since a letter may look like another in one case only:
// the small ν is a v and the capital Ν an N.
var foldings = []folding{
	func(s string) string { return s },
	looks,
	func(s string) string { return looks(strings.ToUpper(s)) },
	func(s string) string { return looks(strings.ToLower(s)) },
}

// looks puts Latin letters in place of those that are drawn like them.
func looks(s string) string {
	return strings.Map(func(r rune) rune {
		if l, ok := latin[r]; ok {
			return l
		}
		return r
	}, s)
}

// folded is a name by one folding, its words apart by one blank: no mark, no
// full stop, nothing in brackets.
func (f folding) folded(s string) string { return settled(s, f.once) }

func (f folding) once(s string) string {
	if !isASCII(s) {
		s, _ = TypedName(norm.NFKC.String(width.Fold.String(s)))
	}
	s = others.Replace(bare(cases.Fold().String(f(bare(unbracketed(s))))))
	return strings.Join(strings.FieldsFunc(strings.Map(noApostrophe, s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.Is(unicode.M, r) }), " ")
}

func noApostrophe(r rune) rune {
	if strings.ContainsRune("'’ʼ`´", r) {
		return -1
	}
	return r
}

// unbracketed is a name without what stands in brackets, a role or a number;
// where there is nothing else, that is the name. A bracket that is not closed
// holds nothing.
func unbracketed(s string) string {
	if rest := bracketed.ReplaceAllString(s, " "); strings.Trim(rest, "([{<)]}> ") != "" {
		return rest
	}
	return s
}

var bracketed = regexp.MustCompile(`\([^()]*\)|\[[^\[\]]*\]|\{[^{}]*\}|<[^<>]*>`)

// Near tells whether two names may be one person's: alike but for capitals,
// marks, letters that look alike, the order of their parts, initials, parts left
// out, and a role behind it. It says yes too often rather than too seldom.
func Near(a, b string) bool {
	if PlainName(a) == PlainName(b) {
		return true
	}
	ways := waysOf(b)
	return slices.ContainsFunc(waysOf(a), func(one []string) bool {
		return slices.ContainsFunc(ways, func(other []string) bool { return partsMeet(one, other) })
	})
}

// waysOf are the parts of a name by each folding that makes another of it.
func waysOf(s string) (out [][]string) {
	var had []string
	for _, f := range foldings {
		if way := f.folded(s); !slices.Contains(had, way) {
			had, out = append(had, way), append(out, withoutRole(strings.Fields(way)))
		}
		if isASCII(s) {
			break // all are the same
		}
	}
	return out
}

func isASCII(s string) bool {
	return strings.IndexFunc(s, func(r rune) bool { return r < ' ' || r > '~' }) < 0
}

// partsMeet tells whether the parts of the shorter name are all in the longer.
func partsMeet(a, b []string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(a) == 0 {
		return false
	}
	if runTogether(a, b) {
		return true
	}
	left, whole := slices.Clone(b), false
	for _, part := range a {
		at := slices.Index(left, part)
		if at < 0 {
			at = slices.IndexFunc(left, func(other string) bool { return initialOf(part, other) || initialOf(other, part) })
		} else if !isInitial(part) {
			whole = true
		}
		if at < 0 {
			return false
		}
		left = slices.Delete(left, at, at+1)
	}
	return whole || len(a) > 1 && len(a) == len(b)
}

// runTogether tells whether two names are one when they are written without
// blanks, in either order of the two halves, or one is the initials of the other.
func runTogether(a, b []string) bool {
	one := strings.Join(a, "")
	for i := range b {
		if one == strings.Join(b[i:], "")+strings.Join(b[:i], "") {
			return true
		}
	}
	initials := ""
	for _, part := range b {
		initials += string([]rune(part)[:1])
	}
	return len(a) == 1 && len(b) > 1 && a[0] == initials
}

func isInitial(part string) bool { return len([]rune(part)) == 1 }

func initialOf(short, long string) bool {
	return isInitial(short) && strings.HasPrefix(long, short) && unicode.IsLetter([]rune(short)[0])
}

// withoutRole leaves out the words of a role, where others stand beside them.
func withoutRole(parts []string) []string {
	rest := slices.DeleteFunc(slices.Clone(parts), func(p string) bool { return slices.Contains(roleWords, p) })
	if len(rest) == 0 {
		return parts
	}
	return rest
}

// NameLeast is what a name has at least, in letters: our choice. It goes into the
// client's file.
const NameLeast = 2

// IsName tells whether somebody can be meant by a name: it is more than an initial. A
// letter of a script without capitals counts for two: there a name may be one letter.
func IsName(name string) bool {
	n := 0
	for _, c := range name {
		switch {
		case !unicode.IsLetter(c):
		case unicode.IsUpper(c), unicode.IsLower(c), unicode.IsTitle(c):
			n++
		default:
			n += NameLeast
		}
	}
	return n >= NameLeast
}

// nobodys are the words of who does not know a name.
var nobodys = []string{NotKnown, "not known", "nobody knows", "nobody", "no name"}

// Nobody tells whether no person is named by what stands for an operator: a sign, an
// initial, or that it is not known.
func Nobody(name string) bool { return !IsName(name) || slices.Contains(nobodys, PlainName(name)) }

// NoName says why what was said is no operator, "" where it is one. That nobody knows who
// welded can be said.
func NoName(name string) string {
	if IsName(name) {
		return ""
	}
	return fmt.Sprintf("%q is no name: write at least %d letters of it, or \"not known\"", name, NameLeast)
}
