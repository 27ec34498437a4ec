package walk

import (
	"slices"
	"testing"

	"coolhold/logbook"
	"coolhold/tui/form"
)

// fieldsOf are the fields of the walk that ask for values of a weld.
func fieldsOf(t *testing.T) []form.Field {
	t.Helper()
	fields := append(displayForm().Fields, markForm(ctx{}, 1).Fields...)
	fields = append(fields, endForm(ctx{}).Fields...)
	for _, s := range []stepper{openRun(ctx{}), openResistance(ctx{}), openSettings(ctx{w: logbook.Weld{Corrects: logbook.Yes}}).(settings).typed} {
		fields = append(fields, s.(formStep).form.Fields...)
	}
	fields = append(fields, methodsField(ctx{}, logbook.Ends[:1]))
	return append(append(fields, EyeFields()...), FeltField(), WorstIndicator())
}

// What the walk lets pass is what the table of values lets pass, but for the 0
// that says that there is none; what it offers are codes.
func TestTheWalkAsksByTheTable(t *testing.T) {
	lists := map[string]*logbook.Options{"mark": logbook.Marks, "why": logbook.CouldNotReasons, "indicator 1": logbook.Indicators}
	found := 0
	for _, f := range fieldsOf(t) {
		v, ok := logbook.ValueOf(f.Item)
		list := lists[f.Item]
		if ok && f.Manner == form.Choice {
			list = v.Options
		}
		if !ok && list == nil {
			continue
		}
		found++
		if f.Label == "" {
			t.Errorf("%s has no label", f.Item)
		}
		for _, o := range f.Options {
			if !slices.Contains(list.Codes(), o) || f.Says(o) != list.Word(o) {
				t.Errorf("%s offers %q as %q", f.Item, o, f.Says(o))
			}
		}
		if f.Manner == form.Choice {
			continue
		}
		for _, said := range []string{"-1", "0.001", "1", "40", "100", "101", "400", "401", "1000", "1001", "9999", "10000"} {
			_, err := f.Check(said)
			if _, want := v.Read(said); (err == nil) != (want == nil) {
				t.Errorf("%s takes %s: %v, the table says %v", f.Item, said, err, want)
			}
		}
	}
	if found < 15 {
		t.Errorf("%d fields", found)
	}
}
