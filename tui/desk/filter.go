package desk

import (
	"cmp"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// A filter says which welds of a day are shown; an empty value is any. It holds
// values as they are drawn.
type filter struct{ operator, unit, chamber, verdict, text string }

// anything is the choice that filters nothing; noChamber is a joint on no
// chamber.
const (
	anything  = "any"
	noChamber = "outside the chambers"
)

func (f filter) none() bool { return f == filter{} }

// String is the filter in force in a few words.
func (f filter) String() string {
	var parts []string
	for _, p := range [][2]string{{"operator", f.operator}, {"unit", f.unit}, {"chamber", f.chamber}, {"verdict", f.verdict}} {
		switch {
		case p[1] == noChamber:
			parts = append(parts, noChamber)
		case p[1] != "":
			parts = append(parts, p[0]+" "+p[1])
		}
	}
	if f.text != "" {
		parts = append(parts, `"`+f.text+`"`)
	}
	return logbook.Clean(strings.Join(parts, ", "))
}

// fits tells whether a line passes. A joint without a weld has no operator, no
// unit and no verdict.
func (f filter) fits(env shell.Env, l dayLine) bool {
	same := func(want, got string) bool { return want == "" || want == logbook.Clean(got) }
	return same(f.operator, l.weld.Operator) && same(f.unit, l.weld.Unit) && same(f.chamber, chamberOf(l.joint)) &&
		(f.verdict == "" || l.weld.ID != "" && f.verdict == l.verdict) && f.reads(env, l)
}

func chamberOf(j logbook.Joint) string {
	return cmp.Or(j.Chamber, noChamber)
}

// reads looks for the text in what is recorded of a weld and found on it.
func (f filter) reads(env shell.Env, l dayLine) bool {
	if f.text == "" {
		return true
	}
	texts := []string{l.key, l.joint.Label, l.joint.Fitting, l.weld.Operator, l.weld.Unit, l.verdict, l.says, l.weld.CutWhy}
	for item, a := range l.weld.Answers {
		texts = append(texts, l.weld.Answered(item), a.Because())
	}
	for _, n := range l.weld.Notes {
		texts = append(texts, n.Text)
	}
	for _, found := range env.Audit.OfWeld(l.weld.ID) {
		texts = append(texts, found.Says)
	}
	return slices.ContainsFunc(texts, func(t string) bool {
		return strings.Contains(strings.ToLower(t), strings.ToLower(f.text))
	})
}

// sift is the lines that pass.
func (f filter) sift(env shell.Env, lines []dayLine) []dayLine {
	if f.none() {
		return lines
	}
	return slices.DeleteFunc(slices.Clone(lines), func(l dayLine) bool { return !f.fits(env, l) })
}

// filtering asks for a filter; d is the day it will be in force on. What has
// one value only is not asked.
func filtering(env shell.Env, d Day) shell.Screen {
	operators, units, chambers := choicesOf(env)
	field := func(item, label string, options []string, now string) form.Field {
		offer := cmp.Or(now, anything)
		return form.Field{
			Item: item, Label: label, Manner: form.Choice, Options: append([]string{anything}, options...), Offer: offer,
			Skip: func(form.Answers) bool { return len(options) < 2 },
		}
	}
	fields := []form.Field{
		field("verdict", "verdict", audit.Words, d.filter.verdict),
		field("operator", "who welded", operators, d.filter.operator),
		field("unit", "control unit", units, d.filter.unit),
		field("chamber", "chamber", chambers, d.filter.chamber),
		{Item: "text", Label: "text: a batch, a word of a finding, a joint", Manner: form.Text, Blank: true},
	}
	return form.Ask{
		About: "filter",
		Title: "Show only some welds",
		Text:  func(shell.Env) []string { return []string{"Enter takes what is marked. Later key 0 shows all again."} },
		Form:  form.New(fields),
		Done: func(env shell.Env, a form.Answers) {
			d.filter = filterOf(a)
			env.Do.Replace(d)
		},
	}
}

func filterOf(a form.Answers) filter {
	v := func(item string) string {
		if given := a.V(item); given != anything {
			return given
		}
		return ""
	}
	return filter{v("operator"), v("unit"), v("chamber"), v("verdict"), a.V("text")}
}

// choicesOf are the operators, units and chambers of a site's welds.
func choicesOf(env shell.Env) (operators, units, chambers []string) {
	for _, w := range env.Book.Welds(env.Site.ID) {
		operators, units = append(operators, w.Operator), append(units, w.Unit)
		chambers = append(chambers, chamberOf(env.Joint(w.Joint)))
	}
	return tidy(operators), tidy(units), tidy(chambers)
}

func tidy(all []string) []string {
	all = cleaned(all)
	slices.Sort(all)
	return slices.Compact(all)
}

// cleaned are texts as they may be drawn.
func cleaned(all []string) []string {
	out := make([]string, len(all))
	for i, text := range all {
		out[i] = logbook.Clean(text)
	}
	return out
}
