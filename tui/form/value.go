package form

import (
	"slices"

	"coolhold/logbook"
)

// Of is the field that asks for a value of a weld while the work is done: its
// label, its options, what is taken and how it is shown. A place in a form may
// put another label on it, leave options out, offer one.
func Of(key string) Field {
	v, _ := logbook.ValueOf(key)
	f := Field{Item: key, Label: v.Ask, Manner: Text, Check: v.Read, Says: v.Words}
	switch v.Kind {
	case logbook.AsChoice:
		return Choose(key, v.Ask, v.Options)
	case logbook.AsWhole, logbook.AsDecimal, logbook.AsCelsius:
		f.Manner = Number
	}
	f.Doubt = func(_ Answers, said string) string {
		if !logbook.Shortened(key, said) {
			return ""
		}
		return "that is how a spreadsheet shortens a long number"
	}
	return f
}

// Later is the field that asks for it afterwards.
func Later(key string) Field {
	v, _ := logbook.ValueOf(key)
	f := Of(key)
	f.Label = v.Later()
	return f
}

// Choose asks for one of the options.
func Choose(item, label string, o *logbook.Options) Field {
	return Field{Item: item, Label: label, Manner: Choice, Options: o.Codes(), Says: o.Word}
}

// But is the field without some of its options.
func (f Field) But(codes ...string) Field {
	f.Options = slices.DeleteFunc(slices.Clone(f.Options), func(o string) bool { return slices.Contains(codes, o) })
	return f
}

// OrNone lets the space bar say that there is no figure, in these words.
func (f Field) OrNone(says string) Field {
	f.Other = &Other{Says: says}
	return f
}

// Unless is the field where it is not always asked.
func (f Field) Unless(skip func(Answers) bool) Field {
	f.Skip = skip
	return f
}
