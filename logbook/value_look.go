package logbook

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// LookValues are what a look can see and feel, in the order in which it is
// asked. Which of them are asked is another thing on each occasion.
var LookValues = []Value[Look]{
	{
		About: About{
			Key: "indicators", Name: "indicators", Ask: "indicators (the worst of them)", Hint: "One a side, with a comma between: {up}, {part}, {flat}, {unseen}.",
			Write: "one a side: {up}, {part}, {flat}, {unseen}; {none}", Example: "{up} / {up}", Say: true, Kind: AsChoices, Options: Indicators,
		},
		get: func(l Look) string { return strings.Join(l.Indicators, ",") },
		set: func(l *Look, v string) {
			if l.Indicators = nil; v != "" {
				l.Indicators = strings.Split(v, ",")
			}
		},
	},
	seenIn(About{Key: "melt", Name: "melt", Ask: "melt outside the fitting", Write: "melt: {none}, {outside}, {unseen}", Example: "{none}", Say: true, Options: melts}, func(l *Look) *string { return &l.Melt }),
	seenIn(About{Key: "wire", Name: "wire", Ask: "heating wire", Write: "wire: {none}, {seen}, {unseen}", Example: "{none}", Say: true, Options: wires}, func(l *Look) *string { return &l.Wire }),
	seenIn(About{Key: "marks", Name: "marks", Ask: "insertion marks", Write: "insertion marks: {inplace}, {moved}, {unseen}", Example: "{inplace}", Say: true, Options: inserts}, func(l *Look) *string { return &l.Marks }),
	seenIn(About{Key: "straight", Name: "straight", Ask: "pipe and fitting in line", Write: "in line: {yes}, {no}, {unseen}", Example: "{yes}", Say: true, Options: straights}, func(l *Look) *string { return &l.Straight }),
	seenIn(About{Key: "felt", Name: "felt", Ask: "felt by hand", Options: felts}, func(l *Look) *string { return &l.Felt }),
}

func seenIn(a About, at func(*Look) *string) Value[Look] {
	a.Kind, a.Column = AsChoice, "looks"
	return Value[Look]{About: a, get: func(l Look) string { return *at(&l) }, set: func(l *Look, v string) { *at(l) = v }}
}

// LookValue is the value of a look with that key.
func LookValue(key string) Value[Look] {
	i := slices.IndexFunc(LookValues, func(v Value[Look]) bool { return v.Key == key })
	return LookValues[i]
}

// ofLook is a value of one look as a value of its weld. A look that is not there
// is begun: it is being stated.
func ofLook(v Value[Look], i int) Field {
	return Field{
		About: v.About, look: true,
		get: func(w Weld) string {
			if i >= len(w.Looks) {
				return ""
			}
			return v.get(w.Looks[i].Look)
		},
		set: func(w *Weld, s string) {
			w.Looks = slices.Clone(w.Looks)
			if i == len(w.Looks) {
				w.Looks = append(w.Looks, Seen{})
			}
			if i < len(w.Looks) {
				v.set(&w.Looks[i].Look, s)
			}
		},
	}
}

// stated are the values of a look as those of a weld with one look.
func stated(looks []Value[Look]) []Field {
	var out []Field
	for _, v := range looks {
		out = append(out, ofLook(v, 0))
	}
	return out
}

// LookKey names a value of one look of a weld: what, on which occasion, and
// which look it is, from 1.
func LookKey(key string, on Occasion, no int) string {
	return key + "." + string(on) + "." + strconv.Itoa(no)
}

// LookNo is which look a key speaks of, from 1; 0 for none.
func LookNo(key string) int {
	parts := strings.Split(key, ".")
	if len(parts) != 3 {
		return 0
	}
	no, _ := strconv.Atoi(parts[2])
	return no
}

// onLook is the value of a weld that such a key names.
func onLook(key string) (Field, bool) {
	no := LookNo(key)
	what, on, _ := strings.Cut(key, ".")
	i := slices.IndexFunc(LookValues, func(v Value[Look]) bool { return v.Key == what })
	if no < 1 || i < 0 {
		return Field{}, false
	}
	on, _, _ = strings.Cut(on, ".")
	out := ofLook(LookValues[i], no-1)
	out.Column = out.InRegister()
	named := func(on string) string { return fmt.Sprintf("%s %s (look %d)", out.Name, on, no) }
	out.Key, out.Former, out.Name = key, named(Occasions.Formerly(on)), named(Occasion(on).String())
	return out, true
}

// lookFields are what each look saw; a thing that was not asked at that look can
// be added.
func lookFields(w Weld) []Field {
	var out []Field
	for i, l := range w.Looks {
		for _, v := range LookValues {
			f, _ := onLook(LookKey(v.Key, l.When, i+1))
			out = append(out, f)
		}
	}
	return out
}
