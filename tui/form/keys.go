package form

import (
	"coolhold/tui/shell"
)

// Keys are what the present field does with the keyboard. Back and leave belong to
// whoever shows the form.
func (f Form) Keys() shell.Keys {
	field, ok := f.Field()
	switch {
	case !ok:
		return nil
	case field.Manner == Choice:
		enter := "take the one marked"
		if f.hasGiven(field) {
			enter = "keep it"
		}
		take := shell.When(f.cursor != "" || f.hasGiven(field), shell.On("Enter", enter))
		if field.Figures != nil {
			return shell.Keys{shell.On("digits, Enter", "the figure, or a digit shown"), shell.On("↑↓", "mark"), take}
		}
		return shell.Keys{shell.Digits(len(field.Options), "choose"), shell.On("↑↓", "mark"), take}
	case field.Manner == Number:
		keys := shell.Keys{shell.On("digits, Enter", "give it")}
		if field.Other != nil {
			keys = append(keys, field.Other.key(f.yields))
		}
		return keys
	case f.listsUsual(field):
		return shell.Keys{shell.Digits(len(field.Usual), "a reason"), shell.On("type", "your own words"), shell.On("Enter", "give it"), shell.On("↑↓", "mark")}
	case field.Manner == Text && field.asksWho() && len(f.people) > 0:
		return shell.Keys{shell.On("digit or type, Enter", "who it is")}
	case field.Manner == Text:
		return shell.Keys{shell.On("type, Enter", "give it")}
	}
	if f.line != nil {
		return f.line.Keys()
	}
	return shell.Keys{shell.On("0", "all as it should be"), shell.Digits(len(f.open(field)), "what is not"), shell.When(f.hasGiven(field), shell.On("Enter", "keep it"))}
}
