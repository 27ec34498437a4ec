package logbook

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"coolhold/fusion"
)

// Keys of values that are spoken of by name.
const (
	FieldJoint     = "joint"
	FieldOperator  = "operator"
	FieldUnit      = "unit"
	FieldCorrects  = "unit_corrects"
	FieldPort      = ItemPort
	FieldAmbient   = "ambient_c"
	FieldMode      = "time_from"
	FieldSeconds   = "seconds_set"
	FieldVolts     = "volts_set"
	FieldOhms      = "ohms"
	FieldOutcome   = "outcome"
	FieldStoppedAt = "stopped_at_s"
	FieldRun       = "seconds_run"
	FieldCooling   = "cooling_min"
	FieldDisturbed = "disturbed_min"
	FieldStarted   = "start"
	FieldEnded     = "end"
	FieldReleased  = "released_at"
)

// A Field is a value of a weld.
type Field = Value[Weld]

// WeldValues are the values of a weld, in the order of the work. Times are among
// them only where a person stated them: a stamp of the clock is no observation.
var WeldValues = slices.Concat(
	[]Field{
		textIn(About{Key: FieldJoint, Name: "joint", Ask: "joint", Write: "its label, as on the pipe", Example: "1A", Must: true}, func(w *Weld) *string { return &w.Joint }),
		textIn(About{Key: FieldOperator, Name: "operator", Ask: "who welds", Asked: "who welded", Write: "who welded", Example: "Ada Invented", Must: true}, func(w *Weld) *string { return &w.Operator }),
		textIn(About{Key: FieldUnit, Name: "control unit", Ask: "control unit", Write: "serial number of the control unit", Example: "CU-1", Say: true}, func(w *Weld) *string { return &w.Unit }),
		{
			About: About{
				Key: FieldCorrects, Name: "unit corrects", Ask: "does it correct for temperature itself", Kind: AsChoice, Options: YesNos,
				Write: "does it correct for temperature itself: {yes}, {no}, {unknown}", Example: "{no}", Say: true, Column: FieldUnit,
			},
			fixed: true,
			get:   func(w Weld) string { return string(w.Corrects) },
			set:   func(w *Weld, v string) { w.Corrects = YesNo(v) },
		},
		onPaper(About{Key: ItemCard, Name: "card number", Ask: "number of the welder's card", Write: "number of the welder's card", Example: "C-17", Column: "operator_number"}),
		onPaper(About{Key: ItemSky, Name: "weather", Ask: "weather at the joint", Kind: AsChoice, Options: Skies, Write: "weather: {sun}, {dry}, {wet}, {wind}", Example: "{dry}"}),
		underSky(About{Key: ItemShelter, Name: "shelter", Ask: "shelter over the joint", Kind: AsChoice, Options: Shelters, Write: "shelter: {none}, {umbrella}, {tent}, {heated}", Example: "{none}", Column: ItemSky}),
		answered(About{Key: ItemFitting, Name: "fitting", Ask: "fitting, as printed on the bag", Asked: "fitting", Write: "as in its table", Example: "coupler 40", Say: true, Table: true}),
		answered(About{Key: ItemCode, Name: "code scanned"}),
		answered(About{Key: ItemBatch, Name: "fitting batch", Ask: "batch of the fitting", Write: "batch on the bag", Example: "W-1", Say: true, Options: batches}),
		answered(About{Key: ItemPipeBatch, Name: "batch of the coil or pipe", Former: "coil batch", Ask: "batch of the coil or pipe", Write: "batch on the pipe", Example: "0042", Say: true, Options: batches}),
		answered(About{Key: ItemStubBatch, Name: "stub batch", Ask: "batch of the chamber's stubs", Write: "batch of the chamber's stubs", Example: "stub 3", Say: true, Options: batches}),
		onPaper(About{
			Key: ItemBagRead, Name: "read-back", Ask: "seconds that the bag prints for the temperature", Unit: "s", Kind: AsWhole, Low: 1, High: 9999, Options: bagsRead,
			Write: "seconds the bag prints for the temperature, or: {alike}", Example: "40",
		}),
		answered(About{Key: ItemPlace, Name: "position", Ask: "position"}),
		answered(About{
			Key: ItemPort, Name: "port", Former: "port as welded", Ask: "port this leg goes to", Asked: "port the leg went to", Kind: AsWhole, Low: 1, High: 999,
			Write: "port the leg went to, if not the plan's", Example: "5", Column: "port_welded",
		}),
		answered(About{
			Key: ItemPrint, Name: "pipe print", Ask: "print on the pipe", Kind: AsChoice, Options: Prints,
			Write: "print on the pipe: {planned}, {unlike}", Example: "{planned}", Say: true, Column: "pipe_print",
		}),
		answered(About{
			Key: ItemMethod, Name: "scraping method", Ask: "scraped with", Kind: AsChoice, Options: ScrapeMethods,
			Write: "scraped with: {rotary}, {hand}", Example: "{rotary}", Say: true, Column: "scraping_method",
		}),
		whereSaid(answered(About{Key: ItemMethod2, Name: "other end scraped with", Ask: "other end scraped with", Kind: AsChoice, Options: ScrapeMethods, Column: "scraping_method"})),
	},
	cardValues,
	[]Field{ambientValue},
	settingsValues,
	[]Field{ohmsValue},
	endValues,
	stated(LookValues),
	holdValues,
	[]Field{
		onPaper(About{Key: ItemMark, Name: "mark on the pipe", Ask: "what stands on the pipe in ink", Write: "what stands on the pipe in ink, with the welder's mark", Example: "1A AI 9 Mar"}),
		onPaper(About{Key: ItemSigned, Name: "signed on paper", Ask: "who signed the sheet", Write: "who signed the sheet", Example: "Ada Invented"}),
	},
)

// What a sheet is asked beside the work. In a walk shift and table say it.
const (
	ItemCard    = "card_number"
	ItemSky     = "weather"
	ItemShelter = "shelter"
	ItemBagRead = "read_back"
	ItemMark    = "pipe_mark"
	ItemSigned  = "signed"
)

// BagAlike says that the bag prints what the table has.
const BagAlike = "alike"

var bagsRead = options("what the bag prints", BagAlike, "as in the table")

// onPaper is such a value. A weld has it only where it was said.
func onPaper(a About) Field { return whereSaid(answered(a)) }

var ambientValue = Field{
	About: About{
		Key: FieldAmbient, Name: "ambient", Ask: "ambient temperature in °C", Hint: "In °C.", Unit: "°C", Kind: AsCelsius,
		Write: "in the shade beside the joint", Example: "8.5", Say: true, Table: true,
	},
	get: func(w Weld) string {
		if w.Ambient == nil {
			return ""
		}
		return w.Ambient.C.String()
	},
	set: func(w *Weld, v string) {
		a := AmbientRead{How: Later}
		if w.Ambient != nil {
			a = *w.Ambient
		}
		if w.Ambient = nil; v != "" {
			a.C, _ = fusion.ParseCelsius(v)
			w.Ambient = &a
		}
	},
}

// What the unit was set to. A display that shows none is no 0.
var settingsValues = []Field{
	inSettings(About{
		Key: FieldMode, Name: "time from", Ask: "the unit's time is", Asked: "the unit's time was", Kind: AsChoice, Options: Modes,
		Write: "the unit's time was: {keyed}, {code}, {self}", Example: "{keyed}", Say: true,
	}, func(s SettingsKeyed) string { return string(s.Mode) }, func(s *SettingsKeyed, v string) { s.Mode = Mode(v) }),
	inSettings(About{
		Key: FieldSeconds, Name: "seconds set", Ask: "seconds the unit's display shows", Asked: "seconds the unit was set to", Hint: "In seconds.",
		Unit: "s", Kind: AsWhole, Low: 1, High: 9999, Write: "as the display showed", Example: "40", Say: true,
	}, func(s SettingsKeyed) string { return wholeNotNought(s.SecondsShown) }, func(s *SettingsKeyed, v string) {
		s.SecondsShown, _ = strconv.Atoi(v)
		s.SecondsUnsaid = v == ""
	}),
	inSettings(About{
		Key: FieldVolts, Name: "volts set", Ask: "volts it shows", Asked: "volts it showed",
		Unit: "V", Kind: AsDecimal, High: 400, Write: "as the display showed", Example: "39.5", Say: true,
	}, func(s SettingsKeyed) string { return decimal(s.VoltsShown) }, func(s *SettingsKeyed, v string) { s.VoltsShown = decimalOf(v) }),
}

func inSettings(a About, get func(SettingsKeyed) string, set func(*SettingsKeyed, string)) Field {
	return Field{
		About: a, has: func(w Weld) bool { return w.Settings != nil },
		get: func(w Weld) string {
			if w.Settings == nil {
				return ""
			}
			return get(*w.Settings)
		},
		set: func(w *Weld, v string) {
			s := SettingsKeyed{SecondsUnsaid: true}
			if w.Settings != nil {
				s = *w.Settings
			}
			set(&s, v)
			w.Settings = &s
		},
	}
}

var ohmsValue = Field{
	About: About{
		Key: FieldOhms, Name: "ohms", Page: "resistance", Ask: "resistance the unit shows, in Ω", Asked: "resistance it showed, Ω",
		Unit: "Ω", Kind: AsDecimal, High: 1000, Write: "as the display showed", Example: "2.43", Say: true,
	},
	get: func(w Weld) string {
		if w.Ohms == nil {
			return ""
		}
		return decimal(w.Ohms.Ohms)
	},
	set: func(w *Weld, v string) {
		o := ResistanceRead{How: Later}
		if w.Ohms != nil {
			o = *w.Ohms
		}
		o.Ohms = decimalOf(v)
		w.Ohms = &o
	},
}

// How the fusion ended.
var endValues = []Field{
	{
		About: About{
			Key: FieldOutcome, Name: "outcome", Ask: "how the fusion ended", Asked: "the fusion", Kind: AsChoice, Options: Outcomes,
			Write: "{completed}, {stopped}, {unseen}", Example: "{completed}", Must: true,
		},
		has: hasEnded, get: func(w Weld) string { return string(w.Outcome) }, set: func(w *Weld, v string) { w.Outcome = Outcome(v) },
	},
	secondsIn(About{Key: FieldStoppedAt, Name: "stopped at", Ask: "stopped at how many seconds", Write: "seconds run when it stopped", Example: "17", Say: true, Column: "seconds_run"}, func(w *Weld) **int { return &w.StoppedAt }),
	secondsIn(About{Key: FieldRun, Name: "seconds run", Ask: "seconds the unit says it ran", Asked: "seconds the unit said it ran", Write: "as the unit said", Example: "40", Say: true}, func(w *Weld) **int { return &w.Run }),
}

func hasEnded(w Weld) bool { return w.Ended != nil }

func secondsIn(a About, at func(*Weld) **int) Field {
	a.Unit, a.Kind, a.High, a.Hint = "s", AsWhole, 9999, "In seconds."
	return Field{
		About: a, has: hasEnded,
		get: func(w Weld) string { return wholeOr(*at(&w)) },
		set: func(w *Weld, v string) { *at(w) = wholeOf(v) },
	}
}

// What followed the looks, and the times that somebody stated.
var holdValues = []Field{
	inSettingsFixed(About{
		Key: FieldCooling, Name: "cooling time", Page: "cooling", Ask: "cooling minutes printed on the fitting", Unit: "min", Kind: AsWhole, Low: 1, High: 600,
		Write: "cooling time as printed on the bag", Example: "6", Say: true,
	}, func(s SettingsKeyed) string { return wholeNotNought(s.CoolingMin) }, func(s *SettingsKeyed, v string) { s.CoolingMin, _ = strconv.Atoi(v) }),
	{
		About: About{
			Key: FieldDisturbed, Name: "disturbed", Ask: "how many minutes after the fusion", Hint: "Minutes after fusion, or: {no}.", Unit: "min", Kind: AsWhole, High: 9999,
			Options: undisturbed, Write: "if moved: minutes after the end of fusion", Example: "4", Column: "disturbed",
		},
		has: func(w Weld) bool {
			return w.Disturbed != nil || slices.ContainsFunc(w.Corrections, func(c Corrected) bool { return c.Field == FieldDisturbed })
		},
		get: func(w Weld) string {
			if w.Disturbed == nil {
				return No
			}
			return strconv.Itoa(w.Disturbed.AfterMin)
		},
		set: setDisturbed,
	},
	timeIn(About{Key: FieldStarted, Name: "started", Write: "current on, 24 h", Example: "14:05", Must: true, Column: "fused_at"}, func(w *Weld) **time.Time { return &w.StartedStated }),
	endIn(About{Key: FieldEnded, Name: "ended", Write: "end of fusion, 24 h", Example: "14:06", Say: true, Column: "hold_until"}),
	timeIn(About{Key: FieldReleased, Name: "released", Write: "clamp off and not moved before, 24 h", Example: "14:15", Say: true}, func(w *Weld) **time.Time { return &w.ReleasedStated }),
}

func inSettingsFixed(a About, get func(SettingsKeyed) string, set func(*SettingsKeyed, string)) Field {
	v := inSettings(a, get, set)
	v.fixed = true
	return v
}

// setDisturbed sets the minute after fusion, or no: a key struck in error.
func setDisturbed(w *Weld, v string) {
	d := Disturbed{}
	if w.Disturbed != nil {
		d = *w.Disturbed
	}
	n := wholeOf(v)
	if w.Disturbed = nil; n != nil {
		d.AfterMin, d.Early = *n, w.Hold == nil || float64(*n) < w.Hold.Want.Minutes()
		w.Disturbed = &d
	}
}

// endIn is the stated end of a fusion. A hold that counts from it, on somebody's word, moves
// with it when it is corrected.
func endIn(a About) Field {
	f := timeIn(a, func(w *Weld) **time.Time { return &w.EndedStated })
	set := f.set
	f.set = func(w *Weld, v string) {
		was := w.EndedStated
		set(w, v)
		if now := w.EndedStated; w.HoldStated && w.Hold != nil && w.onWord == 0 && was != nil && now != nil {
			w.Hold = moved(w.Hold, was.Sub(*now))
		}
	}
	return f
}

// moved is a span of which so much more had run before each machine began to count.
func moved(s *fusion.Span, by time.Duration) *fusion.Span {
	if s == nil {
		return nil
	}
	return &fusion.Span{Began: s.Began, Done: s.Done + by, Want: s.Want, Other: moved(s.Other, by)}
}

func timeIn(a About, at func(*Weld) **time.Time) Field {
	a.Kind, a.Hint = AsMoment, "As 2026-03-09 14:05."
	return Field{
		About: a, has: func(w Weld) bool { return *at(&w) != nil },
		get: func(w Weld) string {
			if t := *at(&w); t != nil {
				return t.Format(time.RFC3339)
			}
			return ""
		},
		set: func(w *Weld, v string) {
			if t, err := time.Parse(time.RFC3339, v); err == nil {
				*at(w) = &t
			}
		},
	}
}

// textIn is a text that is never empty.
func textIn(a About, at func(*Weld) *string) Field {
	return Field{About: a, get: func(w Weld) string { return *at(&w) }, set: func(w *Weld, v string) { *at(w) = v }}
}

// answered is an item of the fitting step or the preparation card.
func answered(a About) Field {
	return Field{
		About: a,
		get:   func(w Weld) string { return w.Answers[a.Key].V },
		set: func(w *Weld, v string) {
			answers := maps.Clone(w.Answers)
			if answers == nil {
				answers = map[string]Answer{}
			}
			is := answers[a.Key]
			is.Item, is.V = a.Key, v
			if answers[a.Key] = is; v == "" {
				delete(answers, a.Key)
			}
			w.Answers = answers
		},
	}
}

// underSky is an answer that a weld has where the weather was said, with it or without.
func underSky(a About) Field {
	f := answered(a)
	f.has = func(w Weld) bool { return f.get(w) != "" || w.Answers[ItemSky].V != "" }
	return f
}

// whereSaid is a value that a weld has only where it was said.
func whereSaid(f Field) Field {
	f.has = func(w Weld) bool { return f.get(w) != "" }
	return f
}

func wholeOf(v string) *int {
	n, err := strconv.Atoi(v)
	if err != nil {
		return nil
	}
	return &n
}

func wholeOr(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

// wholeNotNought is a figure that stands as 0 where nobody wrote it down.
func wholeNotNought(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func decimalOf(v string) *float64 {
	f, err := strconv.ParseFloat(v, 64)
	if err != nil {
		return nil
	}
	return &f
}

func decimal(f *float64) string {
	if f == nil {
		return ""
	}
	return fusion.Figure(*f)
}

// valueAt is where a value stands in the table: each line of each entry asks.
var valueAt = byKey(WeldValues)

func byKey(values []Field) map[string]int {
	at := map[string]int{}
	for i := range values {
		at[values[i].Key] = i
	}
	return at
}

// ValueOf is the value of a weld with that key, of one look too.
func ValueOf(key string) (Field, bool) {
	if i, ok := valueAt[key]; ok {
		return WeldValues[i], true
	}
	return onLook(key)
}

// NameOf is what a value or an answer is called.
func NameOf(key string) string {
	if v, ok := ValueOf(key); ok {
		return v.Name
	}
	if name, ok := traces[key]; ok {
		return name
	}
	switch what, of, _ := strings.Cut(key, ":"); what {
	case ItemBeside:
		return of + " beside"
	case ItemBreak:
		return "the joint"
	}
	return key
}

// traces are answers that are no values of their own: codes of the standard.
var traces = map[string]string{ItemTrace: "fitting traceability", ItemPipeTrace: "pipe traceability"}

// Fields are the values of a weld that can be corrected.
func Fields(w Weld) []Field {
	var out []Field
	looks := lookFields(w)
	for _, v := range WeldValues {
		switch {
		case v.look:
			out, looks = append(out, looks...), nil
		case v.Column == cardColumn && !w.hasItem(v.Key):
		case !v.fixed && (v.has == nil || v.has(w)):
			out = append(out, v)
		}
	}
	return out
}

// FieldOf finds such a value by its key or its name.
func FieldOf(w Weld, said string) (Field, bool) {
	for _, v := range Fields(w) {
		if said != "" && slices.ContainsFunc([]string{v.Key, v.Name, v.Former}, func(name string) bool { return strings.EqualFold(name, said) }) {
			return v, true
		}
	}
	return Field{}, false
}

// Words are a stored value or answer in words.
func Words(key, stored string) string {
	if v, ok := ValueOf(key); ok {
		return v.Words(stored)
	}
	switch what, _, _ := strings.Cut(key, ":"); what {
	case ItemBeside:
		return Besides.Word(stored)
	case ItemBreak:
		return AfterBreak.Word(stored)
	}
	return stored
}

// Answered is an answer of a weld in words, "" where there is none.
func (w Weld) Answered(item string) string { return Words(item, w.Answers[item].V) }

// Words are an answer in words.
func (a Answer) Words() string { return Words(a.Item, a.V) }

// Because is why an answer is as it is: the reason chosen, the text given.
func (a Answer) Because() string {
	if a.Reason == "" {
		return a.Why
	}
	parts := []string{CouldNotReasons.Word(a.Reason)}
	if a.Why != "" {
		parts = append(parts, a.Why)
	}
	return strings.Join(parts, ": ")
}

// ReasonOf takes the reason from what was written: one of those offered, a text
// after a colon, or a text alone.
func ReasonOf(said string) (reason, why string) {
	first, rest, _ := strings.Cut(said, ":")
	if code, known := CouldNotReasons.Code(first); known {
		return code, strings.TrimSpace(rest)
	}
	return "", strings.TrimSpace(said)
}
