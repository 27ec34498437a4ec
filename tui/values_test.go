package tui

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/paper"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/walk"
)

// asked are the fields that ask for values of a weld: of the form for a weld made
// without the laptop, of the looks, and each as the walk has it.
func asked(env shell.Env) []form.Field {
	fields := append(laterFields(env), walk.EyeFields()...)
	fields = append(fields, walk.FeltField(), walk.WorstIndicator())
	for _, v := range logbook.WeldValues {
		if v.Ask != "" {
			fields = append(fields, form.Of(v.Key))
		}
	}
	return fields
}

// canStore are the values that a field lets pass: its options, or what it takes
// of figures and texts around the bounds there are.
func canStore(f form.Field) []string {
	if v, ok := logbook.ValueOf(f.Item); ok && v.Made != nil {
		return v.Made // the others are no answer that stays
	}
	if f.Manner == form.Choice {
		return f.Options
	}
	tried := []string{"-60", "0", "0.01", "1", "2,5", "80", "81", "400", "401", "600", "601", "999", "1000", "1001", "9999", "10000", logbook.NotKnown, "not known", strings.Repeat("x", 512)}
	var out []string
	for _, v := range tried {
		if f.Manner == form.Number {
			v = strings.ReplaceAll(v, ",", ".")
		}
		if f.Check == nil {
			out = append(out, v)
		} else if stored, err := f.Check(v); err == nil {
			out = append(out, stored)
		}
	}
	return out
}

// keyOf is the value that a field asks for; "" where it asks for something else.
func keyOf(f form.Field) string {
	if f.Item == "indicator 1" {
		return "indicators"
	}
	if v, ok := logbook.ValueOf(f.Item); ok && v.Kind != logbook.AsMoment {
		return v.Key
	}
	return ""
}

// Whatever a form can store is read from paper and taken as a correction, by its
// word and by its code, and is stored as the form stores it.
func TestWhatAFormStoresIsTakenElsewhere(t *testing.T) {
	log := exampleAt(t, monday)
	site := log.Memory.Book.Sites()[0]
	env := shell.Env{Now: monday, By: "Ona Brill", Book: log.Memory.Book, Site: site, Shelf: logbook.ShelfOf(site)}
	env.Shift, _ = log.Memory.Book.Shift(site.ID, site.Shifts[0])
	tried, corrected, written := map[string]bool{}, 0, 0
	for _, f := range asked(env) {
		key := keyOf(f)
		v, _ := logbook.ValueOf(key)
		for _, stored := range canStore(f) {
			none := stored == "0" && (v.Low > 0 || v.Kind == logbook.AsDecimal)         // it says that there is none
			none = none || key == logbook.FieldOperator && logbook.NoName(stored) != "" // refused by every act
			if key == "" || key == logbook.FieldJoint || none || tried[key+stored] {
				continue
			}
			tried[key+stored] = true
			ways := []string{stored}
			if v.Options != nil && slices.Contains(v.Options.Codes(), stored) {
				ways = append(ways, strings.ToUpper(v.Words(stored)))
			}
			for _, said := range ways {
				corrected += wantCorrected(t, logOf(log.Clone()), v, said, stored)
				written += wantWritten(t, logOf(log.Clone()), v, said, stored)
			}
		}
	}
	if len(tried) < 100 || corrected < 100 || written < 100 {
		t.Errorf("%d values, %d corrections, %d on paper", len(tried), corrected, written)
	}
}

// wantCorrected corrects a weld that was entered later, where it has the value.
func wantCorrected(t *testing.T, log *memLog, v logbook.Field, said, stored string) int {
	t.Helper()
	site, h := log.Memory.Book.Sites()[0].ID, acts.Head{ID: "x", At: monday.Add(time.Hour), By: "Ona Brill"}
	w, _ := log.Memory.Book.Weld(site, "KM-0009")
	key := v.Key
	if _, onLook := logbook.ValueOf(key + ".hot.1"); onLook {
		key += ".hot.1"
	}
	f, ok := logbook.FieldOf(w, key)
	if !ok || f.Get(w) == stored {
		return 0
	}
	h.Site = site
	was := asStored(w)
	if _, err := log.Append(t.Context(), acts.Correct(h, w.ID, key, said, "it was so")); err != nil {
		t.Errorf("%s: %q is no correction: %v", key, said, err)
		return 0
	}
	w, _ = log.Memory.Book.Weld(site, w.ID)
	if got := f.Get(w); got != stored {
		t.Errorf("%s: %q was corrected to %q, want %q", key, said, got, stored)
	}
	if first := w.AsRecorded(); asStored(first[len(first)-1]) != was {
		t.Errorf("%s: before %q stood\n%s\nfound\n%s", key, said, was, asStored(first[len(first)-1]))
	}
	return 1
}

// asStored is a weld without what only tells of it.
func asStored(w logbook.Weld) string {
	w.Trail, w.Corrections = nil, nil
	line, _ := json.Marshal(w)
	return string(line)
}

// wantWritten takes a row in from paper with nothing but what must be there and
// the value.
func wantWritten(t *testing.T, log *memLog, v logbook.Field, said, stored string) int {
	t.Helper()
	if !slices.Contains(paper.Names(), v.Key) {
		return 0
	}
	row := map[string]string{"joint": "3B", "operator": "Ona Brill", "date": "2026-03-09", "start": "07:00", "end": "07:01", "outcome": "nobody saw"}
	if v.Key == "felt" { // on paper it is asked at another look, and half of its words is none
		if v.Options.Vague(said) != nil {
			return 0
		}
		row = map[string]string{"joint": "1A", "operator": "Tam Velding", "date": "2026-03-09", "start": "07:00", "outcome": "", "melt": "none", "look_again": "yes"}
	}
	row[v.Key] = said
	if stored == logbook.CouldNot {
		row[v.Key] += ": " + logbook.CouldNotReasons.Word("noaccess")
	}
	var names, cells []string
	for name, cell := range row {
		names, cells = append(names, name), append(cells, `"`+cell+`"`)
	}
	lines, faults := paper.Parse([]byte(strings.Join(names, ",")+"\n"+strings.Join(cells, ",")+"\n"), monday.Local().Location())
	if faults != nil {
		t.Errorf("%q cannot be read from paper: %v", said, faults)
		return 0
	}
	site := log.Memory.Book.Sites()[0].ID
	h := acts.Head{ID: "x", At: monday.Add(time.Hour), By: "Ona Brill", Site: site}
	entries, err := log.Append(t.Context(), acts.Transcribe(h, []acts.LateWeld{lines[0].Weld("van.csv")}))
	if err != nil || len(entries) == 0 {
		t.Errorf("%q on paper is refused: %v", said, err)
		return 0
	}
	w, _ := log.Memory.Book.Weld(site, entries[0].Weld)
	got := v.Get(w)
	if row["look_again"] != "" {
		got = logbook.LookValue(v.Key).Get(w.Looks[len(w.Looks)-1].Look)
	}
	if got != stored && !(v.Key == "indicators" && strings.HasPrefix(got, stored)) { // the others were not seen
		t.Errorf("%s: %q on paper is stored as %q, want %q", v.Key, said, got, stored)
	}
	return 1
}

// A word may change: the same keys store the same bytes.
func TestFormsStoreNoWords(t *testing.T) {
	stored := func() string {
		log := exampleAt(t, monday)
		before := len(log.Entries)
		d := drive(t, log, monday, 120, 40)
		d.enterLater("45", "15", "81")
		d.keys("2", "3", "4") // the weather
		d.keys("4", "esc")
		var out strings.Builder
		for _, e := range log.Entries[before:] {
			fmt.Fprintf(&out, "%s %s\n", e.Kind, e.Body)
		}
		return out.String()
	}
	first := stored()
	for _, o := range logbook.AllOptions {
		was := slices.Clone(o.List)
		t.Cleanup(func() { o.List = was })
		for i := range o.List {
			o.List[i].Word = fmt.Sprintf("word %d of %s", i, o.Of)
		}
	}
	if again := stored(); again != first || strings.Count(first, "\n") < 8 {
		t.Errorf("stored\n%s\nand\n%s", first, again)
	}
}
