package logbook

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"coolhold/fusion"
)

// A Field is one value of a weld that can be corrected.
type Field struct {
	Name    string // as stored and as typed on the command line
	Options []string
	get     func(Weld) string
	set     func(Weld, string) (Weld, error)
	// table is set where the value decides which row and band of the table
	// count, so that they are looked up anew.
	table bool
}

// Value is what the weld has in the field, "" where nothing is recorded.
func (f Field) Value(w Weld) string { return f.get(w) }

// Names of fields that other packages speak of.
const (
	FieldJoint   = "joint"
	FieldAmbient = "ambient"
	FieldPort    = ItemPort
)

// errField is wrapped by every fault of a corrected value.
var errField = errors.New("cannot be the value")

func badValue(field, v, want string) error {
	return fmt.Errorf("%q %w of %s: %s", v, errField, field, want)
}

// FieldOf finds a field of a weld by its name.
func FieldOf(w Weld, name string) (Field, bool) {
	for _, f := range Fields(w) {
		if f.Name == name {
			return f, true
		}
	}
	return Field{}, false
}

// Fields are the values of a weld that can be corrected, in the order of the
// work. Times are among them only where a person stated them: a stamp of the
// clock is no observation.
func Fields(w Weld) []Field {
	fields := []Field{
		{Name: FieldJoint, get: func(w Weld) string { return w.Joint }, set: func(w Weld, v string) (Weld, error) { w.Joint = v; return w, nonEmpty(FieldJoint, v) }},
		{Name: "operator", get: func(w Weld) string { return w.Operator }, set: func(w Weld, v string) (Weld, error) { w.Operator = v; return w, nonEmpty("operator", v) }},
		{Name: "control unit", get: func(w Weld) string { return w.Unit }, set: func(w Weld, v string) (Weld, error) { w.Unit = v; return w, nonEmpty("control unit", v) }},
	}
	for _, item := range []string{ItemFitting, ItemCode, ItemBatch, ItemPipeBatch, ItemStubBatch, ItemPlace} {
		fields = append(fields, answerField(item))
	}
	fields[3].table = true
	fields = append(fields, answerField(ItemPort), answerField(ItemPrint, AsPlanned, UnlikePlan), answerField(ItemMethod, ScrapeMethods...))
	for _, p := range PrepItems {
		fields = append(fields, answerField(p.Item, Done, CouldNot))
	}
	fields = append(fields, ambientField())
	if w.Settings != nil {
		fields = append(fields, settingsFields()...)
	}
	fields = append(fields, ohmsField())
	if w.Ended != nil {
		fields = append(fields, endFields()...)
	}
	for i := range w.Looks {
		fields = append(fields, lookFields(i, w.Looks[i].When)...)
	}
	if w.Disturbed != nil || slices.ContainsFunc(w.Corrections, func(c Corrected) bool { return c.Field == fieldDisturbed }) {
		fields = append(fields, disturbedField())
	}
	return append(fields, statedFields(w)...)
}

func nonEmpty(field, v string) error {
	if strings.TrimSpace(v) == "" {
		return badValue(field, v, "it cannot be empty")
	}
	return nil
}

// answerField is an item of the fitting step or the preparation card.
func answerField(item string, options ...string) Field {
	return Field{
		Name: item, Options: options,
		get: func(w Weld) string { return w.Answers[item].V },
		set: func(w Weld, v string) (Weld, error) {
			answers := make(map[string]Answer, len(w.Answers)+1)
			for k, a := range w.Answers {
				answers[k] = a
			}
			a := answers[item]
			a.Item, a.V = item, v
			if answers[item] = a; v == "" {
				delete(answers, item)
			}
			w.Answers = answers
			return w, among(item, v, options)
		},
	}
}

// among accepts one of the options, or anything where there are none. Nothing
// is what stood there before something was recorded.
func among(field, v string, options []string) error {
	if len(options) == 0 || v == "" || slices.Contains(options, v) {
		return nil
	}
	return badValue(field, v, "write "+strings.Join(options, " or "))
}

func ambientField() Field {
	return Field{
		Name: FieldAmbient, table: true,
		get: func(w Weld) string {
			if w.Ambient == nil {
				return ""
			}
			return w.Ambient.C.String()
		},
		set: func(w Weld, v string) (Weld, error) {
			if v == "" {
				w.Ambient = nil
				return w, nil
			}
			c, err := fusion.ParseCelsius(v)
			if err != nil {
				return w, badValue(FieldAmbient, v, err.Error())
			}
			a := AmbientRead{How: Later}
			if w.Ambient != nil {
				a = *w.Ambient
			}
			a.C = c
			w.Ambient = &a
			return w, nil
		},
	}
}

func settingsFields() []Field {
	return []Field{
		{
			Name: "time from", Options: []string{ModeKeyed, ModeCode, ModeSelf},
			get: func(w Weld) string { return w.Settings.Mode },
			set: onSettings(func(s *SettingsKeyed, v string) error {
				s.Mode = v
				if v == "" {
					return nonEmpty("time from", v)
				}
				return among("time from", v, []string{ModeKeyed, ModeCode, ModeSelf})
			}),
		},
		{
			Name: "seconds set",
			get: func(w Weld) string {
				if w.Settings.SecondsUnsaid {
					return ""
				}
				return strconv.Itoa(w.Settings.SecondsShown)
			},
			set: onSettings(func(s *SettingsKeyed, v string) (err error) {
				s.SecondsShown, err = whole("seconds set", v)
				s.SecondsUnsaid = err != nil && s.SecondsUnsaid
				return err
			}),
		},
		{
			Name: "volts set",
			get:  func(w Weld) string { return decimal(w.Settings.VoltsShown) },
			set: onSettings(func(s *SettingsKeyed, v string) (err error) {
				s.VoltsShown, err = parseDecimal("volts set", v, 100)
				return err
			}),
		},
	}
}

func onSettings(change func(*SettingsKeyed, string) error) func(Weld, string) (Weld, error) {
	return func(w Weld, v string) (Weld, error) {
		if w.Settings == nil {
			return w, badValue("settings", v, "none are recorded")
		}
		s := *w.Settings
		err := change(&s, v)
		w.Settings = &s
		return w, err
	}
}

// whole is a count of seconds or minutes; bounds of sense, our choice.
func whole(field, v string) (int, error) {
	n, err := strconv.Atoi(v)
	if err != nil || n < 0 || n > 9999 {
		return 0, badValue(field, v, "write a whole number from 0 to 9999")
	}
	return n, nil
}

func parseDecimal(field, v string, high float64) (*float64, error) {
	if v == "" {
		return nil, nil
	}
	f, err := strconv.ParseFloat(strings.ReplaceAll(v, ",", "."), 64)
	if err != nil || !(f > 0 && f <= high) {
		return nil, badValue(field, v, fmt.Sprintf("write a number above 0 and up to %g", high))
	}
	return &f, nil
}

func decimal(f *float64) string {
	if f == nil {
		return ""
	}
	return strconv.FormatFloat(*f, 'f', -1, 64)
}

func ohmsField() Field {
	return Field{
		Name: "ohms",
		get: func(w Weld) string {
			if w.Ohms == nil {
				return ""
			}
			return decimal(w.Ohms.Ohms)
		},
		set: func(w Weld, v string) (Weld, error) {
			o := ResistanceRead{How: Later}
			if w.Ohms != nil {
				o = *w.Ohms
			}
			ohms, err := parseDecimal("ohms", v, 1000)
			o.Ohms = ohms
			w.Ohms = &o
			return w, err
		},
	}
}

func endFields() []Field {
	outcomes := []string{Completed, Stopped, NotSeen}
	seconds := func(name string, at func(*Weld) **int) Field {
		return Field{
			Name: name,
			get: func(w Weld) string {
				if p := *at(&w); p != nil {
					return strconv.Itoa(*p)
				}
				return ""
			},
			set: func(w Weld, v string) (Weld, error) {
				if v == "" {
					*at(&w) = nil
					return w, nil
				}
				n, err := whole(name, v)
				*at(&w) = &n
				return w, err
			},
		}
	}
	return []Field{
		{
			Name: "outcome", Options: outcomes,
			get: func(w Weld) string { return w.Outcome },
			set: func(w Weld, v string) (Weld, error) {
				w.Outcome = v
				return w, errors.Join(nonEmpty("outcome", v), among("outcome", v, outcomes))
			},
		},
		seconds("stopped at", func(w *Weld) **int { return &w.StoppedAt }),
		seconds("seconds run", func(w *Weld) **int { return &w.Run }),
	}
}

// lookFields are what one look saw; a thing that was not asked at that look
// can be added.
func lookFields(i int, when string) []Field {
	seen := []struct {
		item    string
		options []string
		at      func(*Look) *string
	}{
		{"melt", []string{"none", "outside", Unseen}, func(l *Look) *string { return &l.Melt }},
		{"wire", []string{"none", "seen", Unseen}, func(l *Look) *string { return &l.Wire }},
		{"marks", []string{"in place", "moved", Unseen}, func(l *Look) *string { return &l.Marks }},
		{"straight", []string{"yes", "no", Unseen}, func(l *Look) *string { return &l.Straight }},
		{"felt", []string{"cold and firm", "warm", "moves", Unseen}, func(l *Look) *string { return &l.Felt }},
	}
	name := func(item string) string { return fmt.Sprintf("%s %s (look %d)", item, when, i+1) }
	fields := []Field{{
		Name: name("indicators"),
		get:  func(w Weld) string { return strings.Join(w.Looks[i].Indicators, ", ") },
		set: onLook(i, func(l *Look, v string) error {
			l.Indicators = nil
			for _, p := range strings.Split(v, ",") {
				p = strings.TrimSpace(p)
				if err := among(name("indicators"), p, []string{Up, Part, Flat, None, Unseen}); err != nil {
					return err
				}
				if p != "" {
					l.Indicators = append(l.Indicators, p)
				}
			}
			return nil
		}),
	}}
	for _, s := range seen {
		fields = append(fields, Field{
			Name: name(s.item), Options: s.options,
			get: func(w Weld) string { return *s.at(&w.Looks[i].Look) },
			set: onLook(i, func(l *Look, v string) error { *s.at(l) = v; return among(name(s.item), v, s.options) }),
		})
	}
	return fields
}

func onLook(i int, change func(*Look, string) error) func(Weld, string) (Weld, error) {
	return func(w Weld, v string) (Weld, error) {
		w.Looks = slices.Clone(w.Looks)
		err := change(&w.Looks[i].Look, v)
		return w, err
	}
}

const fieldDisturbed = "disturbed"

// disturbedField is the minute after fusion, or no: a key struck in error.
func disturbedField() Field {
	return Field{
		Name: fieldDisturbed,
		get: func(w Weld) string {
			if w.Disturbed == nil {
				return No
			}
			return strconv.Itoa(w.Disturbed.AfterMin)
		},
		set: func(w Weld, v string) (Weld, error) {
			if v == No {
				w.Disturbed = nil
				return w, nil
			}
			n, err := whole(fieldDisturbed, v)
			if err != nil {
				return w, badValue(fieldDisturbed, v, "write no, or the minutes after fusion")
			}
			d := Disturbed{}
			if w.Disturbed != nil {
				d = *w.Disturbed
			}
			d.AfterMin, d.Early = n, w.Hold == nil || float64(n) < w.Hold.Want.Minutes()
			w.Disturbed = &d
			return w, nil
		},
	}
}

// statedFields are the times of a weld that somebody stated.
func statedFields(w Weld) []Field {
	var fields []Field
	for _, s := range []struct {
		name string
		at   func(*Weld) **time.Time
	}{
		{"started", func(w *Weld) **time.Time { return &w.StartedStated }},
		{"ended", func(w *Weld) **time.Time { return &w.EndedStated }},
		{"released", func(w *Weld) **time.Time { return &w.ReleasedStated }},
	} {
		if *s.at(&w) == nil {
			continue
		}
		fields = append(fields, Field{
			Name: s.name,
			get:  func(w Weld) string { return (*s.at(&w)).Format(time.RFC3339) },
			set: func(w Weld, v string) (Weld, error) {
				t, err := parseStated(v, (*s.at(&w)).Location())
				if err != nil {
					return w, badValue(s.name, v, "write 2026-03-09 14:05")
				}
				*s.at(&w) = &t
				return w, nil
			},
		})
	}
	return fields
}

func parseStated(v string, zone *time.Location) (time.Time, error) {
	if t, err := time.Parse(time.RFC3339, v); err == nil {
		return t, nil
	}
	return time.ParseInLocation("2006-01-02 15:04", v, zone)
}
